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
lot-label-days = { $days ->
    [one] { $days } jour
   *[other] { $days } jours
 }
lot-label-held = bloqué : ne pas utiliser
lot-label-held-because = bloqué, ne pas utiliser : { $why }
lot-label-past-use-by = date limite de consommation dépassée : ne pas utiliser
lot-label-past-best-before = date de durabilité minimale dépassée : ne pas utiliser
lot-label-past-accepted = date acceptée dépassée : ne pas utiliser
lot-label-past-stated = délai indiqué dépassé : ne pas utiliser
lot-label-past-opened = ouvert depuis trop longtemps : ne pas utiliser
lot-label-past-thawed = décongelé depuis trop longtemps : ne pas utiliser
lot-label-past-age = trop vieux : ne pas utiliser
