# The sheet: count sheet.

count-sheet-book = book
count-sheet-count-what-lies-there = Count what lies there. What is already in tubs is not counted. A lot that is not listed is written below.
count-sheet-counted = counted
count-sheet-counted-at = write the time before the first shelf
count-sheet-counted-by = counted by
count-sheet-date-and-time-of-the-count = date and time of the count
count-sheet-lot-last-day = lot, last day
count-sheet-nothing-to-count = The book has nothing here: write down what you find.
count-sheet-place = place
count-sheet-unit = unit: circle one
