//! Where a browser shows its token.

use super::Page;
use crate::messages::Words;
use maud::html;

/// Draws the page; `failed` if a token was shown that opens nothing.
#[must_use]
pub fn draw(words: Words, failed: bool) -> Page {
    let fault = failed.then_some("token-fault");
    Page {
        title: words.say("sign-in-title"),
        main: html! {
            form.entry method="post" action="/sign-in" {
                div.field.wrong[failed] {
                    label for="token" { (words.say("sign-in-token")) }
                    @if failed {
                        p #token-fault .fault role="alert" { (words.say("sign-in-failed")) }
                    }
                    input #token type="password" name="token" required autofocus
                        autocomplete="current-password" maxlength="200" aria-describedby=[fault];
                }
                p.send { button type="submit" { (words.say("sign-in-button")) } }
            }
            p.hint { (words.say("sign-in-hint")) }
        },
    }
}
