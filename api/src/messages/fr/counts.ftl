# Comptages : quoi compter ensuite, une feuille à saisir, et ce qui en est sorti.

place-counts = Comptages
stock-counts = Compter
counts-title = Comptages
counts-places = Compter un lieu
counts-blind = Compter ce qui s’y trouve. Le livre reste caché jusqu’à ce que le comptage soit enregistré. Ce qui reste vide n’est pas compté ; n’écrire 0 que là où il ne reste rien.
counts-print-all = Imprimer la feuille de tous les lieux
counts-print = Imprimer cette feuille
counts-nowhere = Sans lieu
counts-lots = { $count ->
    [one] 1 lot
   *[other] { $count } lots
}
counts-next = Quoi compter ensuite
counts-none-due = Rien n’est à compter aujourd’hui.
counts-because = Pourquoi
counts-because-negative = le livre a moins que rien
counts-because-short = il en manque au plan
counts-because-high-value = beaucoup d’argent s’y trouve
counts-because-cycle = pas compté depuis des semaines
counts-last = Compté la dernière fois
counts-never = jamais
counts-lately = Compté ces quatre dernières semaines
counts-none-lately = Aucune feuille n’a été saisie.
counts-place-title = Comptage : { $place }
counts-lines = Ce qui s’y trouve
counts-take = Enregistrer ce comptage
counts-other-place = Compter un autre lieu
counts-not-listed = Quelque chose ici n’est pas dans la liste ?
counts-gone = Parti ailleurs depuis l’ouverture de cette feuille :
counts-several-places = se trouve en plusieurs lieux : le compter sur sa propre page.
counts-each = pièces
counts-unit-of = Unité pour { $what }
counts-after-title = Comptage du { $moment }
counts-differ = { $count ->
    [0] Rien ne diffère du livre : { $lines } comptés
    [one] 1 sur { $lines } diffère du livre
   *[other] { $count } sur { $lines } diffèrent du livre
}
counts-worth = Plus que le livre : { $more }. Moins que le livre : { $less }.
counts-worth-unknown = Au moins : une partie n’a pas de prix connu.
counts-counted = Compté
counts-book = Selon le livre
counts-difference = Différence
counts-value = Valeur
counts-value-unknown = pas connue
counts-taken-back = repris
counts-taken-back-hint = Ce qui s’est passé après le moment du comptage reste. Un comptage faux est repris dans le livre et refait.
