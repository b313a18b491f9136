# The sheet: lot label.

lot-label-best-before = Mindestens haltbar bis
lot-label-lot = Los
lot-label-made = Gemacht
lot-label-no-date = Verwenden bis: nicht bekannt, vor dem Verwenden fragen
lot-label-once-opened = Nach dem Öffnen verwenden binnen
lot-label-opened-on = geöffnet
lot-label-received = Eingegangen
lot-label-stop = STOPP:
lot-label-title = Etikett
lot-label-usable-until = Verwendbar bis
lot-label-use-by = ZU VERBRAUCHEN BIS
lot-label-no-freezing = Kein zweites Einfrieren.
lot-label-from-records = Allergene aus unseren Aufzeichnungen: das Etikett auf der Packung prüfen.
lot-label-days = { $days ->
    [one] { $days } Tag
   *[other] { $days } Tagen
 }
lot-label-held = gesperrt: nicht verwenden
lot-label-held-because = gesperrt, nicht verwenden: { $why }
lot-label-past-use-by = Verbrauchsdatum überschritten: nicht verwenden
lot-label-past-best-before = Mindesthaltbarkeitsdatum überschritten: nicht verwenden
lot-label-past-accepted = angenommenes Datum überschritten: nicht verwenden
lot-label-past-stated = angegebene Frist überschritten: nicht verwenden
lot-label-past-opened = zu lange offen: nicht verwenden
lot-label-past-thawed = zu lange aufgetaut: nicht verwenden
lot-label-past-age = zu alt: nicht verwenden
