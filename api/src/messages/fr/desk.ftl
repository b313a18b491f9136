# The shortage desk.

desk-title = Manques
desk-hint = Par dernier moment pour appeler, pour les jours de livraison jusqu’au { $day }.
desk-nothing = Rien ne manque.
desk-other-orders = Autres commandes de ces jours
desk-later = Peut attendre après la prochaine heure limite
desk-undecided = NON DÉCIDÉ : une partie ne peut plus être commandée. Dites qui reçoit combien.
desk-cuts = Que réduire pour le { $day }
desk-notes = { $count ->
    [one] Une remarque
   *[other] { $count } remarques
}
desk-print = Imprimer la feuille des manques
desk-no-supplier = Aucun fournisseur connu
desk-ring-by = appeler avant { $moment } · encore { $hours } h { $minutes } min
desk-cutoff-gone = HEURE LIMITE PASSÉE depuis { $moment } : appeler quand même, ou décider
desk-no-delivery = AUCUNE LIVRAISON N’ARRIVE À TEMPS
desk-no-hurry = rien ne presse
desk-line-undecided = NON DÉCIDÉ
desk-top-up = complète seulement le stock de sécurité
desk-short-by = il manque { $amount }
desk-runs-out = Épuisé { $moment }, d’abord pour { $user } du { $day }.
desk-why = Pourquoi ?
desk-levers = Que faire, le plus doux d’abord
desk-needed = Besoin
desk-safety = Stock de sécurité
desk-pack = À commander
desk-no-pack = aucun conditionnement connu
desk-price-unknown = prix inconnu
desk-least-life = { $days ->
    [one] au moins un jour de vie à la porte
   *[other] au moins { $days } jours de vie à la porte
}
desk-arrives = Arrive avant
desk-balance = Solde de { $item }
desk-balance-words = de { $from } le { $start } à { $to } le { $end }
desk-covered = { $count ->
    [one] Un article est couvert
   *[other] { $count } articles sont couverts
}
desk-left = reste { $amount }
desk-to-send = Commande à envoyer avant { $moment }
desk-choice-as-is = La commande atteint le minimum.
desk-choice-fill = Des conditionnements d’heures limites suivantes sont avancés : cela ne coûte pas plus que le port.
desk-choice-pay-carriage = Elle reste sous le minimum : avancer davantage coûterait plus que le port, ou n’y suffirait pas.
desk-choice-refused-below-minimum = Le fournisseur n’accepte AUCUNE commande sous le minimum : complétez, ou achetez ailleurs.
desk-drafted = Un brouillon existe pour cette heure limite :
desk-packs = Conditionnements
desk-what-for = Pourquoi
desk-cost = Coût
desk-pressing-must = manque sans cela
desk-pressing-top-up = complète le stock de sécurité
desk-forward = { $packs ->
    [one] un avancé
   *[other] { $packs } avancés
}
desk-next-break = { $packs } conditionnements coûtent { $money } de moins
desk-split = { $packs } × { $holds } au lieu du dernier conditionnement économise { $money }
desk-goods = Marchandises
desk-minimum = Commande minimale
desk-gap = il manque { $money }
desk-carriage = Port
desk-saves = Économie en avançant
desk-who = Qui le fait
desk-draft = Créer le brouillon
desk-open-orders = Commandes ouvertes
desk-order = Commande
desk-cutoff = Heure limite
desk-gap-alone = seule, il manquerait { $money }
