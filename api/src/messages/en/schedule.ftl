# The sheet: schedule.

schedule-dough-load = dough, load
schedule-from = from
schedule-in = in
schedule-lasts = lasts
schedule-mixers = Loads in their mixers
schedule-no-time = no time fits
schedule-nothing = No product of this date has a route.
schedule-out = out
schedule-par-baked = par-baked: finish only
schedule-step = step
schedule-to = to
schedule-part = { $pieces }, part { $part }
schedule-misses-staff = step { $step } misses its staffed hours
schedule-misses-window = step { $step } misses its age window
schedule-misses-by = { $missed } by { $span }
