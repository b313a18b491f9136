# The sheet: schedule.

schedule-dough-load = pâte, charge
schedule-from = de
schedule-in = entrée
schedule-lasts = dure
schedule-mixers = Charges dans leurs pétrins
schedule-no-time = aucune heure ne convient
schedule-nothing = Aucun produit de ce jour n’a de parcours.
schedule-out = sortie
schedule-par-baked = précuit : finir seulement
schedule-step = étape
schedule-to = à
schedule-part = { $pieces }, partie { $part }
schedule-misses-staff = l’étape { $step } est hors des heures de présence
schedule-misses-window = l’étape { $step } manque sa fenêtre d’âge
schedule-misses-by = { $missed } de { $span }
