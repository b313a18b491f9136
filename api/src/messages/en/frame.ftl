# What all pages share.

skip = Skip to the page
menu = Menu
menu-label = All pages
menu-day = The day
place-stock = Stock and lots
place-receiving = Goods in
menu-orders = Orders
menu-purchase = Buying
place-desk = Shortage desk
menu-stock = Stock
menu-recipes = Formulas
place-today = Today
place-timeline = Times
place-weigh-out = Weigh-out
unit-pieces = { $count ->
    [one] piece
   *[other] pieces
}
place-orders = Orders
as-of = as of { $moment }
signed-in = Signed in as { $who }
sign-out = Sign out
language = Language
language-set = Use
calculated = Calculated from records. Not a food-safety plan; local law and your competent person decide.
api = Every call
revision = revision { $revision }
faults-title = { $count ->
    [one] One thing is not right yet
   *[other] { $count } things are not right yet
}
faults-nothing-kept = Nothing was changed.
fault = Not right:
required = needed
choose = choose …
refused-title = That did not work
back-to-start = To the first page

weekday-1 = Mon
weekday-2 = Tue
weekday-3 = Wed
weekday-4 = Thu
weekday-5 = Fri
weekday-6 = Sat
weekday-7 = Sun
weekday-long-1 = Monday
weekday-long-2 = Tuesday
weekday-long-3 = Wednesday
weekday-long-4 = Thursday
weekday-long-5 = Friday
weekday-long-6 = Saturday
weekday-long-7 = Sunday
month-1 = Jan
month-2 = Feb
month-3 = Mar
month-4 = Apr
month-5 = May
month-6 = Jun
month-7 = Jul
month-8 = Aug
month-9 = Sep
month-10 = Oct
month-11 = Nov
month-12 = Dec
month-long-1 = January
month-long-2 = February
month-long-3 = March
month-long-4 = April
month-long-5 = May
month-long-6 = June
month-long-7 = July
month-long-8 = August
month-long-9 = September
month-long-10 = October
month-long-11 = November
month-long-12 = December
date-short = { $weekday } { $day } { $month }
date-long = { $weekday } { $day } { $month } { $year }
moment = { $day } { $time }
