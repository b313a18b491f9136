# The day by station.

timeline-title = La journée par poste : { $day }
timeline-none = Aucun poste n’a d’heure enregistrée pour ce jour.
timeline-mixer = pétrissage
timeline-place = tour, étuve, pousse lente
timeline-oven = cuisson
timeline-list = La même chose en liste
timeline-board = Le tableau du jour à imprimer
timeline-picture = Image de tous les postes
