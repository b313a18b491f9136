# The sheet: bench sheet.

bench-sheet-load-by-load = Charge für Charge
bench-sheet-next-at = weiter um
bench-sheet-no-time = keine Zeit hinterlegt
bench-sheet-nothing = An diesem Tag wird nichts geteilt oder geformt.
bench-sheet-of = je
bench-sheet-on-or-in-each = auf oder in jedem
bench-sheet-scale-weight = Teiggewicht
bench-sheet-sharp = Teiler und Ausrollmaschine: Schutz geschlossen, Hände heraus.
bench-sheet-to = nach
