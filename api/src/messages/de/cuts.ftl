# Too little, and no cutoff left: ways to cut, and what was decided.

cuts-undecided = NICHT ENTSCHIEDEN: Es ist zu wenig da und nicht mehr zu bestellen.
cuts-nothing = Für diesen Tag ist nichts zu kürzen: es fehlt nichts, oder alles ist entschieden.
cuts-print = Die Kürzungen drucken
cuts-scarce = Was knapp ist
cuts-up-to = Bis
cuts-there = Vorhanden
cuts-wanted = Gewünscht
cuts-ways = Zwei Arten zu kürzen
cuts-fair = Gerecht
cuts-best = Am meisten
cuts-fair-is = In einer Stufe gibt jeder den gleichen Teil ab.
cuts-best-is = Behält den größten Wert, Stufe vor Stufe.
cuts-pieces = Stück behalten
cuts-worth = Wert
cuts-still-short = Es fehlt weiterhin: { $amount } { $item }.
cuts-cost-of-fairness = Gerechtigkeit kostet { $cost }.
cuts-earlier-tier = Die zweite Art behält weniger Wert, aber mehr einer früheren Stufe.
cuts-without-price = Kein Preis verzeichnet: { $products }. Jedes Stück zählt als eines.
cuts-products = Was gekürzt wird
cuts-because = Weil
cuts-uncut = nicht gekürzt
cuts-lines = Wer wie viel bekommt
cuts-tier = Stufe
cuts-wanted-par = Thekenbestand, nicht bestellt
cuts-wanted-forecast = Vorhersage, nicht bestellt
cuts-decide = Entscheiden
cuts-decide-hint = Bestellungen behalten, was gewünscht war; Pläne machen nicht mehr als dies und sagen, wer warum entschieden hat. Sagen Sie es den Kunden.
cuts-who = Wer entscheidet
cuts-which-way = Welche Art
cuts-take-way = So entscheiden
cuts-own = Eigene Zahlen …
cuts-own-hint = Mit der gerechten Art ausgefüllt. Ein leeres Feld lässt seine Zeile offen.
cuts-take-own = Diese Zahlen entscheiden
cuts-of-asked = von { $pieces }
cuts-decided = Was entschieden wurde
cuts-decided-lines = { $count ->
    [one] Eine Zeile
   *[other] { $count } Zeilen
}
cuts-taken-back = ZURÜCKGENOMMEN von { $who }:
cuts-take-back = Zurücknehmen
done-decided = Es ist entschieden. Pläne machen nicht mehr als dies.
done-taken-back = Die Entscheidung ist zurückgenommen.
cuts-left-out = { $doughs } ganz weggelassen, unter dem Mindestmaß des Kneters: oder von Hand erhöhen.
cuts-proven = Keine Art zu kürzen behält mehr.
