# The sheet: receiving sheet.

receiving-sheet-title = Wareneingang
receiving-sheet-at-least = mindestens
receiving-sheet-came-at = kam um
receiving-sheet-came-before = kamen schon
receiving-sheet-days-of-life = Tage haltbar
receiving-sheet-delivery-note = Lieferschein
receiving-sheet-due = soll
receiving-sheet-due-by = soll bis
receiving-sheet-from = von
receiving-sheet-label-as-before = Etikett wie bisher
receiving-sheet-last-day = letzter Tag
receiving-sheet-ordered = bestellt
receiving-sheet-packs-came = kamen Packungen
receiving-sheet-promised = zugesagt
receiving-sheet-remark = Bemerkung
receiving-sheet-taken-in-by = angenommen von
receiving-sheet-uneven-weigh = ungleich: wiegen
receiving-sheet-weight = Gewicht
receiving-sheet-count-and-weigh = Zählen und wiegen, bevor Sie unterschreiben. Was fehlt, zu viel, offen, nass oder über seinem Datum ist, wird hier und auf dem Lieferschein aufgeschrieben.
receiving-sheet-temperature = Temperatur gekühlter und gefrorener Ware aufschreiben. Die Grenze steht im eigenen Plan zur Lebensmittelsicherheit: dieses Blatt setzt keine.
receiving-sheet-read-the-list = Zutatenliste lesen. Andere Marke oder andere Liste: sperren, bis ihre Allergene neu gelesen sind.
receiving-sheet-lift = Was über 25 kg wiegt, zu zweit heben.
