# The shortage desk.

desk-title = Fehlmengen
desk-hint = Nach dem letzten Zeitpunkt zum Anrufen, für Liefertage bis { $day }.
desk-nothing = Es fehlt nichts.
desk-other-orders = Weitere Bestellungen dieser Tage
desk-later = Kann bis nach dem nächsten Bestellschluss warten
desk-undecided = NICHT ENTSCHIEDEN: Einiges lässt sich nicht mehr bestellen. Sagen Sie, wer wie viel bekommt.
desk-cuts = Was für { $day } gekürzt wird
desk-notes = { $count ->
    [one] Ein Hinweis
   *[other] { $count } Hinweise
}
desk-print = Fehlmengenblatt drucken
desk-no-supplier = Kein Lieferant verzeichnet
desk-ring-by = anrufen bis { $moment } · noch { $hours } h { $minutes } min
desk-cutoff-gone = BESTELLSCHLUSS VORBEI seit { $moment }: trotzdem anrufen oder entscheiden
desk-no-delivery = KEINE LIEFERUNG KOMMT RECHTZEITIG
desk-no-hurry = keine Eile
desk-line-undecided = NICHT ENTSCHIEDEN
desk-top-up = füllt nur den Sicherheitsbestand auf
desk-short-by = es fehlen { $amount }
desk-runs-out = Reicht bis { $moment }, fehlt zuerst für { $user } von { $day }.
desk-why = Warum?
desk-levers = Was sich tun lässt, das Mildeste zuerst
desk-needed = Gebraucht
desk-safety = Sicherheitsbestand
desk-pack = Zu bestellen
desk-no-pack = kein Gebinde verzeichnet
desk-price-unknown = Preis unbekannt
desk-least-life = { $days ->
    [one] an der Tür noch mindestens einen Tag haltbar
   *[other] an der Tür noch mindestens { $days } Tage haltbar
}
desk-arrives = Kommt bis
desk-balance = Verlauf von { $item }
desk-balance-words = von { $from } am { $start } bis { $to } am { $end }
desk-covered = { $count ->
    [one] Ein Artikel ist gedeckt
   *[other] { $count } Artikel sind gedeckt
}
desk-left = { $amount } übrig
desk-to-send = Bestellung, abzuschicken bis { $moment }
desk-choice-as-is = Die Bestellung erreicht den Mindestwert.
desk-choice-fill = Gebinde späterer Bestellschlüsse sind vorgezogen: das kostet nicht mehr als die Fracht.
desk-choice-pay-carriage = Sie bleibt unter dem Mindestwert: mehr vorzuziehen wäre teurer als die Fracht oder reichte nicht.
desk-choice-refused-below-minimum = Der Lieferant nimmt KEINE Bestellung unter dem Mindestwert an: ergänzen oder anderswo kaufen.
desk-drafted = Für diesen Bestellschluss liegt ein Entwurf vor:
desk-packs = Gebinde
desk-what-for = Wofür
desk-cost = Kosten
desk-pressing-must = fehlt sonst
desk-pressing-top-up = füllt den Sicherheitsbestand auf
desk-forward = { $packs ->
    [one] eines vorgezogen
   *[other] { $packs } vorgezogen
}
desk-next-break = { $packs } Gebinde kosten { $money } weniger
desk-split = { $packs } × { $holds } statt des letzten Gebindes spart { $money }
desk-goods = Warenwert
desk-minimum = Mindestbestellwert
desk-gap = { $money } fehlen
desk-carriage = Fracht
desk-saves = Durch Vorziehen gespart
desk-who = Wer es tut
desk-draft = Entwurf anlegen
desk-open-orders = Offene Bestellungen
desk-order = Bestellung
desk-cutoff = Bestellschluss
desk-gap-alone = allein fehlten { $money }
