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
formulas-allergens-sheet = allergens
formulas-always-sheet = from the start
formulas-bound-water = bound in soakers
formulas-cost-sheet = ingredients
formulas-draft = DRAFT: nothing of it is kept
formulas-draft-short = draft
formulas-ends-first-sheet = The largest that today's stock makes; first to end:
formulas-exact-sheet = exact
formulas-hydration-sheet = hydration, water only
formulas-hydration-wet-sheet = with wet ingredients
formulas-look-at = look at
formulas-made-above = (as above)
formulas-not-in-force = No version of it is in force on this date.
formulas-overall-sheet = Overall
formulas-prefermented-sheet = prefermented flour
formulas-previous-batch = (from a batch before)
formulas-salt-sheet = salt
formulas-scaled-sheet = At this size
formulas-sum-sheet = formula sum
formulas-title-sheet = Formula workbench
formulas-total = Total
formulas-tree-sheet = What it is made of, level by level, in parts
formulas-versions-sheet = Versions compared
formulas-weigh-sheet = weigh
formulas-yeast = yeast
formulas-loads-each = { $loads ->
    [one] 1 load
   *[other] { $loads } loads, each
}
warning-salt = salt is { $percent } % of all flour; 1.6 to 2.4 % is usual
warning-yeast = yeast stands for { $percent } % fresh of all flour; at most 6 % is usual
warning-hydration = water is { $percent } % of all flour; this dough's own band is { $least } to { $most } %
warning-yeast-form = { $was } % { $before } yeast became { $now } % { $after }; { $least } to { $most } % stands for as much
warning-common-practice = common practice
warning-own-band = the formula's own band
warning-yeast-forms = common practice: fresh 1, active dry 0.4 to 0.5, instant 0.33 to 0.4
yeast-form-fresh = fresh
yeast-form-active-dry = active-dry
yeast-form-instant = instant
