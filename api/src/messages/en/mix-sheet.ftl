# The sheet: mix sheet.

mix-sheet-at = at
mix-sheet-at-blank = at ______ °C
mix-sheet-by-hand = Without a mixer
mix-sheet-dough = dough
mix-sheet-flour = flour
mix-sheet-room = room
mix-sheet-tap = tap
mix-sheet-preferment = preferment
mix-sheet-goes-in = goes in
mix-sheet-ice-blank = ice ________
mix-sheet-ice = ice
mix-sheet-mass = mass
mix-sheet-minute = min
mix-sheet-must-give = must give:
mix-sheet-next = next:
mix-sheet-no-minutes = mixing minutes: not on file
mix-sheet-no-mixer = by hand
mix-sheet-no-time = no time on file
mix-sheet-not-on-file = not on file
mix-sheet-nothing = Nothing is mixed on this date.
mix-sheet-out = out:
mix-sheet-out-celsius = out °C
mix-sheet-see-water = see water
mix-sheet-start = start by
mix-sheet-tap-water = tap water
mix-sheet-target = dough out at
mix-sheet-too-cold = STOP: even all of it as ice leaves the dough too warm. Cool the flour or the room first.
mix-sheet-water = water
mix-sheet-water-celsius = water °C
mix-sheet-what = what (amounts: see the weigh-out)
mix-sheet-assumed = Water is computed with the house's usual temperatures. Measure; if they differ, print anew with yours.
mix-sheet-as-measured = As measured for this print: { $names }. The rest are the house's usual.
mix-sheet-of = { $load } of { $loads }
mix-sheet-goes = in { $goes } goes
mix-sheet-speeds = slow { $slow } min, fast { $fast } min
mix-sheet-missing = not on file: { $what }
mix-sheet-counts-as = counts as
mix-sheet-together = together
mix-sheet-done = { $state }: do not mix again
mix-sheet-tubs = { $tubs ->
    [one] 1 tub, { $each }
   *[other] { $tubs } tubs, { $each } each
}
mix-sheet-flour-box = flour °C
mix-sheet-room-box = room °C
mix-sheet-water-box = water °C
mix-sheet-dough-box = dough °C
mix-sheet-added-box = water + / - g
mix-sheet-preferment-box = preferment °C
mix-sheet-all-liquid = the sum takes all liquid at the water's temperature: { $liquids } too
mix-sheet-hot-water = hot water: onto the flour first, never straight onto yeast
mix-sheet-sum = { $times } × { $target } - (flour { $flour } + room { $room } + friction { $friction }) = { $wanted }
mix-sheet-sum-preferment = { $times } × { $target } - (flour { $flour } + room { $room } + preferment { $preferment } + friction { $friction }) = { $wanted }
