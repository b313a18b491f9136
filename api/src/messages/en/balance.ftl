# Balance: how much of an item there was and will be.

balance-title = How much there was and will be
balance-words = From { $from } to { $to }: { $now } by the book now, { $least } at the least from now on.
balance-usable = Of { $book } by the book, { $usable } may be used now.
balance-runs-out = Not enough from { $moment } on.
balance-table = The same as a table
balance-when = When
balance-what = What
balance-amount = Amount
balance-left = Left after it
balance-now = now
balance-comes = comes in
balance-ends = goes out of date
balance-taken = goes into
balance-key-comes = comes in
balance-key-taken = is taken
balance-key-ends = goes out of date
balance-kind-receive = received
balance-kind-weigh = weighed
balance-kind-make = made
balance-kind-use = used
balance-kind-count = counted
balance-kind-waste = thrown away
balance-kind-return = sent back
balance-kind-send = sent
balance-kind-correct = taken back
