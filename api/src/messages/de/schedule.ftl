# The sheet: schedule.

schedule-dough-load = Teig, Charge
schedule-from = von
schedule-in = hinein
schedule-lasts = dauert
schedule-mixers = Chargen in ihren Knetern
schedule-no-time = keine Zeit passt
schedule-nothing = Kein Erzeugnis dieses Tages hat einen Ablauf.
schedule-out = heraus
schedule-par-baked = vorgebacken: nur fertig backen
schedule-step = Schritt
schedule-to = bis
schedule-part = { $pieces }, Teil { $part }
schedule-misses-staff = Schritt { $step } liegt außerhalb der besetzten Stunden
schedule-misses-window = Schritt { $step } verfehlt sein Altersfenster
schedule-misses-by = { $missed } um { $span }
