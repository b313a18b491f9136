# The sheet: replaced.

replaced-allergens-not-known = ALLERGÈNES INCONNUS :
replaced-brings-in = APPORTE
replaced-contains-also = contient aussi
replaced-do-not-sell-as-free-from = Ne pas vendre comme « sans ».
replaced-excluded = N’est pas envoyé à
replaced-in = dans
replaced-labels = LES ÉTIQUETTES CHANGENT : de nouvelles étiquettes avant tout emballage.
replaced-may-bring-in = PEUT APPORTER
replaced-may-contain-also = peut contenir aussi
replaced-needed = besoin
replaced-no = pas de
replaced-nobody = Aucun client de ce jour n’est noté comme évitant ce qui est nouveau.
replaced-not-yet = PAS EN USAGE : il n’est utilisé qu’après la signature d’une personne nommée.
replaced-of-each-line-for = de chaque ligne, pour
replaced-products = Où il entre
replaced-same-labels = Aucune étiquette ne change selon nos relevés.
replaced-short = manque
replaced-signed-blank = signé par ______________________
replaced-stock = Stock jusqu’à la fin du plan
replaced-then = alors
replaced-title = Remplaçant à signer
replaced-released-keep = Les charges fixées de { $formula } gardent ce avec quoi elles ont été fixées.
