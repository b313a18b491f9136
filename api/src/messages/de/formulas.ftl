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
formulas-scaled = Umgerechnet, in ganzen Teilstrichen der Waagen
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
