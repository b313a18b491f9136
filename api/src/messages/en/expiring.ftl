# The sheet: expiring.

expiring-could-use-it = could use it
expiring-dates = Past a use-by date nothing is used. Past a best-before date only by a named person's decision.
expiring-freezing = Freezing, giving away and feeding: only as the site's own plan and local law allow.
expiring-last = last
expiring-left-over = left over
expiring-money = money
expiring-no-use = nothing on record
expiring-nothing = Nothing goes out of date unused up to this date.
expiring-past = PAST: STOP
expiring-title = Out of date before it is used
expiring-planned = planned before: { $amount }
expiring-kept-back = lots that must not be used are listed too: decide what becomes of them in time
