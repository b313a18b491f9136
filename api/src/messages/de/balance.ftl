# Verlauf: wie viel von einem Artikel da war und sein wird.

balance-title = Wie viel da war und sein wird
balance-words = Von { $from } bis { $to }: jetzt { $now } laut Buch, von jetzt an mindestens { $least }.
balance-usable = Von { $book } laut Buch dürfen jetzt { $usable } verwendet werden.
balance-runs-out = Reicht nicht ab { $moment }.
balance-table = Dasselbe als Tabelle
balance-when = Wann
balance-what = Was
balance-amount = Menge
balance-left = Bleibt danach
balance-now = jetzt
balance-comes = kommt herein
balance-ends = läuft ab
balance-taken = geht in
balance-key-comes = kommt herein
balance-key-taken = wird entnommen
balance-key-ends = läuft ab
balance-kind-receive = angenommen
balance-kind-weigh = abgewogen
balance-kind-make = hergestellt
balance-kind-use = verwendet
balance-kind-count = gezählt
balance-kind-waste = weggeworfen
balance-kind-return = zurückgeschickt
balance-kind-send = geliefert
balance-kind-correct = zurückgenommen
