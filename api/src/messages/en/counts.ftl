# Counts: what to count next, a sheet typed in, and what it came to.

place-counts = Counts
stock-counts = Count
counts-title = Counts
counts-places = Count a place
counts-blind = Count what lies there. The book stays hidden until the count is taken. What you leave empty is not counted; write 0 only where nothing is left.
counts-print-all = Print the sheet of all places
counts-print = Print this sheet
counts-nowhere = No place said
counts-lots = { $count ->
    [one] 1 lot
   *[other] { $count } lots
}
counts-next = What to count next
counts-none-due = Nothing has to be counted today.
counts-because = Why
counts-because-negative = the book has less than nothing
counts-because-short = the plan runs short of it
counts-because-high-value = much money lies in it
counts-because-cycle = not counted for weeks
counts-last = Counted last
counts-never = never
counts-lately = Counted in the last four weeks
counts-none-lately = No sheet was typed in.
counts-place-title = Count: { $place }
counts-lines = What lies there
counts-take = Take this count
counts-other-place = Count another place
counts-not-listed = Something lies here that is not listed?
counts-gone = Went elsewhere since this sheet was opened:
counts-several-places = lies at several places: count it on its own page.
counts-each = pieces
counts-unit-of = Unit for { $what }
counts-after-title = Count of { $moment }
counts-differ = { $count ->
    [0] Nothing differs from the book: { $lines } counted
    [one] 1 of { $lines } differs from the book
   *[other] { $count } of { $lines } differ from the book
}
counts-worth = More than the book: { $more }. Less than the book: { $less }.
counts-worth-unknown = At least: something that differs has no known price.
counts-counted = Counted
counts-book = By the book
counts-difference = Difference
counts-value = Worth
counts-value-unknown = not known
counts-taken-back = taken back
counts-taken-back-hint = What happened after the moment counted stands. A count that was wrong is taken back in the ledger and counted again.
