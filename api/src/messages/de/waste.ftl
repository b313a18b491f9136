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
