# The sheet: expiring.

expiring-could-use-it = könnte es brauchen
expiring-dates = Über einem Verbrauchsdatum wird nichts verwendet. Über einem Mindesthaltbarkeitsdatum nur, wenn ein Mensch mit Namen es entscheidet.
expiring-freezing = Einfrieren, Verschenken und Verfüttern: nur wie der eigene Plan und das örtliche Recht es erlauben.
expiring-last = letzter
expiring-left-over = bleibt übrig
expiring-money = Geld
expiring-no-use = nichts verzeichnet
expiring-nothing = Bis zu diesem Tag läuft nichts ungenutzt ab.
expiring-past = VORBEI: STOPP
expiring-title = Abgelaufen, bevor es gebraucht wird
expiring-planned = vorher geplant: { $amount }
expiring-kept-back = Lose, die nicht verwendet werden dürfen, stehen auch hier: rechtzeitig entscheiden, was aus ihnen wird
