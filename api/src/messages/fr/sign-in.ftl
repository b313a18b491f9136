# Signing in.

sign-in-title = Se connecter
sign-in-token = Jeton
sign-in-button = Se connecter
sign-in-failed = Ce jeton n’ouvre rien ici : mal tapé, expiré ou révoqué peut-être.
sign-in-hint = La direction crée les jetons sur la machine même : weighhouse token add NAME --job porter
