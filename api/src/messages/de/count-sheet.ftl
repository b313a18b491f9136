# The sheet: count sheet.

count-sheet-book = Buch
count-sheet-count-what-lies-there = Zählen, was da liegt. Was schon in Wannen ist, wird nicht gezählt. Ein Los, das nicht aufgeführt ist, wird unten aufgeschrieben.
count-sheet-counted = gezählt
count-sheet-counted-at = vor dem ersten Regal die Zeit aufschreiben
count-sheet-counted-by = gezählt von
count-sheet-date-and-time-of-the-count = Datum und Zeit der Zählung
count-sheet-lot-last-day = Los, letzter Tag
count-sheet-nothing-to-count = Das Buch hat hier nichts: aufschreiben, was Sie finden.
count-sheet-place = Ort
count-sheet-unit = Einheit: einkreisen
