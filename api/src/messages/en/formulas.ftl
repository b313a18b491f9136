# Formulas on the workbench.

formulas-title = Formulas
formulas-name = Formula
formulas-code = Code
formulas-versions = Versions
formulas-on = As it is on { $day }
formulas-bowl = Into the bowl
formulas-overall = Overall, sub-formulas dissolved
formulas-size = At another size
formulas-size-to = Scale to
formulas-size-grams = Grams in the bowl
formulas-size-flour = Grams of flour overall
formulas-size-pieces = Start pieces
formulas-size-largest = The largest that today's stock makes
formulas-amount = How much, or how many
formulas-amount-hint = Not needed for the largest.
formulas-pieces-of = Pieces of
formulas-scale = Scale
formulas-scaled = Scaled, in whole divisions of the scales
formulas-ends-first = Ends first:
formulas-loads = { $count ->
    [one] 1 load
   *[other] { $count } loads
}
formulas-item = Item
formulas-weigh = Weigh
formulas-exact = Exact
formulas-tree = What it is made of
formulas-tree-previous-batch = from a batch before
formulas-tree-made-above = as above
formulas-compared = Versions beside each other
formulas-always = Always
formulas-in-force = in force
formulas-cost = Cost
formulas-hydration = Water only
formulas-hydration-wet = With wet ingredients
formulas-salt = Salt
formulas-prefermented = Fermented ahead
formulas-sum = Formula sum
formulas-allergens = Allergens
formulas-print = Print the workbench
formulas-nutrition = Nutrition of 100 g as it is made
