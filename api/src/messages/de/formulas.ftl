# Rezepturen auf der Werkbank.

formulas-title = Rezepturen
formulas-name = Rezeptur
formulas-code = Kürzel
formulas-versions = Fassungen
formulas-on = Wie sie am { $day } gilt
formulas-bowl = In den Kessel
formulas-overall = Insgesamt, Vorstufen aufgelöst
formulas-size = In anderer Größe
formulas-size-to = Rechnen auf
formulas-size-grams = Gramm im Kessel
formulas-size-flour = Gramm Mehl insgesamt
formulas-size-pieces = Begonnene Stücke
formulas-size-largest = Das Größte, das der heutige Bestand hergibt
formulas-amount = Wie viel oder wie viele
formulas-amount-hint = Für das Größte nicht nötig.
formulas-pieces-of = Stücke von
formulas-scale = Umrechnen
formulas-scaled = Umgerechnet, in ganzen Ziffernschritten der Waagen
formulas-ends-first = Geht zuerst aus:
formulas-loads = { $count ->
    [one] 1 Kessel
   *[other] { $count } Kessel
}
formulas-item = Zutat
formulas-weigh = Abwiegen
formulas-exact = Genau
formulas-tree = Woraus sie besteht
formulas-tree-previous-batch = aus einer früheren Charge
formulas-tree-made-above = wie oben
formulas-compared = Fassungen nebeneinander
formulas-always = Immer
formulas-in-force = gültig
formulas-cost = Kosten
formulas-hydration = Nur Wasser
formulas-hydration-wet = Mit nassen Zutaten
formulas-salt = Salz
formulas-prefermented = Vorgegoren
formulas-sum = Summe
formulas-allergens = Allergene
formulas-print = Werkbank drucken
formulas-nutrition = Nährwerte von 100 g, wie gemacht
formulas-allergens-sheet = Allergene
formulas-always-sheet = von Anfang an
formulas-bound-water = in Quellstücken gebunden
formulas-cost-sheet = Zutaten
formulas-draft = ENTWURF: nichts davon wird behalten
formulas-draft-short = Entwurf
formulas-ends-first-sheet = Das Größte, das der heutige Bestand hergibt; zuerst geht aus:
formulas-exact-sheet = genau
formulas-hydration-sheet = Hydration, nur Wasser
formulas-hydration-wet-sheet = mit nassen Zutaten
formulas-look-at = ansehen
formulas-made-above = (wie oben)
formulas-not-in-force = An diesem Tag gilt keine Fassung davon.
formulas-overall-sheet = Insgesamt
formulas-prefermented-sheet = vorgegorenes Mehl
formulas-previous-batch = (aus einer früheren Charge)
formulas-salt-sheet = Salz
formulas-scaled-sheet = In dieser Größe
formulas-sum-sheet = Summe der Rezeptur
formulas-title-sheet = Rezepturwerkbank
formulas-total = Summe
formulas-tree-sheet = Woraus sie besteht, Stufe für Stufe, in Teilen
formulas-versions-sheet = Fassungen nebeneinander
formulas-weigh-sheet = abwiegen
formulas-yeast = Hefe
formulas-loads-each = { $loads ->
    [one] 1 Charge
   *[other] { $loads } Chargen, je
}
warning-salt = Salz ist { $percent } % allen Mehls; üblich sind 1,6 bis 2,4 %
warning-yeast = Hefe entspricht { $percent } % frischer auf alles Mehl; üblich sind höchstens 6 %
warning-hydration = Wasser ist { $percent } % allen Mehls; der eigene Bereich dieses Teigs ist { $least } bis { $most } %
warning-yeast-form = aus { $was } % Hefe ({ $before }) wurden { $now } % ({ $after }); { $least } bis { $most } % entsprechen ebenso viel
warning-common-practice = übliche Praxis
warning-own-band = der eigene Bereich der Rezeptur
warning-yeast-forms = übliche Praxis: frisch 1, aktiv trocken 0,4 bis 0,5, instant 0,33 bis 0,4
yeast-form-fresh = frisch
yeast-form-active-dry = aktiv trocken
yeast-form-instant = instant
