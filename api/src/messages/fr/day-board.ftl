# The sheet: day board.

day-board-act-by = agir avant
day-board-at-once = tout de suite
day-board-cost-unknown = coût inconnu
day-board-dough = pâte
day-board-doughs = Pâtes du jour
day-board-exceptions = Ce qui demande quelqu’un
day-board-from-stock = du stock
day-board-held-up-by = retenu par
day-board-latest = au plus tard
day-board-levers = ce qu’on peut faire · ce que cela coûte
day-board-loads = charges
day-board-no-dough = Rien n’est fait ce jour.
day-board-no-station = Aucune station n’a d’heure notée pour ce jour.
day-board-nothing = Rien à décider pour ce jour.
day-board-order-gone = trop tard pour commander
day-board-over = en plus
day-board-pieces = pièces à commencer
day-board-slack-min = marge min
day-board-start = début
day-board-stations = Le jour par station
day-board-to-mix = à pétrir
day-board-what = quoi, et qui est touché
