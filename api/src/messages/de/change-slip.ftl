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

# Was eine Zeile sagt, und wovon.
change-slip-of = { $name }: { $what }
change-slip-note = Hinweis
change-slip-loads = Chargen insgesamt
change-slip-blocks = Blöcke
change-slip-clean-down = davor reinigen
change-slip-by-hand = von Hand gesetzt
change-slip-allergens = Allergene
change-slip-this-load = diese Charge
change-slip-starts = beginnt
change-slip-into-mixer = in den Kneter
change-slip-whole-steps = ganze Stufen
change-slip-notes = Hinweise
change-slip-short = FEHLT
change-slip-scale-tub = Waage, Wanne
change-slip-remark = Bemerkung
change-slip-by = bis
change-slip-stop = STOPP
change-slip-earlier-bake = frühere Backung
change-slip-whole-sheet = das ganze Blatt
change-slip-group-block = { $name }, für { $day }
change-slip-group-load = { $name }, Charge { $load }, für { $day }
change-slip-group-toppings = { $name }, Auflagen, für { $day }
change-slip-to-pull = aus der Kälte: { $place }
change-slip-from-stores = aus dem Lager: { $place }
change-slip-not-kept = dieser Druck konnte nicht aufgehoben werden: gegen ihn gibt es keinen Änderungszettel
