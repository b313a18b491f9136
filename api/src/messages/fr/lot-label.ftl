# The sheet: lot label.

lot-label-best-before = À consommer de préférence avant
lot-label-lot = Lot
lot-label-made = Fait
lot-label-no-date = À utiliser avant : inconnu, demander avant usage
lot-label-once-opened = Une fois ouvert, utiliser sous
lot-label-opened-on = ouvert
lot-label-received = Reçu
lot-label-stop = STOP :
lot-label-title = Étiquette
lot-label-usable-until = Utilisable jusqu’au
lot-label-use-by = À CONSOMMER JUSQU’AU
lot-label-no-freezing = Pas de seconde congélation.
lot-label-from-records = Allergènes selon nos relevés : vérifier l’étiquette de l’emballage.
