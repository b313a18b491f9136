# The sheet: waste.

waste-by-reason = Par raison, en kilogrammes
waste-by-week = Par semaine, en kilogrammes
waste-by-week-and-reason = Par semaine et raison
waste-lines = Ligne par ligne
waste-no-lot = aucun lot
waste-nothing-wasted = Rien n’a été jeté ces jours-là.
waste-reason = raison
waste-to = au
waste-week = semaine
waste-went-to = où
waste-route-bin = poubelle
waste-route-feed = bétail
waste-route-donation = don
waste-name-no-reason-given = aucune raison donnée
