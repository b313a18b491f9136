# Les produits et ce qu'on en dit.

products-title = Produits
products-name = Produit
products-contains = Contient
products-may-contain = Peut contenir
products-not-known = Inconnu
products-matrix = Tableau des allergènes
products-matrix-csv = Tableau des allergènes en fichier
products-version = Version { $version }, { $day }
products-allergens = Allergènes
products-unlisted = Absent de cette liste
products-nothing-in-records = rien dans nos relevés
products-label = Projet d'étiquette
products-look-at = Ce qu'une personne doit regarder
products-nutrition = Valeurs nutritionnelles
products-per-100g = 100 g
products-per-100g-raw = 100 g avant cuisson
products-per-piece = Une pièce
products-cost = Coût standard
products-cost-of = Une bonne pièce le { $day }
products-part = Part
products-of-a-piece = D'une pièce commencée
products-no-price = prix inconnu
products-labour = Travail d'une bonne pièce, compris dans aucun autre chiffre
products-print-allergens = Imprimer la déclaration
products-csv = Déclaration en fichier
products-print-label = Imprimer le projet d'étiquette
