# Signing in.

sign-in-title = Sign in
sign-in-token = Token
sign-in-button = Sign in
sign-in-failed = This token opens nothing here: it may be mistyped, expired or revoked.
sign-in-hint = The owner makes tokens on the machine itself: weighhouse token add NAME --job porter
