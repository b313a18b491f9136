# The sheet: expiring.

expiring-could-use-it = pourrait l’utiliser
expiring-dates = Passé une date limite de consommation, rien n’est utilisé. Passé une date de durabilité minimale, seulement sur décision d’une personne nommée.
expiring-freezing = Congeler, donner, nourrir des bêtes : seulement comme le plan du site et la loi locale le permettent.
expiring-last = dernier
expiring-left-over = reste
expiring-money = argent
expiring-no-use = rien de noté
expiring-nothing = Rien ne se périme sans usage jusqu’à ce jour.
expiring-past = PASSÉ : STOP
expiring-title = Périmé avant d’être utilisé
expiring-planned = prévu avant : { $amount }
expiring-kept-back = les lots qui ne doivent pas être utilisés y sont aussi : décider à temps de ce qu’ils deviennent
