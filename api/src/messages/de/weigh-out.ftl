# Weighing out at a tablet.

weigh-out-title = Abwiegen am { $day }
weigh-out-nothing = An diesem Tag wird nichts abgewogen.
weigh-out-open = { $count ->
    [0] Alle Chargen sind abgewogen.
    [one] Eine Charge ist noch abzuwiegen.
   *[other] { $count } Chargen sind noch abzuwiegen.
}
weigh-out-toppings = Auflagen und Abschluss stehen auf dem gedruckten Blatt.
weigh-out-print = Das Blatt zum Drucken
weigh-out-notes = Was an diesem Tag zu wissen ist
weigh-out-load = Charge { $load } von { $loads }
weigh-out-before = Vorige Charge
weigh-out-next = Nächste Charge
weigh-out-all = Alle Chargen des Tages
weigh-out-done = Erledigt: NICHT noch einmal abwiegen.
weigh-out-clean-down = Vor dieser Charge reinigen: davor war { $gone }.
weigh-out-undecided = UNENTSCHIEDEN: unter der Mindestmenge des Kneters. Wählen:
weigh-out-two-people = { $mass }: zu zweit / Heber
weigh-out-allergens = In diesem Teig:
weigh-out-who = Wer
weigh-out-release = Charge festlegen, dann abwiegen
weigh-out-weighed = Alles abgewogen
weigh-out-sum = Summe dieser Seite: { $sum }
weigh-out-short = ES FEHLEN { $amount }
weigh-out-until = bis { $moment }
weigh-out-otherwise = Anderes Los oder andere Menge …
weigh-out-other-lot = Verwendetes Los
weigh-out-new-lot = Dieses Los hat noch niemand eingetragen
weigh-out-other-amount = Abgewogene Menge
load-state-draft = Entwurf
load-state-released = festgelegt
load-state-weighed = abgewogen
load-state-mixed = geknetet
load-state-divided = geteilt
load-state-baked = gebacken
load-state-packed = verpackt
load-state-sent = geliefert
load-state-cancelled = abgesagt
load-state-lost = verloren
done-load-released = Die Charge ist festgelegt: keine Änderung verschiebt sie mehr. Jetzt abwiegen.
done-load-weighed = Die Charge ist abgewogen, ihre Lose sind aus dem Lager gebucht.
caution-label = Etikett auf der Packung prüfen: diese Liste stammt aus unseren Aufzeichnungen.
caution-guard = Kneter: Schutz geschlossen, Hände heraus.
caution-dust = Mehlstaub: nicht einatmen, von Flammen und Funken fernhalten.
caution-taste = Rohen Teig und Mehl nicht probieren.
weigh-out-count = zählen
weigh-out-done-sheet = Erledigt: diese NICHT noch einmal abwiegen
weigh-out-scale-tub = Waage / Wanne
weigh-out-starts = beginnt
weigh-out-this-load-into-the-mixer = diese Charge in den Kneter
weigh-out-toppings-sheet = Auflagen und Abschluss
weigh-out-whole-steps = ganze Schritte
tub-flour = Mehl
tub-dry = trocken
tub-salt = Salz
tub-yeast = Hefe
tub-cold = kalt
tub-own-tub = eigene Wanne
tub-liquid = flüssig
tub-at-use = bei Gebrauch
