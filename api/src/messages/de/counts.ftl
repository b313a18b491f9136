# Zählungen: was als Nächstes gezählt wird, ein Blatt zum Eintippen, und was herauskam.

place-counts = Zählungen
stock-counts = Zählen
counts-title = Zählungen
counts-places = Einen Ort zählen
counts-blind = Zählen, was da liegt. Der Bestand im Buch bleibt verdeckt, bis die Zählung gebucht ist. Was leer bleibt, ist nicht gezählt; 0 nur dort schreiben, wo nichts mehr liegt.
counts-print-all = Blatt aller Orte drucken
counts-print = Dieses Blatt drucken
counts-nowhere = Ohne Ort
counts-lots = { $count ->
    [one] 1 Charge
   *[other] { $count } Chargen
}
counts-next = Was als Nächstes zu zählen ist
counts-none-due = Heute muss nichts gezählt werden.
counts-because = Warum
counts-because-negative = das Buch hat weniger als nichts
counts-because-short = dem Plan fehlt davon
counts-because-high-value = darin liegt viel Geld
counts-because-cycle = seit Wochen nicht gezählt
counts-last = Zuletzt gezählt
counts-never = nie
counts-lately = In den letzten vier Wochen gezählt
counts-none-lately = Es wurde kein Blatt eingetippt.
counts-place-title = Zählung: { $place }
counts-lines = Was da liegt
counts-take = Zählung buchen
counts-other-place = Einen anderen Ort zählen
counts-not-listed = Liegt hier etwas, das nicht aufgeführt ist?
counts-gone = Ging anderswohin, seit dieses Blatt offen ist:
counts-several-places = liegt an mehreren Orten: auf ihrer eigenen Seite zählen.
counts-each = Stück
counts-unit-of = Einheit für { $what }
counts-after-title = Zählung vom { $moment }
counts-differ = { $count ->
    [0] Nichts weicht vom Buch ab: { $lines } gezählt
    [one] 1 von { $lines } weicht vom Buch ab
   *[other] { $count } von { $lines } weichen vom Buch ab
}
counts-worth = Mehr als im Buch: { $more }. Weniger als im Buch: { $less }.
counts-worth-unknown = Mindestens: etwas davon hat keinen bekannten Preis.
counts-counted = Gezählt
counts-book = Laut Buch
counts-difference = Differenz
counts-value = Wert
counts-value-unknown = nicht bekannt
counts-taken-back = zurückgenommen
counts-taken-back-hint = Was nach dem Zeitpunkt der Zählung geschah, bleibt. Eine falsche Zählung wird im Buch zurückgenommen und neu gezählt.
