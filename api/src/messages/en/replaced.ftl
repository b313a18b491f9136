# The sheet: replaced.

replaced-allergens-not-known = ALLERGENS NOT KNOWN:
replaced-brings-in = BRINGS IN
replaced-contains-also = contains also
replaced-do-not-sell-as-free-from = Do not sell as free from.
replaced-excluded = Not sent to
replaced-in = in
replaced-labels = LABELS CHANGE: new labels before anything is packed.
replaced-may-bring-in = MAY BRING IN
replaced-may-contain-also = may contain also
replaced-needed = needed
replaced-no = no
replaced-nobody = No customer of that date is on record as avoiding what is new.
replaced-not-yet = NOT IN USE: it is used only after a named person signed for it.
replaced-of-each-line-for = of each line, for
replaced-products = What it goes into
replaced-same-labels = No label changes by our records.
replaced-short = short
replaced-signed-blank = signed by ______________________
replaced-stock = Stock up to the end of the plan
replaced-then = then
replaced-title = Substitute to sign for
replaced-released-keep = Released loads of { $formula } keep what they were released with.
