# What all pages share.

skip = Aller au contenu
menu = Menu
menu-label = Toutes les pages
menu-day = La journée
place-stock = Stock et lots
place-receiving = Réception
menu-orders = Commandes
menu-purchase = Achats
place-desk = Manques
menu-stock = Stock
menu-recipes = Recettes
place-today = Aujourd’hui
place-timeline = Horaires
place-weigh-out = Pesée
unit-pieces = { $count ->
    [one] pièce
   *[other] pièces
}
place-orders = Commandes
as-of = état : { $moment }
signed-in = Connecté : { $who }
sign-out = Se déconnecter
language = Langue
language-set = Appliquer
calculated = Calculé à partir des relevés. Ce n’est pas un plan de sécurité alimentaire : la loi locale et votre personne compétente décident.
api = Tous les appels
revision = révision { $revision }
faults-title = { $count ->
    [one] Une indication est à corriger
   *[other] { $count } indications sont à corriger
}
faults-nothing-kept = Rien n’a été changé.
fault = À corriger :
required = obligatoire
choose = choisir …
refused-title = Cela n’a pas marché
back-to-start = Vers la première page

weekday-1 = lun.
weekday-2 = mar.
weekday-3 = mer.
weekday-4 = jeu.
weekday-5 = ven.
weekday-6 = sam.
weekday-7 = dim.
weekday-long-1 = lundi
weekday-long-2 = mardi
weekday-long-3 = mercredi
weekday-long-4 = jeudi
weekday-long-5 = vendredi
weekday-long-6 = samedi
weekday-long-7 = dimanche
month-1 = janv.
month-2 = févr.
month-3 = mars
month-4 = avr.
month-5 = mai
month-6 = juin
month-7 = juil.
month-8 = août
month-9 = sept.
month-10 = oct.
month-11 = nov.
month-12 = déc.
month-long-1 = janvier
month-long-2 = février
month-long-3 = mars
month-long-4 = avril
month-long-5 = mai
month-long-6 = juin
month-long-7 = juillet
month-long-8 = août
month-long-9 = septembre
month-long-10 = octobre
month-long-11 = novembre
month-long-12 = décembre
date-short = { $weekday } { $day } { $month }
date-long = { $weekday } { $day } { $month } { $year }
moment = { $day }, { $time }
