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
