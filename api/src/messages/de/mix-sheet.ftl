# The sheet: mix sheet.

mix-sheet-at = bei
mix-sheet-at-blank = bei ______ °C
mix-sheet-by-hand = Ohne Kneter
mix-sheet-dough = Teig
mix-sheet-flour = Mehl
mix-sheet-room = Raum
mix-sheet-tap = Leitung
mix-sheet-preferment = Vorteig
mix-sheet-goes-in = kommt hinein
mix-sheet-ice-blank = Eis ________
mix-sheet-ice = Eis
mix-sheet-mass = Masse
mix-sheet-minute = min
mix-sheet-must-give = muss ergeben:
mix-sheet-next = danach:
mix-sheet-no-minutes = Knetzeit: nicht hinterlegt
mix-sheet-no-mixer = von Hand
mix-sheet-no-time = keine Zeit hinterlegt
mix-sheet-not-on-file = nicht hinterlegt
mix-sheet-nothing = An diesem Tag wird nichts geknetet.
mix-sheet-out = heraus:
mix-sheet-out-celsius = Teig °C
mix-sheet-see-water = siehe Wasser
mix-sheet-start = Beginn bis
mix-sheet-tap-water = Leitungswasser
mix-sheet-target = Teigtemperatur
mix-sheet-too-cold = STOPP: selbst wenn alles Eis ist, wird der Teig zu warm. Zuerst Mehl oder Raum kühlen.
mix-sheet-water = Wasser
mix-sheet-water-celsius = Wasser °C
mix-sheet-what = was (Mengen: siehe Abwiegeblatt)
mix-sheet-assumed = Das Wasser ist mit den üblichen Temperaturen des Hauses gerechnet. Messen; weichen sie ab, mit den eigenen neu drucken.
mix-sheet-as-measured = Für diesen Druck gemessen: { $names }. Die übrigen sind die üblichen des Hauses.
mix-sheet-of = { $load } von { $loads }
mix-sheet-goes = in { $goes } Gängen
mix-sheet-speeds = langsam { $slow } min, schnell { $fast } min
mix-sheet-missing = nicht hinterlegt: { $what }
mix-sheet-counts-as = zählt als
mix-sheet-together = zusammen
mix-sheet-done = { $state }: nicht noch einmal kneten
mix-sheet-tubs = { $tubs ->
    [one] 1 Wanne, { $each }
   *[other] { $tubs } Wannen, je { $each }
}
mix-sheet-flour-box = Mehl °C
mix-sheet-room-box = Raum °C
mix-sheet-water-box = Wasser °C
mix-sheet-dough-box = Teig °C
mix-sheet-added-box = Wasser + / - g
mix-sheet-preferment-box = Vorteig °C
mix-sheet-all-liquid = die Rechnung nimmt alle Flüssigkeit mit der Temperatur des Wassers: auch { $liquids }
mix-sheet-hot-water = heißes Wasser: zuerst auf das Mehl, nie direkt auf die Hefe
mix-sheet-sum = { $times } × { $target } - (Mehl { $flour } + Raum { $room } + Reibung { $friction }) = { $wanted }
mix-sheet-sum-preferment = { $times } × { $target } - (Mehl { $flour } + Raum { $room } + Vorteig { $preferment } + Reibung { $friction }) = { $wanted }
