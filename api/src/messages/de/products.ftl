# Erzeugnisse und was über sie gesagt wird.

products-title = Erzeugnisse
products-name = Erzeugnis
products-contains = Enthält
products-may-contain = Kann enthalten
products-not-known = Nicht bekannt
products-matrix = Allergentafel
products-matrix-csv = Allergentafel als Tabelle
products-version = Fassung { $version }, { $day }
products-allergens = Allergene
products-unlisted = Nicht auf dieser Liste
products-nothing-in-records = nichts in unseren Aufzeichnungen
products-label = Entwurf des Etiketts
products-look-at = Was ein Mensch ansehen muss
products-nutrition = Nährwerte
products-per-100g = 100 g
products-per-100g-raw = 100 g vor dem Backen
products-per-piece = Ein Stück
products-cost = Standardkosten
products-cost-of = Ein gutes Stück am { $day }
products-part = Teil
products-of-a-piece = Von einem begonnenen Stück
products-no-price = Preis nicht bekannt
products-labour = Arbeit an einem guten Stück, in keiner anderen Zahl
products-print-allergens = Erklärung drucken
products-csv = Erklärung als Tabelle
products-print-label = Etikettentwurf drucken
