# Ce que plusieurs feuilles imprimées partagent.

sheet-printed = imprimé { $moment }
sheet-number = feuille { $sheet } sur { $sheets }
sheet-state-by = { $state } { $moment } par { $who }
sheet-clean-down = Nettoyer avant cette charge : le bloc d’avant contenait { $gone }
sheet-under-minimum = sous le minimum du pétrin. Choisir et noter : { $options }
sheet-too-little = NON DÉCIDÉ : trop peu
sheet-too-little-of = NON DÉCIDÉ : trop peu de { $what }
sheet-undecided = NON DÉCIDÉ
sheet-blocks = { $count ->
    [one] { $count } bloc
   *[other] { $count } blocs
}
sheet-pieces-of = { $count ->
    [one] { $count } pièce
   *[other] { $count } pièces
}
sheet-for-par = { $pieces } pour le fond de vitrine
sheet-by-forecast = { $pieces } selon la prévision
sheet-page-sum = Somme de cette page { $sum }
sheet-all-loads = les { $loads } charges { $sum }
sheet-feed = RAFRAÎCHI : personne ne cuit avec, il garde le levain vivant jusqu’au prochain
sheet-substitution = Utilisé à la place (lire d’abord ses allergènes)
sheet-blank-for = pour
sheet-blank-used = utilisé
sheet-blank-lot = lot
sheet-blank-name = nom
sheet-amount = quantité
sheet-at-blank = à __________
sheet-by = avant
sheet-decided = décidé
sheet-drop = remise
sheet-for = pour
sheet-how-much = combien
sheet-ingredient = ingrédient
sheet-initials = init.
sheet-load = charge
sheet-lot = lot
sheet-lot-last-day = lot / dernier jour
sheet-lot-used = lot utilisé
sheet-mixer = pétrin
sheet-no = nº
sheet-no-place = Aucun lieu noté : chercher
sheet-no-place-on-record = aucun lieu noté
sheet-not-known = inconnu
sheet-not-said = non dit
sheet-packs = paquets
sheet-pieces = pièces
sheet-product = produit
sheet-thrown-away = jeté
sheet-trays = plaques
sheet-until = jusqu’au
sheet-up-to = jusqu’au
sheet-what = quoi
sheet-when = quand
sheet-where = où
sheet-why-blank = pourquoi ______________________________
caution-freezing = Pas de seconde congélation : ce qui est décongelé n’est pas recongelé.
unit-blocks = { $count ->
    [one] bloc
   *[other] blocs
}
unit-each = { $count ->
    [one] pièce
   *[other] pièces
}
date-year = { $weekday } { $day } { $month } { $year }
date-pack = { $day } { $month } { $year }
unit-loads = { $count ->
    [one] charge
   *[other] charges
}
unit-batch = { $count ->
    [one] fournée
   *[other] fournées
}
