# What several printed sheets share.

sheet-printed = printed { $moment }
sheet-number = sheet { $sheet } of { $sheets }
sheet-state-by = { $state } { $moment } by { $who }
sheet-clean-down = Clean-down before this load: the block before had { $gone }
sheet-under-minimum = under the mixer's minimum. Choose and write down: { $options }
sheet-too-little = UNDECIDED: too little
sheet-too-little-of = UNDECIDED: too little { $what }
sheet-undecided = UNDECIDED
sheet-blocks = { $count ->
    [one] 1 block
   *[other] { $count } blocks
}
sheet-pieces-of = { $count ->
    [one] 1 piece
   *[other] { $count } pieces
}
sheet-for-par = { $pieces } for counter par
sheet-by-forecast = { $pieces } by forecast
sheet-page-sum = Sum of this page { $sum }
sheet-all-loads = all { $loads } loads { $sum }
sheet-feed = FEED: nobody bakes with it, it keeps the levain alive until the next build
sheet-substitution = Used instead (read its allergens first)
sheet-blank-for = for
sheet-blank-used = used
sheet-blank-lot = lot
sheet-blank-name = name
sheet-amount = amount
sheet-at-blank = at __________
sheet-by = by
sheet-decided = decided
sheet-drop = drop
sheet-for = for
sheet-how-much = how much
sheet-ingredient = ingredient
sheet-initials = init.
sheet-load = load
sheet-lot = lot
sheet-lot-last-day = lot / last day
sheet-lot-used = lot used
sheet-mixer = mixer
sheet-no = no.
sheet-no-place = No place on record: look for it
sheet-no-place-on-record = no place on record
sheet-not-known = not known
sheet-not-said = not said
sheet-packs = packs
sheet-pieces = pieces
sheet-product = product
sheet-thrown-away = thrown away
sheet-trays = trays
sheet-until = until
sheet-up-to = up to
sheet-what = what
sheet-when = when
sheet-where = where
sheet-why-blank = why ______________________________
caution-freezing = No second freezing: what is thawed is not frozen again.
unit-blocks = { $count ->
    [one] block
   *[other] blocks
}
unit-each = { $count ->
    [one] each
   *[other] each
}
date-year = { $weekday } { $day } { $month } { $year }
date-pack = { $day } { $month } { $year }
unit-loads = { $count ->
    [one] load
   *[other] loads
}
unit-batch = { $count ->
    [one] batch
   *[other] batches
}
