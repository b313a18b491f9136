# The sheet: bench sheet.

bench-sheet-load-by-load = charge par charge
bench-sheet-next-at = suite à
bench-sheet-no-time = aucune heure notée
bench-sheet-nothing = Rien n’est divisé ni façonné ce jour.
bench-sheet-of = de
bench-sheet-on-or-in-each = sur ou dans chaque
bench-sheet-scale-weight = poids pâton
bench-sheet-sharp = Diviseuse et laminoir : protections fermées, mains dehors.
bench-sheet-to = vers
