# The sheet: change slip.

change-slip-difference = difference
change-slip-do-not-weigh = GONE: do not weigh it
change-slip-gone = GONE
change-slip-new = NEW
change-slip-nothing-changed = Nothing on your sheet has changed.
change-slip-now = now
change-slip-title = Change slip
change-slip-was = was
change-slip-replaces = Replaces lines of the { $sheet } of { $revision }. All other lines stay as printed.
change-slip-new-load = NEW: print its page, { $revision }

# What a line says, and of what.
change-slip-of = { $name }: { $what }
change-slip-note = note
change-slip-loads = loads in all
change-slip-blocks = blocks
change-slip-clean-down = clean-down before it
change-slip-by-hand = set by hand
change-slip-allergens = allergens
change-slip-this-load = this load
change-slip-starts = starts
change-slip-into-mixer = into the mixer
change-slip-whole-steps = whole steps
change-slip-notes = notes
change-slip-short = SHORT
change-slip-scale-tub = scale, tub
change-slip-remark = remark
change-slip-by = by
change-slip-stop = STOP
change-slip-earlier-bake = earlier bake
change-slip-whole-sheet = the whole sheet
change-slip-group-block = { $name }, for { $day }
change-slip-group-load = { $name }, load { $load }, for { $day }
change-slip-group-toppings = { $name }, toppings, for { $day }
change-slip-to-pull = to pull: { $place }
change-slip-from-stores = from the stores: { $place }
change-slip-not-kept = this print could not be kept: no change slip can be made against it
