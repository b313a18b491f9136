# The day by station.

timeline-title = The day by station: { $day }
timeline-none = No station has a time on file for this date.
timeline-mixer = mixing
timeline-place = bench, prover, retarder
timeline-oven = baking
timeline-list = The same as a list
timeline-board = The day board to print
timeline-picture = Picture of all stations
