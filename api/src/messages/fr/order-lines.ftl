# Ce qui est dit des lignes d’une commande.

order-said = { $what }.
order-said-from = { $what }, { $from }.
order-said-none-wanted = Aucune pièce demandée
order-said-cancelled = Aucune pièce demandée : la ligne est annulée
order-said-none-taken = Accepté : rien sur { $asked }
order-said-some-taken = Accepté : { $taken } sur { $asked }
order-said-taken = Accepté : { $pieces }
order-said-none-possible = Possible : rien sur { $asked }
order-said-at-most = Possible : au plus { $most } sur { $asked }
order-said-possible = Possible : { $pieces }
order-said-from-stock = { $pieces } du stock fini
order-said-from-overs = { $pieces } des surplus
order-said-from-extra = { $pieces } d’une charge de plus
order-said-from-extra-by = { $pieces } d’une charge de plus, à commencer avant le { $at } (étape { $step })
order-said-to-make = { $pieces } encore à faire
order-said-surplus = { $pieces ->
    [one] { $pieces } pièce déjà commencée
   *[other] { $pieces } pièces déjà commencées
    } : en trop, pour le comptoir, la congélation ou la vieille pâte.
order-said-surplus-begun = { $pieces ->
    [one] { $pieces } pièce déjà commencée
   *[other] { $pieces } pièces déjà commencées
    } ({ $begun }) : en trop, pour le comptoir, la congélation ou la vieille pâte.
order-said-too-late = Trop tard. { $begun }.
order-said-drop-past = Trop tard : la remise était le { $at }.
order-said-after-cutoff = L’heure limite était le { $at } : la ligne compte, et une personne dit si elle est faite.
order-said-staff = { $item } n’entre dans aucune heure de présence avant la remise : à l’étape `{ $step }` il n’y a personne.
order-said-age-window = { $item } ne trouve pas d’heure avant la remise : l’étape `{ $step }` sort de sa fenêtre d’âge.
order-said-age-window-by = { $item } ne trouve pas d’heure avant la remise : l’étape `{ $step }` sort de { $minutes } min de sa fenêtre d’âge.
order-said-capacity = { $item } ne trouve pas de place : { $spot } est pris à toutes les heures possibles.
order-said-under-minimum = { $item } ferait une charge de { $mass }, et { $mixer } demande { $least } : une personne décide quoi en faire.
order-said-too-many-loads = { $item } demanderait plus de charges qu’on ne peut en pétrir.
order-said-missing = { $item } manque : { $amount } de moins qu’il ne faut dès le { $at }, et personne n’en livre avant.
order-said-missing-closed = { $item } manque : { $amount } de moins qu’il ne faut dès le { $at }, et la dernière heure limite pour en commander était le { $cutoff }.
order-said-missing-earlier = { $product } manque : { $pieces } de moins qu’il ne faut, cuisson du { $day }.
order-said-pieces = { $pieces ->
    [one] { $pieces } pièce
   *[other] { $pieces } pièces
}
order-said-extra-by = Une charge de plus devait être commencée avant le { $at }.
order-said-no-extra = Pas de charge de plus : { $why }
order-said-earliest = Au plus tôt à cette heure de remise : le { $at }.
order-said-weighed = { $item } : pesée le { $at }
order-said-mixed = { $item } : pétrissage le { $at }
order-said-made = { $item } : fabrication le { $at }
order-said-fed = { $item } : rafraîchi le { $at }
order-said-begun = { $item } à l’étape { $step } le { $at }
order-said-had-to-be-weighed = { $item } : la pesée devait se faire le { $at }
order-said-had-to-be-mixed = { $item } : le pétrissage devait se faire le { $at }
order-said-had-to-be-made = { $item } : la fabrication devait se faire le { $at }
order-said-had-to-be-fed = { $item } : le rafraîchi devait se faire le { $at }
order-said-had-to-be-begun = { $item } devait commencer par l’étape { $step } le { $at }
order-said-taken-whole = Accepté : { $pieces ->
    [one] { $pieces } pièce.
   *[other] { $pieces } pièces.
    }
order-said-part-taken = Accepté : { $taken } sur { $asked } pièces.
order-said-held = En attente, pas ajouté : une commande permanente couvre cette remise. Dites dans la prochaine version si elle la remplace ou s’y ajoute.
order-said-unknown-product = Nous ne vendons rien sous `{ $product }` : corrigez le code et envoyez la version suivante.
order-said-negative = { $asked } est moins que rien : envoyez 0 pour annuler la ligne.
order-said-fractional = { $asked } n’est pas un nombre de pièces entières : donnez des pièces entières.
order-said-too-large = { $asked } dépasse les { $most } pièces qu’une ligne peut avoir.
order-said-no-stock = aucun stock n’est inscrit : on n’a pas vérifié si les ingrédients suffisent
order-said-all-or-nothing = Une autre ligne a été refusée, et la commande vaut en entier ou pas du tout.
