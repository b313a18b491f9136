# Les formules sur l'établi.

formulas-title = Formules
formulas-name = Formule
formulas-code = Code
formulas-versions = Versions
formulas-on = Telle qu'elle vaut le { $day }
formulas-bowl = Dans la cuve
formulas-overall = En tout, sous-formules dissoutes
formulas-size = À une autre taille
formulas-size-to = Ramener à
formulas-size-grams = Grammes dans la cuve
formulas-size-flour = Grammes de farine en tout
formulas-size-pieces = Pièces commencées
formulas-size-largest = Le plus que donne le stock du jour
formulas-amount = Combien
formulas-amount-hint = Inutile pour le plus grand.
formulas-pieces-of = Pièces de
formulas-scale = Calculer
formulas-scaled = À cette taille, en divisions entières des balances
formulas-ends-first = Manque en premier :
formulas-loads = { $count ->
    [one] 1 pétrissée
   *[other] { $count } pétrissées
}
formulas-item = Ingrédient
formulas-weigh = Peser
formulas-exact = Exact
formulas-tree = De quoi elle est faite
formulas-tree-previous-batch = d'une fournée précédente
formulas-tree-made-above = comme plus haut
formulas-compared = Versions côte à côte
formulas-always = Toujours
formulas-in-force = en vigueur
formulas-cost = Coût
formulas-hydration = Eau seule
formulas-hydration-wet = Avec les ingrédients humides
formulas-salt = Sel
formulas-prefermented = Préfermenté
formulas-sum = Somme
formulas-allergens = Allergènes
formulas-print = Imprimer l'établi
formulas-nutrition = Valeurs nutritionnelles de 100 g, telles que faites
formulas-allergens-sheet = allergènes
formulas-always-sheet = dès le début
formulas-bound-water = lié dans les trempages
formulas-cost-sheet = ingrédients
formulas-draft = BROUILLON : rien n’en est gardé
formulas-draft-short = brouillon
formulas-ends-first-sheet = Le plus que donne le stock du jour ; manque en premier :
formulas-exact-sheet = exact
formulas-hydration-sheet = hydratation, eau seule
formulas-hydration-wet-sheet = avec les ingrédients humides
formulas-look-at = à regarder
formulas-made-above = (comme plus haut)
formulas-not-in-force = Aucune version n’est en vigueur ce jour.
formulas-overall-sheet = En tout
formulas-prefermented-sheet = farine préfermentée
formulas-previous-batch = (d’une fournée précédente)
formulas-salt-sheet = sel
formulas-scaled-sheet = À cette taille
formulas-sum-sheet = somme de la formule
formulas-title-sheet = Établi des formules
formulas-total = Total
formulas-tree-sheet = De quoi elle est faite, niveau par niveau, en parts
formulas-versions-sheet = Versions comparées
formulas-weigh-sheet = peser
formulas-yeast = levure
formulas-loads-each = { $loads ->
    [one] { $loads } charge
   *[other] { $loads } charges, chacune
}
warning-salt = le sel est { $percent } % de toute la farine ; 1,6 à 2,4 % est habituel
warning-yeast = la levure vaut { $percent } % de fraîche sur toute la farine ; au plus 6 % est habituel
warning-hydration = l’eau est { $percent } % de toute la farine ; la plage propre de cette pâte est { $least } à { $most } %
warning-yeast-form = { $was } % de levure ({ $before }) sont devenus { $now } % ({ $after }) ; { $least } à { $most } % valent autant
warning-common-practice = pratique courante
warning-own-band = la plage propre de la formule
warning-yeast-forms = pratique courante : fraîche 1, sèche active 0,4 à 0,5, instantanée 0,33 à 0,4
yeast-form-fresh = fraîche
yeast-form-active-dry = sèche active
yeast-form-instant = instantanée
