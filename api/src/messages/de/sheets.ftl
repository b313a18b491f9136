# Was mehrere gedruckte Blätter gemeinsam haben.

sheet-printed = gedruckt { $moment }
sheet-number = Blatt { $sheet } von { $sheets }
sheet-state-by = { $state } { $moment } von { $who }
sheet-clean-down = Vor dieser Charge reinigen: im Block davor war { $gone }
sheet-under-minimum = unter der Mindestmenge des Kneters. Wählen und aufschreiben: { $options }
sheet-too-little = UNENTSCHIEDEN: zu wenig
sheet-too-little-of = UNENTSCHIEDEN: zu wenig { $what }
sheet-undecided = UNENTSCHIEDEN
sheet-blocks = { $count ->
    [one] 1 Block
   *[other] { $count } Blöcke
}
sheet-pieces-of = { $count ->
    [one] 1 Stück
   *[other] { $count } Stück
}
sheet-for-par = { $pieces } für den Grundbestand der Theke
sheet-by-forecast = { $pieces } nach Vorhersage
sheet-page-sum = Summe dieser Seite { $sum }
sheet-all-loads = alle { $loads } Chargen { $sum }
sheet-feed = FÜTTERN: niemand backt damit, es hält den Sauerteig bis zum nächsten Ansatz am Leben
sheet-substitution = Stattdessen verwendet (zuerst seine Allergene lesen)
sheet-blank-for = für
sheet-blank-used = verwendet
sheet-blank-lot = Los
sheet-blank-name = Name
sheet-amount = Menge
sheet-at-blank = um __________
sheet-by = bis
sheet-decided = entschieden
sheet-drop = Übergabe
sheet-for = für
sheet-how-much = wie viel
sheet-ingredient = Zutat
sheet-initials = Kürzel
sheet-load = Charge
sheet-lot = Los
sheet-lot-last-day = Los / letzter Tag
sheet-lot-used = Los verwendet
sheet-mixer = Kneter
sheet-no = Nr.
sheet-no-place = Kein Ort verzeichnet: suchen
sheet-no-place-on-record = kein Ort verzeichnet
sheet-not-known = nicht bekannt
sheet-not-said = nicht gesagt
sheet-packs = Packungen
sheet-pieces = Stück
sheet-product = Erzeugnis
sheet-thrown-away = weggeworfen
sheet-trays = Bleche
sheet-until = bis
sheet-up-to = bis
sheet-what = was
sheet-when = wann
sheet-where = wo
sheet-why-blank = warum ______________________________
caution-freezing = Kein zweites Einfrieren: Aufgetautes wird nicht wieder eingefroren.
unit-blocks = { $count ->
    [one] Block
   *[other] Blöcke
}
unit-each = { $count ->
    [one] Stück
   *[other] Stück
}
date-year = { $weekday } { $day }. { $month } { $year }
date-pack = { $day }. { $month } { $year }
unit-loads = { $count ->
    [one] Charge
   *[other] Chargen
}
unit-batch = { $count ->
    [one] Ansatz
   *[other] Ansätze
}
