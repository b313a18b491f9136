# The sheet: count sheet.

count-sheet-book = livre
count-sheet-count-what-lies-there = Compter ce qui est là. Ce qui est déjà en bac n’est pas compté. Un lot qui n’est pas listé est noté en bas.
count-sheet-counted = compté
count-sheet-counted-at = noter l’heure avant la première étagère
count-sheet-counted-by = compté par
count-sheet-date-and-time-of-the-count = date et heure du comptage
count-sheet-lot-last-day = lot, dernier jour
count-sheet-nothing-to-count = Le livre n’a rien ici : noter ce que vous trouvez.
count-sheet-place = lieu
count-sheet-unit = unité : entourer
