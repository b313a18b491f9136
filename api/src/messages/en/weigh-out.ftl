# Weighing out at a tablet.

weigh-out-title = Weigh-out of { $day }
weigh-out-nothing = Nothing is weighed on this date.
weigh-out-open = { $count ->
    [0] All loads are weighed.
    [one] One load is still to be weighed.
   *[other] { $count } loads are still to be weighed.
}
weigh-out-toppings = Toppings and finish are on the printed sheet.
weigh-out-print = The sheet to print
weigh-out-notes = What to know of this date
weigh-out-load = load { $load } of { $loads }
weigh-out-before = The load before
weigh-out-next = The next load
weigh-out-all = All loads of the date
weigh-out-done = Done: do NOT weigh this again.
weigh-out-clean-down = Clean-down before this load: the block before had { $gone }.
weigh-out-undecided = UNDECIDED: under the mixer’s minimum. Choose:
weigh-out-two-people = { $mass }: two people / lift
weigh-out-allergens = In this dough:
weigh-out-who = Who
weigh-out-release = Fix this load, then weigh it
weigh-out-weighed = All weighed
weigh-out-sum = Sum of this page: { $sum }
weigh-out-short = SHORT by { $amount }
weigh-out-until = until { $moment }
weigh-out-otherwise = Another lot or amount …
weigh-out-other-lot = Lot used
weigh-out-new-lot = Nobody has entered this lot yet
weigh-out-other-amount = Amount weighed
load-state-draft = draft
load-state-released = released
load-state-weighed = weighed
load-state-mixed = mixed
load-state-divided = divided
load-state-baked = baked
load-state-packed = packed
load-state-sent = sent
load-state-cancelled = called off
load-state-lost = lost
done-load-released = The load is fixed: no change moves it any more. Weigh it now.
done-load-weighed = The load is weighed, and its lots have left the stock.
caution-label = Check the label on the pack: this list comes from our records.
caution-guard = Mixer: guard closed, hands out.
caution-dust = Flour dust: do not breathe it in, keep it from flames and sparks.
caution-taste = Do not taste raw dough or flour.
weigh-out-count = count
weigh-out-done-sheet = Done: do NOT weigh these again
weigh-out-scale-tub = scale / tub
weigh-out-starts = starts
weigh-out-this-load-into-the-mixer = this load into the mixer
weigh-out-toppings-sheet = Toppings and finish
weigh-out-whole-steps = whole steps
tub-flour = flour
tub-dry = dry
tub-salt = salt
tub-yeast = yeast
tub-cold = cold
tub-own-tub = own tub
tub-liquid = liquid
tub-at-use = at use
