# The sheet: pick list.

pick-list-all = all
pick-list-fetch = fetch
pick-list-from-to = from > to
pick-list-nothing-in-stores = Nothing is fetched from the stores on this date.
pick-list-nothing-to-pull = Nothing is pulled from the cold on this date.
pick-list-pull = Pull list: from fridge and freezer
pick-list-stores = Stores list
pick-list-thaw = thaw { $span }
pick-list-temper = temper { $span }
pick-list-cannot = STOP, cannot: thaw { $thaw }, had to be out { $out }; next possible { $next }
pick-list-stop-hold = STOP: lot { $lot } is on hold, leave it
pick-list-stop-date = STOP: lot { $lot } is past its date, leave it
pick-list-stop-age = STOP: lot { $lot } is over its age, leave it
