# The sheet: receiving sheet.

receiving-sheet-title = Receiving
receiving-sheet-at-least = at least
receiving-sheet-came-at = came at
receiving-sheet-came-before = came before
receiving-sheet-days-of-life = days of life
receiving-sheet-delivery-note = delivery note
receiving-sheet-due = due
receiving-sheet-due-by = due by
receiving-sheet-from = from
receiving-sheet-label-as-before = label as before
receiving-sheet-last-day = last day
receiving-sheet-ordered = ordered
receiving-sheet-packs-came = packs came
receiving-sheet-promised = promised
receiving-sheet-remark = remark
receiving-sheet-taken-in-by = taken in by
receiving-sheet-uneven-weigh = uneven: weigh
receiving-sheet-weight = weight
receiving-sheet-count-and-weigh = Count and weigh before you sign. What is short, over, open, wet or past its date is written down here and on the delivery note.
receiving-sheet-temperature = Write down the temperature of chilled and frozen goods. The limit is in the site's own food-safety plan: this sheet sets none.
receiving-sheet-read-the-list = Read the list of ingredients. Another brand or another list: put it on hold until its allergens are read anew.
receiving-sheet-lift = Lift with two what is over 25 kg.
