# Why a number is what it is.

why-title = Pourquoi { $result }
why-hint = Chaque étape avec ce qui entre et ce qui sort ; une calculatrice donne les mêmes chiffres.
why-because = Cela repose sur
