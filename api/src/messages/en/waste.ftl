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
