# The sheet: waste.

waste-by-reason = Nach Grund, in Kilogramm
waste-by-week = Nach Woche, in Kilogramm
waste-by-week-and-reason = Nach Woche und Grund
waste-lines = Zeile für Zeile
waste-no-lot = kein Los
waste-nothing-wasted = In diesen Tagen wurde nichts weggeworfen.
waste-reason = Grund
waste-to = bis
waste-week = Woche
waste-went-to = wohin
waste-route-bin = Abfall
waste-route-feed = Futter
waste-route-donation = verschenkt
waste-name-no-reason-given = kein Grund angegeben
