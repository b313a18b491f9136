# The sheet: drop sheet.

drop-sheet-allergens = allergènes selon nos relevés
drop-sheet-ask = Question sur les allergènes : lire ce qui est écrit ici, avec produit, état et date.
drop-sheet-last-off-first = dans l’ordre de chargement : la dernière remise d’abord
drop-sheet-no-run = retiré sur place, ou aucune tournée notée
drop-sheet-no-time = aucune heure dans la commande
drop-sheet-nothing = Rien ne quitte la maison pour ce jour.
drop-sheet-ordered = commandé
drop-sheet-packed = emballé
drop-sheet-crates-out = caisses sorties
drop-sheet-crates-back = caisses revenues
drop-sheet-received-by = reçu par (nom, heure)
drop-sheet-stop = arrêt { $stop }
drop-sheet-short = { $pieces } sur { $asked }
drop-sheet-avoids = évite { $allergens }
drop-sheet-decided = décidé par { $who } : { $note }
drop-sheet-stop-words = STOP : { $what } ; { $customer } l’évite : demander avant d’emballer
drop-sheet-contains = contient { $allergens }
drop-sheet-may-contain = peut contenir : { $allergens }
drop-sheet-not-known = les allergènes de { $items } ne sont pas connus
