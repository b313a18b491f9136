# The sheet: prep sheet.

prep-sheet-done = DONE: do not make it again
prep-sheet-fruit = Fruit: skin first, then juice
prep-sheet-fruits = fruits
prep-sheet-gives = must give
prep-sheet-item = make
prep-sheet-limits = Cooked, cooled and raw-egg goods: write temperature and time; the limits stand in your own plan.
prep-sheet-mass = weigh in all
prep-sheet-no-life = life not on file: ask
prep-sheet-nothing = Nothing is made ready on this date.
prep-sheet-start = start
prep-sheet-temperature = °C
prep-sheet-time = time
prep-sheet-use = use from / until
prep-sheet-keep-back = keep back at least { $amount } as seed
prep-sheet-latest = at the latest { $moment }
prep-sheet-loads = { $loads ->
    [one] 1 load
   *[other] { $loads } loads
}
prep-sheet-from-spare = { $amount } of it is left from before
prep-sheet-cut-before = from { $fruits } that are cut already
