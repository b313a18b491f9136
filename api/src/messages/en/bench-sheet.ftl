# The sheet: bench sheet.

bench-sheet-load-by-load = load by load
bench-sheet-next-at = next at
bench-sheet-no-time = no time on file
bench-sheet-nothing = Nothing is divided or shaped on this date.
bench-sheet-of = of
bench-sheet-on-or-in-each = on or in each
bench-sheet-scale-weight = scale weight
bench-sheet-sharp = Divider and sheeter: guards closed, hands out.
bench-sheet-to = to
