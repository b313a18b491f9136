# The sheet: prep sheet.

prep-sheet-done = FAIT : ne pas refaire
prep-sheet-fruit = Fruits : le zeste d’abord, puis le jus
prep-sheet-fruits = fruits
prep-sheet-gives = doit donner
prep-sheet-item = faire
prep-sheet-limits = Cuit, refroidi ou à l’œuf cru : noter température et heure ; les limites sont dans votre propre plan.
prep-sheet-mass = à peser en tout
prep-sheet-no-life = durée non notée : demander
prep-sheet-nothing = Rien n’est préparé ce jour.
prep-sheet-start = début
prep-sheet-temperature = °C
prep-sheet-time = heure
prep-sheet-use = utiliser du / au
prep-sheet-keep-back = garder au moins { $amount } comme chef
prep-sheet-latest = au plus tard { $moment }
prep-sheet-loads = { $loads ->
    [one] { $loads } charge
   *[other] { $loads } charges
}
prep-sheet-from-spare = il en reste { $amount } d’avant
prep-sheet-cut-before = de { $fruits } déjà coupés
