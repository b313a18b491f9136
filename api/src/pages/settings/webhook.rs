//! One webhook: changed, and its secret made.

use super::{address, ways, webhooks as all};
use crate::{
    messages::Words,
    pages::{Draft, Page, Shown, field},
    service::webhooks::{self, Webhook},
    state::State,
};
use maud::html;

pub(super) fn page(state: &State, words: Words, code: &str, refused: Option<&Draft>) -> Shown {
    let webhook = webhooks::find(state, code)?;
    // What was changed meanwhile is seen above the form, and the next press is meant.
    let again = |draft: &Draft| draft.clone().with("etag", webhook.etag.as_str());
    let draft = refused.map_or_else(|| filled(state, &webhook), again);
    let (make, change) = (words.say("webhook-secret"), words.say("webhook-change"));
    let action = format!("{}/secret", address("webhooks", code));
    Ok(Page {
        title: words.tell("webhook-title", &[("code", code.into())]),
        main: html! {
            (ways(words))
            p.state { b { (all::standing(words, &webhook)) } }
            section {
                h2 { (make) }
                p { (words.say("webhook-secret-hint")) }
                (field::form(words, &Draft::new(state), (&action, &make), &html! {}))
            }
            section {
                h2 { (change) }
                (all::form(words, &draft, &change, false))
            }
        },
    })
}

/// What it is to do, to be changed.
fn filled(state: &State, webhook: &Webhook) -> Draft {
    let mut draft = Draft::new(state)
        .with("code", webhook.code.as_str())
        .with("etag", webhook.etag.as_str())
        .with("url", webhook.asked.url.as_str())
        .with("active", if webhook.asked.active { "on" } else { "" });
    for kind in &webhook.asked.kinds {
        draft = draft.with(format!("kinds/{}", kind.word()), "on");
    }
    draft
}
