//! One lot: what it is, where it went, and what may be done with it.

use super::{address, said};
use crate::{
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, Field, hidden},
        moment,
    },
    service::{
        Refusal, bakery,
        stock::{self, LotHeld},
        trace::{self, Traced},
    },
    state::State,
    wire::{
        lot::LotView,
        trace::{RecipientView, StepView},
    },
};
use domain::{bakery::Bakery, lot::LotState, trace::Direction};
use maud::{Markup, html};

pub(super) fn page(state: &State, words: Words, id: &str, draft: &Draft) -> Shown {
    let (bakery, lot, came, went) = state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let lot = stock::find_lot(tx, &state.site, &bakery, id)?;
        let came = trace::trace(tx, &state.site, &bakery, (id, Direction::Back))?;
        let went = trace::trace(tx, &state.site, &bakery, (id, Direction::Forwards))?;
        Ok::<_, Refusal>((bakery, lot, came, went))
    })?;
    let zone = &bakery.site().time_zone;
    // Only the form that was refused is drawn with what was not right in it.
    let blank = Draft::new(state);
    let counting = !draft.text("lot").is_empty();
    let (judged, counted) = if counting { (&blank, draft) } else { (draft, &blank) };
    let title = [("item", bakery.name_of(&lot.item).into()), ("lot", lot.name.clone().into())];
    let main = html! {
        (facts(words, &bakery, &lot))
        (verdict(words, &lot, judged))
        (count(words, &lot, counted, &moment::local(zone, state.now())))
        (steps(words, &bakery, &came, "lot-came-from"))
        (steps(words, &bakery, &went, "lot-went-into"))
        (recipients(words, &bakery, &went))
        p.links {
            a href=(format!("/v1/lots/{id}/recall")) { (words.say("lot-recall")) }
            a href=(format!("/v1/lots/{id}/label")) { (words.say("lot-label")) }
        }
    };
    Ok(Page { title: words.tell("lot-title", &title), main })
}

fn facts(words: Words, bakery: &Bakery, lot: &LotHeld) -> Markup {
    let view = LotView::new(lot);
    html! {
        section {
            p {
                b { (words.say(&format!("lot-state-{}", view.state))) }
                " · " (said(words, lot.balance_micro, lot.unit))
                @if let Some(until) = &view.use_until {
                    " · " (words.tell("lot-use-until", &[("moment", words.moment(&until.until).into())]))
                }
            }
            @if let Some(reason) = &lot.hold_reason { p.loud { (reason) } }
            @if view.count_me { p.loud { (words.say("stock-count-me")) } }
            ul {
                @for (place, micro) in &lot.places {
                    li { (if place.is_empty() { "–" } else { bakery.place_name(place) }) ": " (said(words, *micro, lot.unit)) }
                }
            }
        }
    }
}

/// A hold, or the end of one.
fn verdict(words: Words, lot: &LotHeld, draft: &Draft) -> Markup {
    let held = matches!(lot.state, LotState::Hold);
    let path = address(&lot.id);
    let (action, button) = match held {
        true => (format!("{path}/release"), words.say("lot-release")),
        false => (format!("{path}/hold"), words.say("lot-hold")),
    };
    let (reason, who) = (words.say("lot-reason"), words.say("lot-who"));
    let fields = html! {
        (Field::text("reason", &reason).needed().draw(words, draft))
        (Field::text("who", &who).draw(words, draft))
    };
    html! {
        details open[draft.is_refused()] {
            summary { (button) " …" }
            p.hint { (words.say("lot-hold-hint")) }
            (field::form(words, draft, (&action, &button), &fields))
        }
    }
}

/// What lies on the shelf, against the book.
fn count(words: Words, lot: &LotHeld, draft: &Draft, now: &str) -> Markup {
    let action = (format!("{}/count", address(&lot.id)), words.say("lot-count"));
    let (amount, at) = (words.say("lot-counted"), words.say("lot-counted-at"));
    let (hint, who) = (words.say("lot-counted-at-hint"), words.say("lot-who"));
    let with_now = match draft.text("counted_at") {
        "" => draft.clone().with("counted_at", now),
        _ => draft.clone(),
    };
    let fields = html! {
        (hidden("lot", &lot.id))
        (hidden("quantity/unit", lot.unit.symbol()))
        (Field::number("quantity/amount:decimal", &amount).hint(lot.unit.symbol()).draw(words, draft))
        (Field::moment("counted_at", &at).hint(&hint).needed().draw(words, &with_now))
        (Field::text("who", &who).draw(words, draft))
    };
    html! {
        details open[draft.is_refused()] {
            summary { (words.say("lot-count")) " …" }
            (field::form(words, draft, (&action.0, &action.1), &fields))
        }
    }
}

fn steps(words: Words, bakery: &Bakery, traced: &Traced, title: &str) -> Markup {
    let steps: Vec<StepView> =
        traced.steps.iter().map(|step| StepView::new(bakery, traced, step)).collect();
    html! {
        @if !steps.is_empty() {
            section {
                h2 { (words.say(title)) }
                ul {
                    @for step in &steps {
                        li {
                            (step.name.told(words)) " · " (words.moment(&step.at))
                            @if let Some(share) = &step.reach.share { " · " (words.digits(&share.percent)) " %" }
                        }
                    }
                }
            }
        }
    }
}

fn recipients(words: Words, bakery: &Bakery, traced: &Traced) -> Markup {
    let found: Vec<RecipientView> =
        traced.recipients.iter().map(|one| RecipientView::new(bakery, one)).collect();
    html! {
        @if !found.is_empty() {
            section {
                h2 { (words.say("lot-sent-to")) }
                ul {
                    @for one in &found {
                        li {
                            (one.name.as_deref().unwrap_or("–")) " · " (one.product.told(words))
                            @if let Some(date) = &one.service_date { " · " (words.day_of(date)) }
                        }
                    }
                }
            }
        }
    }
}
