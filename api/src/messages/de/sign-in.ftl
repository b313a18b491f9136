# Signing in.

sign-in-title = Anmelden
sign-in-token = Schlüssel
sign-in-button = Anmelden
sign-in-failed = Dieser Schlüssel öffnet hier nichts: vielleicht vertippt, abgelaufen oder widerrufen.
sign-in-hint = Die Inhaberin macht Schlüssel auf dem Gerät selbst: weighhouse token add NAME --job porter
