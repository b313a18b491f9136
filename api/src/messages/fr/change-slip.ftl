# The sheet: change slip.

change-slip-difference = écart
change-slip-do-not-weigh = SUPPRIMÉ : ne pas peser
change-slip-gone = SUPPRIMÉ
change-slip-new = NOUVEAU
change-slip-nothing-changed = Rien n’a changé sur votre feuille.
change-slip-now = maintenant
change-slip-title = Feuillet de changements
change-slip-was = était
change-slip-replaces = Remplace des lignes de « { $sheet } », { $revision }. Toutes les autres lignes restent telles qu’imprimées.
change-slip-new-load = NOUVEAU : imprimer sa page, { $revision }

# Ce que dit une ligne, et de quoi.
change-slip-of = { $name } : { $what }
change-slip-note = remarque
change-slip-loads = charges en tout
change-slip-blocks = blocs
change-slip-clean-down = nettoyage avant
change-slip-by-hand = fixé à la main
change-slip-allergens = allergènes
change-slip-this-load = cette charge
change-slip-starts = commence
change-slip-into-mixer = au pétrin
change-slip-whole-steps = pas entiers
change-slip-notes = remarques
change-slip-short = MANQUE
change-slip-scale-tub = balance, bac
change-slip-remark = remarque
change-slip-by = avant
change-slip-stop = STOP
change-slip-earlier-bake = cuisson d’avant
change-slip-whole-sheet = toute la feuille
change-slip-group-block = { $name }, pour { $day }
change-slip-group-load = { $name }, charge { $load }, pour { $day }
change-slip-group-toppings = { $name }, garnitures, pour { $day }
change-slip-to-pull = à sortir : { $place }
change-slip-from-stores = à prendre à la réserve : { $place }
change-slip-not-kept = cette impression n’a pas pu être gardée : aucun feuillet de changements n’est possible contre elle
