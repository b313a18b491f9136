# Weighing out at a tablet.

weigh-out-title = Pesée du { $day }
weigh-out-nothing = Rien n’est pesé ce jour.
weigh-out-open = { $count ->
    [0] Toutes les charges sont pesées.
    [one] Une charge reste à peser.
   *[other] { $count } charges restent à peser.
}
weigh-out-toppings = Garnitures et finitions sont sur la feuille imprimée.
weigh-out-print = La feuille à imprimer
weigh-out-notes = À savoir pour ce jour
weigh-out-load = charge { $load } sur { $loads }
weigh-out-before = Charge précédente
weigh-out-next = Charge suivante
weigh-out-all = Toutes les charges du jour
weigh-out-done = Fait : NE PAS peser à nouveau.
weigh-out-clean-down = Nettoyer avant cette charge : la précédente contenait { $gone }.
weigh-out-undecided = NON DÉCIDÉ : sous le minimum du pétrin. Choisir :
weigh-out-two-people = { $mass } : à deux / levage
weigh-out-allergens = Dans cette pâte :
weigh-out-who = Qui
weigh-out-release = Fixer cette charge, puis la peser
weigh-out-weighed = Tout est pesé
weigh-out-sum = Somme de cette page : { $sum }
weigh-out-short = IL MANQUE { $amount }
weigh-out-until = jusqu’au { $moment }
weigh-out-otherwise = Autre lot ou quantité …
weigh-out-other-lot = Lot utilisé
weigh-out-new-lot = Personne n’a encore saisi ce lot
weigh-out-other-amount = Quantité pesée
load-state-draft = projet
load-state-released = fixée
load-state-weighed = pesée
load-state-mixed = pétrie
load-state-divided = divisée
load-state-baked = cuite
load-state-packed = emballée
load-state-sent = livrée
load-state-cancelled = annulée
load-state-lost = perdue
done-load-released = La charge est fixée : plus aucun changement ne la touche. Pesez-la maintenant.
done-load-weighed = La charge est pesée, ses lots sont sortis du stock.
caution-label = Vérifiez l’étiquette de l’emballage : cette liste vient de nos relevés.
caution-guard = Pétrin : protection fermée, mains dehors.
caution-dust = Poussière de farine : ne pas la respirer, la tenir loin des flammes et des étincelles.
caution-taste = Ne goûtez ni pâte crue ni farine.
weigh-out-count = compter
weigh-out-done-sheet = Fait : NE PAS peser celles-ci à nouveau
weigh-out-scale-tub = balance / bac
weigh-out-starts = début
weigh-out-this-load-into-the-mixer = cette charge au pétrin
weigh-out-toppings-sheet = Garnitures et finitions
weigh-out-whole-steps = pas entiers
tub-flour = farine
tub-dry = sec
tub-salt = sel
tub-yeast = levure
tub-cold = froid
tub-own-tub = son bac
tub-liquid = liquide
tub-at-use = au moment
