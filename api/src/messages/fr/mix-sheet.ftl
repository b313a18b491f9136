# The sheet: mix sheet.

mix-sheet-at = à
mix-sheet-at-blank = à ______ °C
mix-sheet-by-hand = Sans pétrin
mix-sheet-dough = pâte
mix-sheet-flour = farine
mix-sheet-room = local
mix-sheet-tap = robinet
mix-sheet-preferment = préferment
mix-sheet-goes-in = on met
mix-sheet-ice-blank = glace ________
mix-sheet-ice = glace
mix-sheet-mass = masse
mix-sheet-minute = min
mix-sheet-must-give = doit donner :
mix-sheet-next = ensuite :
mix-sheet-no-minutes = durée de pétrissage : non notée
mix-sheet-no-mixer = à la main
mix-sheet-no-time = aucune heure notée
mix-sheet-not-on-file = non noté
mix-sheet-nothing = Rien n’est pétri ce jour.
mix-sheet-out = sortie :
mix-sheet-out-celsius = sortie °C
mix-sheet-see-water = voir eau
mix-sheet-start = début avant
mix-sheet-tap-water = eau du robinet
mix-sheet-target = pâte à la sortie
mix-sheet-too-cold = STOP : même tout en glace, la pâte reste trop chaude. D’abord refroidir la farine ou le local.
mix-sheet-water = eau
mix-sheet-water-celsius = eau °C
mix-sheet-what = quoi (quantités : voir la feuille de pesée)
mix-sheet-assumed = L’eau est calculée avec les températures habituelles de la maison. Mesurer ; si elles diffèrent, réimprimer avec les vôtres.
mix-sheet-as-measured = Mesuré pour cette impression : { $names }. Le reste est l’habituel de la maison.
mix-sheet-of = { $load } sur { $loads }
mix-sheet-goes = en { $goes } fois
mix-sheet-speeds = lent { $slow } min, rapide { $fast } min
mix-sheet-missing = non noté : { $what }
mix-sheet-counts-as = compte comme
mix-sheet-together = ensemble
mix-sheet-done = { $state } : ne pas pétrir à nouveau
mix-sheet-tubs = { $tubs ->
    [one] { $tubs } bac, { $each }
   *[other] { $tubs } bacs, { $each } chacun
}
mix-sheet-flour-box = farine °C
mix-sheet-room-box = local °C
mix-sheet-water-box = eau °C
mix-sheet-dough-box = pâte °C
mix-sheet-added-box = eau + / - g
mix-sheet-preferment-box = préferment °C
mix-sheet-all-liquid = le calcul prend tout liquide à la température de l’eau : { $liquids } aussi
mix-sheet-hot-water = eau chaude : d’abord sur la farine, jamais directement sur la levure
mix-sheet-sum = { $times } × { $target } - (farine { $flour } + local { $room } + friction { $friction }) = { $wanted }
mix-sheet-sum-preferment = { $times } × { $target } - (farine { $flour } + local { $room } + préferment { $preferment } + friction { $friction }) = { $wanted }
