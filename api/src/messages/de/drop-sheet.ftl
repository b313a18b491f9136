# The sheet: drop sheet.

drop-sheet-allergens = Allergene nach unseren Aufzeichnungen
drop-sheet-ask = Bei Fragen zu Allergenen: vorlesen, was hier steht, mit Erzeugnis, Stand und Datum.
drop-sheet-last-off-first = in der Reihenfolge des Ladens: letzte Übergabe zuerst
drop-sheet-no-run = wird geholt, oder keine Tour hinterlegt
drop-sheet-no-time = keine Zeit in der Bestellung
drop-sheet-nothing = Für diesen Tag verlässt nichts das Haus.
drop-sheet-ordered = bestellt
drop-sheet-packed = gepackt
drop-sheet-crates-out = Kisten hinaus
drop-sheet-crates-back = Kisten zurück
drop-sheet-received-by = angenommen von (Name, Zeit)
drop-sheet-stop = Halt { $stop }
drop-sheet-short = { $pieces } von { $asked }
drop-sheet-avoids = meidet { $allergens }
drop-sheet-decided = entschieden von { $who }: { $note }
drop-sheet-stop-words = STOPP: { $what }; { $customer } meidet es: fragen, bevor es gepackt wird
drop-sheet-contains = enthält { $allergens }
drop-sheet-may-contain = kann enthalten: { $allergens }
drop-sheet-not-known = Allergene von { $items } sind nicht bekannt
