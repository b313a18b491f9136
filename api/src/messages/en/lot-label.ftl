# The sheet: lot label.

lot-label-best-before = Best before
lot-label-lot = Lot
lot-label-made = Made
lot-label-no-date = Use until: not known, ask before you use it
lot-label-once-opened = Once opened use within
lot-label-opened-on = opened
lot-label-received = Received
lot-label-stop = STOP:
lot-label-title = Label
lot-label-usable-until = Usable until
lot-label-use-by = USE BY
lot-label-no-freezing = No second freezing.
lot-label-from-records = Allergens from our records: check the label on the pack.
lot-label-days = { $days ->
    [one] { $days } day
   *[other] { $days } days
 }
lot-label-held = on hold: do not use it
lot-label-held-because = on hold, do not use it: { $why }
lot-label-past-use-by = past its use-by date: do not use it
lot-label-past-best-before = past its best-before date: do not use it
lot-label-past-accepted = past the date accepted for it: do not use it
lot-label-past-stated = past the time stated for it: do not use it
lot-label-past-opened = open too long: do not use it
lot-label-past-thawed = thawed too long: do not use it
lot-label-past-age = too old: do not use it
