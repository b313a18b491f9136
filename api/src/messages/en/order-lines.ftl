# What is said of the lines of an order.

order-said = { $what }.
order-said-from = { $what }, { $from }.
order-said-none-wanted = No pieces wanted
order-said-cancelled = No pieces wanted: the line is cancelled
order-said-none-taken = None of { $asked } taken
order-said-some-taken = { $taken } of { $asked } taken
order-said-taken = { $pieces } taken
order-said-none-possible = None of { $asked } can be made
order-said-at-most = At most { $most } of { $asked } can be made
order-said-possible = { $pieces } can be made
order-said-from-stock = { $pieces } from finished stock
order-said-from-overs = { $pieces } from overs
order-said-from-extra = { $pieces } from an extra load
order-said-from-extra-by = { $pieces } from an extra load to be begun by { $at } (step { $step })
order-said-to-make = { $pieces } still to be made
order-said-surplus = { $pieces ->
    [one] 1 piece is
   *[other] { $pieces } pieces are
    } begun already: surplus for the counter, the freezer or old dough.
order-said-surplus-begun = { $pieces ->
    [one] 1 piece is
   *[other] { $pieces } pieces are
    } begun already ({ $begun }): surplus for the counter, the freezer or old dough.
order-said-too-late = Too late: { $begun }.
order-said-drop-past = Too late: the drop was { $at }.
order-said-after-cutoff = The cutoff was { $at }: it is counted, and a person says whether it is made.
order-said-staff = { $item } fits no staffed hours before the drop: step `{ $step }` finds nobody there.
order-said-age-window = { $item } finds no times before the drop: step `{ $step }` lies outside its age window.
order-said-age-window-by = { $item } finds no times before the drop: step `{ $step }` lies outside its age window by { $minutes ->
    [one] 1 minute
   *[other] { $minutes } minutes
    }.
order-said-capacity = { $item } finds no room: { $spot } is taken at all its times.
order-said-under-minimum = { $item } would be a load of { $mass }, and { $mixer } needs { $least }: a person decides what to do with it.
order-said-too-many-loads = { $item } would take more loads than can be mixed.
order-said-missing = { $item } is missing: { $amount } too little from { $at }, and nobody delivers it before then.
order-said-missing-closed = { $item } is missing: { $amount } too little from { $at }, and the last order for it closed { $cutoff }.
order-said-missing-earlier = { $product } is missing: { $pieces } baked { $day } too few.
order-said-pieces = { $pieces ->
    [one] 1 piece
   *[other] { $pieces } pieces
}
order-said-extra-by = An extra load had to be begun by { $at }.
order-said-no-extra = No extra load: { $why }
order-said-earliest = Earliest for this drop time: { $at }.
order-said-weighed = { $item } weighed { $at }
order-said-mixed = { $item } mixed { $at }
order-said-made = { $item } made { $at }
order-said-fed = { $item } fed { $at }
order-said-begun = { $item } begun with step { $step } { $at }
order-said-had-to-be-weighed = { $item } had to be weighed { $at }
order-said-had-to-be-mixed = { $item } had to be mixed { $at }
order-said-had-to-be-made = { $item } had to be made { $at }
order-said-had-to-be-fed = { $item } had to be fed { $at }
order-said-had-to-be-begun = { $item } had to be begun with step { $step } { $at }
order-said-taken-whole = { $pieces ->
    [one] 1 piece taken.
   *[other] { $pieces } pieces taken.
}
order-said-part-taken = { $taken } of { $asked } pieces taken.
order-said-held = Held, not added: a standing order covers this drop. Send the next version with standing `replaces` or `adds`.
order-said-unknown-product = We sell nothing called `{ $product }`: mend the code and send the next version.
order-said-negative = { $asked } is less than none: send 0 to cancel the line.
order-said-fractional = { $asked } is not a number of whole pieces: send whole pieces.
order-said-too-large = { $asked } is more than the { $most } pieces that one line may have.
order-said-no-stock = no stock is recorded: whether ingredients suffice was not judged
order-said-all-or-nothing = Another line was refused and the order is all or nothing.
