//! Where a browser shows its token.

use super::{page, texts};
use maud::{Markup, html};

/// The page; `failed` if a token was shown that opens nothing.
#[must_use]
pub fn draw(failed: bool) -> Markup {
    let word = texts::sign_in::TITLE;
    page::document(
        word,
        &html! {
            main.page {
                h1 { (word) }
                @if failed { p role="alert" { b { (texts::sign_in::FAILED) } } }
                form method="post" action="/sign-in" {
                    p { label for="token" { (texts::sign_in::TOKEN) } }
                    p {
                        input #token type="password" name="token" required
                            autocomplete="current-password" maxlength="200";
                    }
                    p { button type="submit" { (texts::sign_in::BUTTON) } }
                }
                p { (texts::sign_in::HINT) }
            }
        },
    )
}
