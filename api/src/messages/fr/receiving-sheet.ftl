# The sheet: receiving sheet.

receiving-sheet-title = Réception
receiving-sheet-at-least = au moins
receiving-sheet-came-at = arrivé à
receiving-sheet-came-before = déjà arrivés
receiving-sheet-days-of-life = jours de vie
receiving-sheet-delivery-note = bon de livraison
receiving-sheet-due = attendu
receiving-sheet-due-by = attendu avant
receiving-sheet-from = de
receiving-sheet-label-as-before = étiquette inchangée
receiving-sheet-last-day = dernier jour
receiving-sheet-ordered = commandé
receiving-sheet-packs-came = paquets arrivés
receiving-sheet-promised = promis
receiving-sheet-remark = remarque
receiving-sheet-taken-in-by = pris par
receiving-sheet-uneven-weigh = inégal : peser
receiving-sheet-weight = poids
receiving-sheet-count-and-weigh = Compter et peser avant de signer. Ce qui manque, est en trop, ouvert, mouillé ou a passé sa date est noté ici et sur le bon de livraison.
receiving-sheet-temperature = Noter la température des produits réfrigérés et congelés. La limite est dans le plan de sécurité des aliments du site : cette feuille n’en fixe aucune.
receiving-sheet-read-the-list = Lire la liste des ingrédients. Autre marque ou autre liste : bloquer jusqu’à ce que ses allergènes soient relus.
receiving-sheet-lift = Lever à deux ce qui dépasse 25 kg.
