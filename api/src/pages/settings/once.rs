//! A secret that is shown once: it goes into the page that answers and into nothing that is
//! kept.

use super::ways;
use crate::{messages::Words, pages::Page};
use maud::html;
use std::sync::{Arc, Mutex, PoisonError};

/// Where the work of a post leaves a secret for the page that answers it. The answer that is
/// kept for a second press does not hold it.
#[derive(Clone, Default)]
pub(super) struct Secret(Arc<Mutex<Option<String>>>);

impl Secret {
    /// Leaves it; of several tries of one transaction the last one holds.
    pub(super) fn leave(&self, secret: String) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = Some(secret);
    }

    fn take(&self) -> Option<String> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

/// What a secret is, and where it leads on to.
pub(super) struct Shown {
    /// The message of the heading.
    pub(super) title: &'static str,
    /// The message that says what to do with it.
    pub(super) what: &'static str,
    /// Whose it is; empty if the page before said it.
    pub(super) of: String,
    /// Where to go on.
    pub(super) path: String,
}

/// The page that shows it; after a second press it says that it was shown.
pub(super) fn page(words: Words, secret: &Secret, shown: &Shown) -> Page {
    let Shown { title, what, of, path } = shown;
    Page {
        title: words.say(title),
        main: html! {
            @match secret.take() {
                Some(secret) => {
                    section.answer role="status" {
                        @if !of.is_empty() { p { b { (of) } } }
                        p { code.secret tabindex="0" { (secret) } }
                        p { (words.say(what)) }
                        p.loud { (words.say("once-copy")) }
                    }
                }
                None => p.loud { (words.say("once-gone")) },
            }
            p { a.button.quiet href=(path) { (words.say("once-on")) } }
            (ways(words))
        },
    }
}
