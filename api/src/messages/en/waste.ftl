# The sheet: waste.

waste-by-reason = By reason, in kilograms
waste-by-week = By week, in kilograms
waste-by-week-and-reason = By week and reason
waste-lines = Line by line
waste-no-lot = no lot
waste-nothing-wasted = Nothing was thrown away in these days.
waste-reason = reason
waste-to = to
waste-week = week
waste-went-to = to
waste-route-bin = bin
waste-route-feed = feed
waste-route-donation = donation
waste-name-no-reason-given = no reason given
