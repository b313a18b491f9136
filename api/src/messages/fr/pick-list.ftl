# The sheet: pick list.

pick-list-all = tout
pick-list-fetch = prendre
pick-list-from-to = de > vers
pick-list-nothing-in-stores = Rien n’est pris à la réserve ce jour.
pick-list-nothing-to-pull = Rien n’est sorti du froid ce jour.
pick-list-pull = À sortir du froid et du congélateur
pick-list-stores = À prendre à la réserve
pick-list-thaw = décongeler { $span }
pick-list-temper = tempérer { $span }
pick-list-cannot = STOP, impossible : décongeler { $thaw }, devait être sorti { $out } ; au plus tôt { $next }
pick-list-stop-hold = STOP : le lot { $lot } est bloqué, le laisser
pick-list-stop-date = STOP : le lot { $lot } a dépassé sa date, le laisser
pick-list-stop-age = STOP : le lot { $lot } a dépassé son âge, le laisser
