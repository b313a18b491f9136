# The sheet: fridge.

fridge-at = à
fridge-best-from = meilleur dès
fridge-dough = pâte, lot
fridge-feeds = Rafraîchis des jours sans levain à faire
fridge-for-whom = pour qui
fridge-kept-pieces = Pièces congelées, précuites et de la veille
fridge-last = dernier
fridge-levain = levain
fridge-made = fait
fridge-no-place = lieu ?
fridge-nothing-kept = Ni pâte, ni levain, ni crème, ni pièce gardée dans la maison.
fridge-product = produit, lot
fridge-ready-from = prêt dès
fridge-seed = chef
fridge-seed-flour-water = chef, farine, eau
fridge-over-age = STOP : { $name }, lot { $lot }, a dépassé son âge : ne pas l’utiliser comme prévu
fridge-on-hold = STOP : { $name }, lot { $lot }, est bloqué : le laisser
fridge-goes-into = { $day } : dans { $by }
fridge-state-ready = prêt
fridge-state-not-ready = pas prêt
fridge-state-on-hold = BLOQUÉ
fridge-state-stop = STOP
fridge-kept-frozen = congelé
fridge-kept-par-baked = précuit
fridge-kept-day-old = de la veille
