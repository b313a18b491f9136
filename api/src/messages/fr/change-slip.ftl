# The sheet: change slip.

change-slip-difference = écart
change-slip-do-not-weigh = SUPPRIMÉ : ne pas peser
change-slip-gone = SUPPRIMÉ
change-slip-new = NOUVEAU
change-slip-nothing-changed = Rien n’a changé sur votre feuille.
change-slip-now = maintenant
change-slip-title = Feuillet de changements
change-slip-was = était
change-slip-replaces = Remplace des lignes de « { $sheet } », { $revision }. Toutes les autres lignes restent telles qu’imprimées.
change-slip-new-load = NOUVEAU : imprimer sa page, { $revision }
