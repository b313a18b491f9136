# The sheet: drop sheet.

drop-sheet-allergens = allergens by our records
drop-sheet-ask = Asked about allergens: read out what stands here, with product, revision and date.
drop-sheet-last-off-first = in order of loading: last off first
drop-sheet-no-run = fetched, or no run on file
drop-sheet-no-time = no time in the order
drop-sheet-nothing = Nothing leaves the house for this date.
drop-sheet-ordered = ordered
drop-sheet-packed = packed
drop-sheet-crates-out = crates out
drop-sheet-crates-back = crates back
drop-sheet-received-by = received by (name, time)
drop-sheet-stop = stop { $stop }
drop-sheet-short = { $pieces } of { $asked }
drop-sheet-avoids = avoids { $allergens }
drop-sheet-decided = decided by { $who }: { $note }
drop-sheet-stop-words = STOP: { $what }; { $customer } avoids it: ask before it is packed
drop-sheet-contains = contains { $allergens }
drop-sheet-may-contain = may contain { $allergens }
drop-sheet-not-known = allergens of { $items } are not known
