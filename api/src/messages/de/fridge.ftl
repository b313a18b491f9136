# The sheet: fridge.

fridge-at = um
fridge-best-from = am besten ab
fridge-dough = Teig, Los
fridge-feeds = Füttern an Tagen ohne Ansatz
fridge-for-whom = wofür
fridge-kept-pieces = Gefrorene, vorgebackene und Stücke vom Vortag
fridge-last = letzter
fridge-levain = Sauerteig
fridge-made = gemacht
fridge-no-place = Ort?
fridge-nothing-kept = Kein Teig, Sauerteig, keine Creme und kein aufbewahrtes Stück ist im Haus.
fridge-product = Erzeugnis, Los
fridge-ready-from = bereit ab
fridge-seed = Anstellgut
fridge-seed-flour-water = Anstellgut, Mehl, Wasser
fridge-over-age = STOPP: { $name }, Los { $lot }, ist über sein Alter: nicht wie gedacht verwenden
fridge-on-hold = STOPP: { $name }, Los { $lot }, ist gesperrt: stehen lassen
fridge-goes-into = { $day }: in { $by }
fridge-state-ready = bereit
fridge-state-not-ready = noch nicht bereit
fridge-state-on-hold = GESPERRT
fridge-state-stop = STOPP
fridge-kept-frozen = gefroren
fridge-kept-par-baked = vorgebacken
fridge-kept-day-old = vom Vortag
