# Why a number is what it is.

why-title = Warum { $result }
why-hint = Jeder Schritt mit dem, was hineinging und was herauskam; ein Taschenrechner kommt auf dieselben Ziffern.
why-because = Es stützt sich auf
