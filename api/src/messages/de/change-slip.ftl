# The sheet: change slip.

change-slip-difference = Unterschied
change-slip-do-not-weigh = ENTFÄLLT: nicht abwiegen
change-slip-gone = ENTFÄLLT
change-slip-new = NEU
change-slip-nothing-changed = Auf Ihrem Blatt hat sich nichts geändert.
change-slip-now = jetzt
change-slip-title = Änderungszettel
change-slip-was = war
change-slip-replaces = Ersetzt Zeilen des Blattes „{ $sheet }“, { $revision }. Alle anderen Zeilen bleiben, wie sie gedruckt sind.
change-slip-new-load = NEU: seine Seite drucken, { $revision }
