# The shortage desk.

desk-title = Shortage desk
desk-hint = By the latest moment to ring, for service dates up to { $day }.
desk-nothing = Nothing runs short.
desk-other-orders = Other orders of these days
desk-later = Can wait until after the next cutoff
desk-undecided = UNDECIDED: some of it can no longer be ordered. Say who gets how much.
desk-cuts = What to cut for { $day }
desk-notes = { $count ->
    [one] One thing to know
   *[other] { $count } things to know
}
desk-print = Print the shortage sheet
desk-no-supplier = No supplier on record
desk-ring-by = ring by { $moment } · { $hours } h { $minutes } min left
desk-cutoff-gone = CUTOFF GONE since { $moment }: ring all the same, or decide
desk-no-delivery = NO DELIVERY COMES IN TIME
desk-no-hurry = no hurry
desk-line-undecided = UNDECIDED
desk-top-up = only tops up the safety stock
desk-short-by = short by { $amount }
desk-runs-out = Runs out { $moment }, first for { $user } of { $day }.
desk-why = Why?
desk-levers = What can be done, mildest first
desk-needed = Needed
desk-safety = Safety stock
desk-pack = To order
desk-no-pack = no pack on record
desk-price-unknown = price not known
desk-least-life = { $days ->
    [one] at least one day of life at the door
   *[other] at least { $days } days of life at the door
}
desk-arrives = Comes by
desk-balance = Balance of { $item }
desk-balance-words = from { $from } on { $start } to { $to } on { $end }
desk-covered = { $count ->
    [one] One item is covered
   *[other] { $count } items are covered
}
desk-left = { $amount } left
desk-to-send = Order to send by { $moment }
desk-choice-as-is = The order reaches the minimum.
desk-choice-fill = Packs of later cutoffs are brought forward: that costs no more than carriage.
desk-choice-pay-carriage = It stays below the minimum: bringing more forward would cost more than carriage, or not reach it.
desk-choice-refused-below-minimum = The supplier takes NO order below the minimum: add to it, or buy elsewhere.
desk-drafted = A draft for this cutoff is there:
desk-packs = Packs
desk-what-for = Why
desk-cost = Cost
desk-pressing-must = runs short without it
desk-pressing-top-up = tops up the safety stock
desk-forward = { $packs ->
    [one] one brought forward
   *[other] { $packs } brought forward
}
desk-next-break = { $packs } packs cost { $money } less
desk-split = { $packs } × { $holds } in place of the last pack saves { $money }
desk-goods = Goods
desk-minimum = Minimum order
desk-gap = { $money } missing
desk-carriage = Carriage
desk-saves = Saved by bringing forward
desk-who = Who does it
desk-draft = Make the draft
desk-open-orders = Open orders
desk-order = Order
desk-cutoff = Cutoff
desk-gap-alone = alone { $money } would be missing
