# The sheet: pick list.

pick-list-all = alles
pick-list-fetch = holen
pick-list-from-to = von > nach
pick-list-nothing-in-stores = An diesem Tag wird nichts aus dem Lager geholt.
pick-list-nothing-to-pull = An diesem Tag wird nichts aus der Kälte geholt.
pick-list-pull = Aus Kühlraum und Froster
pick-list-stores = Aus dem Lager
pick-list-thaw = auftauen { $span }
pick-list-temper = temperieren { $span }
pick-list-cannot = STOPP, geht nicht: auftauen { $thaw }, musste { $out } heraus; frühestens { $next }
pick-list-stop-hold = STOPP: Los { $lot } ist gesperrt, stehen lassen
pick-list-stop-date = STOPP: Los { $lot } ist über sein Datum, stehen lassen
pick-list-stop-age = STOPP: Los { $lot } ist über sein Alter, stehen lassen
