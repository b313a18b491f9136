# The sheet: day board.

day-board-act-by = handeln bis
day-board-at-once = sofort
day-board-cost-unknown = Kosten nicht bekannt
day-board-dough = Teig
day-board-doughs = Teige des Tages
day-board-exceptions = Was einen Menschen braucht
day-board-from-stock = aus dem Lager
day-board-held-up-by = aufgehalten durch
day-board-latest = spätestens
day-board-levers = was man tun kann · was es kostet
day-board-loads = Chargen
day-board-no-dough = An diesem Tag wird nichts gemacht.
day-board-no-station = Für diesen Tag ist an keiner Station eine Zeit hinterlegt.
day-board-nothing = Für diesen Tag ist nichts zu entscheiden.
day-board-order-gone = zu spät zum Bestellen
day-board-over = darüber
day-board-pieces = begonnene Stücke
day-board-slack-min = Luft min
day-board-start = Beginn
day-board-stations = Der Tag nach Stationen
day-board-to-mix = zu kneten
day-board-what = was, und wen es trifft
