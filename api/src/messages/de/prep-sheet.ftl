# The sheet: prep sheet.

prep-sheet-done = ERLEDIGT: nicht noch einmal machen
prep-sheet-fruit = Früchte: zuerst die Schale, dann der Saft
prep-sheet-fruits = Früchte
prep-sheet-gives = muss ergeben
prep-sheet-item = machen
prep-sheet-limits = Gekochtes, Gekühltes und rohes Ei: Temperatur und Zeit aufschreiben; die Grenzen stehen in Ihrem eigenen Plan.
prep-sheet-mass = insgesamt abwiegen
prep-sheet-no-life = Haltbarkeit nicht hinterlegt: fragen
prep-sheet-nothing = An diesem Tag wird nichts vorbereitet.
prep-sheet-start = Beginn
prep-sheet-temperature = °C
prep-sheet-time = Zeit
prep-sheet-use = verwenden von / bis
prep-sheet-keep-back = mindestens { $amount } als Anstellgut zurückbehalten
prep-sheet-latest = spätestens { $moment }
prep-sheet-loads = { $loads ->
    [one] 1 Charge
   *[other] { $loads } Chargen
}
prep-sheet-from-spare = { $amount } davon ist noch von vorher da
prep-sheet-cut-before = aus { $fruits }, die schon angeschnitten sind
