# Too little, and no cutoff left: ways to cut, and what was decided.

cuts-undecided = UNDECIDED: there is too little and it can no longer be ordered.
cuts-nothing = Nothing is to be cut for this date: nothing is short, or all of it is decided.
cuts-print = Print the ways to cut
cuts-scarce = What is scarce
cuts-up-to = Up to
cuts-there = There is
cuts-wanted = Wanted
cuts-ways = Two ways to cut
cuts-fair = Fair
cuts-best = Best
cuts-fair-is = Inside a tier everybody gives up the same part.
cuts-best-is = Keeps the most worth, tier before tier.
cuts-pieces = Pieces kept
cuts-worth = Worth
cuts-still-short = Still short: { $amount } of { $item }.
cuts-cost-of-fairness = Fairness costs { $cost }.
cuts-earlier-tier = The best way keeps less worth, and more of an earlier tier.
cuts-without-price = No price on record: { $products }. Each piece counts as one.
cuts-products = Products that are cut
cuts-because = Because
cuts-uncut = not cut
cuts-lines = Who gets how much
cuts-tier = Tier
cuts-wanted-par = counter par, not ordered
cuts-wanted-forecast = forecast, not ordered
cuts-decide = Decide
cuts-decide-hint = Orders keep what was asked; plans make no more than this, and say who decided and why. Tell the customers.
cuts-who = Who decides
cuts-which-way = Which way
cuts-take-way = Decide this way
cuts-own = Numbers of your own …
cuts-own-hint = Filled with the fair way. An empty box leaves its line undecided.
cuts-take-own = Decide these numbers
cuts-of-asked = of { $pieces }
cuts-decided = What was decided
cuts-decided-lines = { $count ->
    [one] One line
   *[other] { $count } lines
}
cuts-taken-back = TAKEN BACK by { $who }:
cuts-take-back = Take it back
done-decided = It is decided. Plans make no more than this.
done-taken-back = The decision is taken back.
cuts-left-out = { $doughs } left out whole, under the mixer’s minimum: or raise it by hand.
cuts-proven = No way to cut keeps more.
