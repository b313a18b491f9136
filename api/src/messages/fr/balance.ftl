# Cours : combien d’un article il y avait et il y aura.

balance-title = Combien il y avait et il y aura
balance-words = Du { $from } au { $to } : { $now } selon le livre maintenant, au moins { $least } à partir de maintenant.
balance-usable = Sur { $book } selon le livre, { $usable } peuvent être utilisés maintenant.
balance-runs-out = Ne suffit plus à partir de { $moment }.
balance-table = La même chose en tableau
balance-when = Quand
balance-what = Quoi
balance-amount = Quantité
balance-left = Reste ensuite
balance-now = maintenant
balance-comes = arrive
balance-ends = se périme
balance-taken = va dans
balance-key-comes = arrive
balance-key-taken = est pris
balance-key-ends = se périme
balance-kind-receive = reçu
balance-kind-weigh = pesé
balance-kind-make = fabriqué
balance-kind-use = utilisé
balance-kind-count = compté
balance-kind-waste = jeté
balance-kind-return = renvoyé
balance-kind-send = livré
balance-kind-correct = repris
