# Too little, and no cutoff left: ways to cut, and what was decided.

cuts-undecided = NON DÉCIDÉ : il y a trop peu, et on ne peut plus commander.
cuts-nothing = Rien à réduire pour ce jour : rien ne manque, ou tout est décidé.
cuts-print = Imprimer les réductions
cuts-scarce = Ce qui est rare
cuts-up-to = Jusqu’à
cuts-there = Disponible
cuts-wanted = Demandé
cuts-ways = Deux façons de réduire
cuts-fair = Équitable
cuts-best = Au mieux
cuts-fair-is = Dans un même rang, chacun cède la même part.
cuts-best-is = Garde le plus de valeur, rang par rang.
cuts-pieces = Pièces gardées
cuts-worth = Valeur
cuts-still-short = Manque encore : { $amount } de { $item }.
cuts-cost-of-fairness = L’équité coûte { $cost }.
cuts-earlier-tier = La seconde façon garde moins de valeur, mais plus d’un rang antérieur.
cuts-without-price = Sans prix connu : { $products }. Chaque pièce compte pour une.
cuts-products = Produits réduits
cuts-because = Parce que
cuts-uncut = pas réduit
cuts-lines = Qui reçoit combien
cuts-tier = Rang
cuts-wanted-par = stock de comptoir, pas commandé
cuts-wanted-forecast = prévision, pas commandé
cuts-decide = Décider
cuts-decide-hint = Les commandes gardent ce qui était demandé ; les plans n’en font pas plus, et disent qui a décidé et pourquoi. Prévenez les clients.
cuts-who = Qui décide
cuts-which-way = Quelle façon
cuts-take-way = Décider ainsi
cuts-own = Vos propres nombres …
cuts-own-hint = Rempli avec la façon équitable. Une case vide laisse sa ligne non décidée.
cuts-take-own = Décider ces nombres
cuts-of-asked = sur { $pieces }
cuts-decided = Ce qui a été décidé
cuts-decided-lines = { $count ->
    [one] Une ligne
   *[other] { $count } lignes
}
cuts-taken-back = ANNULÉ par { $who } :
cuts-take-back = Annuler
done-decided = C’est décidé. Les plans n’en font pas plus.
done-taken-back = La décision est annulée.
cuts-left-out = { $doughs } entièrement laissé, sous le minimum du pétrin : ou augmentez à la main.
cuts-proven = Aucune façon de réduire ne garde plus.
