# The day by station.

timeline-title = Der Tag nach Stationen: { $day }
timeline-none = Für diesen Tag ist an keiner Station eine Zeit hinterlegt.
timeline-mixer = Kneten
timeline-place = Tisch, Gärraum, Kühlgare
timeline-oven = Backen
timeline-list = Dasselbe als Liste
timeline-board = Die Tagestafel zum Drucken
timeline-picture = Bild aller Stationen
