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
