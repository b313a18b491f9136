# What all pages share.

skip = Zum Inhalt
menu = Menü
menu-label = Alle Seiten
menu-day = Der Tag
place-stock = Bestand und Lose
place-receiving = Wareneingang
menu-orders = Bestellungen
menu-purchase = Einkauf
place-desk = Fehlmengen
menu-stock = Lager
menu-recipes = Rezepturen
place-today = Heute
place-timeline = Zeiten
place-weigh-out = Abwiegen
unit-pieces = { $count ->
    [one] Stück
   *[other] Stück
}
place-orders = Bestellungen
as-of = Stand { $moment }
signed-in = Angemeldet als { $who }
sign-out = Abmelden
language = Sprache
language-set = Anwenden
calculated = Aus Aufzeichnungen berechnet. Kein Plan zur Lebensmittelsicherheit; es entscheiden das örtliche Recht und Ihre fachkundige Person.
api = Alle Aufrufe
revision = Stand Nr. { $revision }
faults-title = { $count ->
    [one] Eine Angabe stimmt noch nicht
   *[other] { $count } Angaben stimmen noch nicht
}
faults-nothing-kept = Es wurde nichts geändert.
fault = Stimmt nicht:
required = nötig
choose = wählen …
refused-title = Das ging nicht
back-to-start = Zur ersten Seite

weekday-1 = Mo
weekday-2 = Di
weekday-3 = Mi
weekday-4 = Do
weekday-5 = Fr
weekday-6 = Sa
weekday-7 = So
weekday-long-1 = Montag
weekday-long-2 = Dienstag
weekday-long-3 = Mittwoch
weekday-long-4 = Donnerstag
weekday-long-5 = Freitag
weekday-long-6 = Samstag
weekday-long-7 = Sonntag
month-1 = Jan.
month-2 = Feb.
month-3 = März
month-4 = Apr.
month-5 = Mai
month-6 = Juni
month-7 = Juli
month-8 = Aug.
month-9 = Sept.
month-10 = Okt.
month-11 = Nov.
month-12 = Dez.
month-long-1 = Januar
month-long-2 = Februar
month-long-3 = März
month-long-4 = April
month-long-5 = Mai
month-long-6 = Juni
month-long-7 = Juli
month-long-8 = August
month-long-9 = September
month-long-10 = Oktober
month-long-11 = November
month-long-12 = Dezember
date-short = { $weekday } { $day }. { $month }
date-long = { $weekday }, { $day }. { $month } { $year }
moment = { $day }, { $time }
