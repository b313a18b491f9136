# Products and what is said of them.

products-title = Products
products-name = Product
products-contains = Contains
products-may-contain = May contain
products-not-known = Not known
products-matrix = Allergen matrix
products-matrix-csv = Allergen matrix as a table
products-version = Version { $version }, { $day }
products-allergens = Allergens
products-unlisted = Not on this list
products-nothing-in-records = none in our records
products-label = Draft of the label
products-look-at = What a person must look at
products-nutrition = Nutrition
products-per-100g = 100 g
products-per-100g-raw = 100 g before baking
products-per-piece = One piece
products-cost = Standard cost
products-cost-of = A good piece on { $day }
products-part = Part
products-of-a-piece = Of a piece that is begun
products-no-price = price not known
products-labour = Labour of a good piece, in no other figure
products-print-allergens = Print the statement
products-csv = Statement as a table
products-print-label = Print the draft of the label
