# The sheet: replaced.

replaced-allergens-not-known = ALLERGENE NICHT BEKANNT:
replaced-brings-in = BRINGT HINEIN
replaced-contains-also = enthält auch
replaced-do-not-sell-as-free-from = Nicht als „frei von“ verkaufen.
replaced-excluded = Geht nicht an
replaced-in = in
replaced-labels = ETIKETTEN ÄNDERN SICH: neue Etiketten, bevor etwas verpackt wird.
replaced-may-bring-in = KANN HINEINBRINGEN
replaced-may-contain-also = kann auch enthalten
replaced-needed = nötig
replaced-no = kein
replaced-nobody = Von keinem Kunden dieses Tages ist verzeichnet, dass er meidet, was neu ist.
replaced-not-yet = NICHT IN GEBRAUCH: verwendet wird er erst, wenn ein Mensch mit Namen dafür unterschrieben hat.
replaced-of-each-line-for = jeder Zeile, für
replaced-products = Wo er hineinkommt
replaced-same-labels = Nach unseren Aufzeichnungen ändert sich kein Etikett.
replaced-short = fehlt
replaced-signed-blank = unterschrieben von ______________________
replaced-stock = Bestand bis zum Ende des Plans
replaced-then = dann
replaced-title = Ersatz zum Unterschreiben
replaced-released-keep = Festgelegte Chargen von { $formula } behalten, womit sie festgelegt wurden.
