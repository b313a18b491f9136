//! One token: what it is for, another in its place, and its end.

use super::{address, moment, ways, zone};
use crate::{
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, Field},
    },
    service::{
        Refusal,
        tokens::{self, Token},
    },
    state::State,
};
use jiff::{Timestamp, tz::TimeZone};
use maud::html;
use uuid::Uuid;

/// Hours for which the old one goes on unless somebody says otherwise.
const GRACE_HOURS: &str = "24";

pub(super) fn page(
    state: &State,
    words: Words,
    (id, own): (&str, Option<Uuid>),
    draft: &Draft,
) -> Shown {
    let all = tokens::list(state)?;
    let unknown = || Refusal::Unknown { noun: "token", code: id.to_owned() };
    let token = all.into_iter().find(|token| token.id.to_string() == id).ok_or_else(unknown)?;
    let zone = zone(state);
    let path = address("tokens", id);
    let (rotate, revoke) = (words.say("token-rotate"), words.say("token-end"));
    let (grace, hint) = (words.say("token-grace"), words.say("token-grace-hint"));
    let draft = match draft.text("grace_hours") {
        "" if !draft.is_refused() => draft.clone().with("grace_hours", GRACE_HOURS),
        _ => draft.clone(),
    };
    let hours = Field::number("grace_hours:number", &grace).hint(&hint).draw(words, &draft);
    Ok(Page {
        title: words.tell("token-title", &[("name", token.name.as_str().into())]),
        main: html! {
            (ways(words))
            dl {
                dt { (words.say("token-job")) } dd { (words.say(&format!("token-job-{}", token.job.word()))) }
                dt { (words.say("token-made-at")) } dd { (moment(words, &zone, token.made_at)) }
                dt { (words.say("token-state")) } dd { (standing(words, &zone, &token, state.now())) }
                dt { (words.say("token-id")) } dd { (id) }
            }
            @if own == Some(token.id) { p.banner { (words.say("token-own")) } }
            @if token.is_live(state.now()) {
                details open[draft.is_refused()] {
                    summary { (rotate) " …" }
                    (field::form(words, &draft, (&format!("{path}/rotate"), &rotate), &hours))
                }
                details {
                    summary { (revoke) " …" }
                    p { (words.say("token-end-hint")) }
                    (field::form(words, &Draft::new(state), (&format!("{path}/revoke"), &revoke), &html! {}))
                }
            }
        },
    })
}

/// Whether it opens anything, and until when.
pub(super) fn standing(words: Words, zone: &TimeZone, token: &Token, now: Timestamp) -> String {
    let at = |at| [("moment", moment(words, zone, at).into())];
    match (token.revoked_at, token.expires_at) {
        (Some(revoked), _) => words.tell("token-state-ended", &at(revoked)),
        (None, Some(end)) if !token.is_live(now) => words.tell("token-state-over", &at(end)),
        (None, Some(end)) => words.tell("token-state-until", &at(end)),
        (None, None) => words.say("token-state-live"),
    }
}
