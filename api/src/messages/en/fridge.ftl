# The sheet: fridge.

fridge-at = at
fridge-best-from = best from
fridge-dough = dough, lot
fridge-feeds = Feeds on days without a build
fridge-for-whom = for whom
fridge-kept-pieces = Frozen, par-baked and day-old pieces
fridge-last = last
fridge-levain = levain
fridge-made = made
fridge-no-place = place?
fridge-nothing-kept = No dough, levain, cream or kept piece is in the house.
fridge-product = product, lot
fridge-ready-from = ready from
fridge-seed = seed
fridge-seed-flour-water = seed, flour, water
fridge-over-age = STOP: { $name }, lot { $lot }, is over its age: do not use it as it was meant
fridge-on-hold = STOP: { $name }, lot { $lot }, is on hold: leave it
fridge-goes-into = { $day }: into { $by }
fridge-state-ready = ready
fridge-state-not-ready = not ready
fridge-state-on-hold = on hold
fridge-state-stop = STOP
fridge-kept-frozen = frozen
fridge-kept-par-baked = par-baked
fridge-kept-day-old = day-old
