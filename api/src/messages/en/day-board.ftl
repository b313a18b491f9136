# The sheet: day board.

day-board-act-by = act by
day-board-at-once = at once
day-board-cost-unknown = cost not known
day-board-dough = dough
day-board-doughs = Doughs of the day
day-board-exceptions = What needs a person
day-board-from-stock = from stock
day-board-held-up-by = held up by
day-board-latest = latest
day-board-levers = what can be done · what it costs
day-board-loads = loads
day-board-no-dough = Nothing is made on this date.
day-board-no-station = No station has a time on file for this date.
day-board-nothing = Nothing needs a decision for this date.
day-board-order-gone = too late to order
day-board-over = over
day-board-pieces = pieces to begin with
day-board-slack-min = slack min
day-board-start = start
day-board-stations = The day by station
day-board-to-mix = to mix
day-board-what = what, and whom it hits
