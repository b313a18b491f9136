//! A sheet that is typed in: one row for each lot, and not a word of what the book expects.

use super::{DOCUMENT, NOWHERE};
use crate::{
    clock,
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, Field, hidden},
        moment,
        visit::segment,
    },
    service::{
        Refusal, bakery,
        stock::{self, LotHeld, SheetLine},
    },
    state::State,
    wire::{amount::instant, count::units_by_hand},
};
use domain::{bakery::Bakery, lot::LotState, quantity::Unit};
use maud::{Markup, html};
use std::sync::Arc;

/// A sheet of a place, counted now and named by us.
pub(super) fn blank(state: &State, place: &str) -> Result<Draft, Refusal> {
    let bakery = state.store.read(|tx| bakery::load(state, tx))?;
    let now = moment::local(&bakery.site().time_zone, state.now());
    Ok(Draft::new(state)
        .with("_place", place)
        .with("sheet", format!("{DOCUMENT}{}", clock::new_id(state.now())))
        .with("counted_at", now))
}

/// A row of the sheet.
struct Row {
    lot: String,
    place: String,
    /// What the book knows of it; none if it went elsewhere since the sheet was opened.
    line: Option<SheetLine>,
}

pub(super) fn page(state: &State, words: Words, draft: &Draft) -> Shown {
    let place = draft.text("_place");
    let (bakery, lines) = read(state, place)?;
    let name = match bakery.index().place(place) {
        Some(at) => bakery.lists().places[at as usize].name.clone(),
        None if place == NOWHERE => words.say("counts-nowhere"),
        None => return Err(Refusal::Unknown { noun: "place", code: place.to_owned() }),
    };
    let (at, who) = (words.say("lot-counted-at"), words.say("lot-who"));
    let hint = words.say("lot-counted-at-hint");
    let fields = html! {
        (hidden("_place", place))
        (hidden("sheet", draft.text("sheet")))
        (Field::moment("counted_at", &at).hint(&hint).needed().draw(words, draft))
        (Field::text("who", &who).draw(words, draft))
        fieldset {
            legend { (words.say("counts-lines")) }
            (field::fault_of(words, draft, "lines"))
            @for (number, row) in rows(draft, &lines).iter().enumerate() {
                (row_of(words, &bakery, draft, (number, row)))
            }
        }
    };
    let button = words.say("counts-take");
    Ok(Page {
        title: words.tell("counts-place-title", &[("place", name.into())]),
        main: html! {
            p { (words.say("counts-blind")) }
            p.links {
                a href=(format!("/v1/count-sheets?place={}", segment(place))) { (words.say("counts-print")) }
                a href="/counts" { (words.say("counts-other-place")) }
            }
            @if lines.is_empty() { p { (words.say("stock-none")) } }
            @else { (field::form(words, draft, ("/counts", &button), &fields)) }
            p.hint { (words.say("counts-not-listed")) " " a href="/receiving" { (words.say("stock-receive")) } }
        },
    })
}

fn read(state: &State, place: &str) -> Result<(Arc<Bakery>, Vec<SheetLine>), Refusal> {
    let asked = if place == NOWHERE { "" } else { place };
    state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let lines = stock::sheet(tx, &state.site, &bakery, (Some(asked), None))?;
        Ok((bakery, lines))
    })
}

/// The rows that were typed in, then what lies there and is not among them.
fn rows(draft: &Draft, lines: &[SheetLine]) -> Vec<Row> {
    let place_of = |line: &SheetLine| line.place.clone().unwrap_or_default();
    let mut rows = Vec::new();
    for number in 0..draft.rows("lines") {
        let text = |field: &str| draft.text(&format!("lines/{number}/{field}")).to_owned();
        let (lot, place) = (text("lot"), text("place"));
        let same = |line: &&SheetLine| line.lot.id == lot && place_of(line) == place;
        let line = lines.iter().find(same).cloned();
        rows.push(Row { lot, place, line });
    }
    for line in lines {
        let place = place_of(line);
        if rows.iter().all(|row| row.lot != line.lot.id || row.place != place) {
            rows.push(Row { lot: line.lot.id.clone(), place, line: Some(line.clone()) });
        }
    }
    rows
}

fn row_of(words: Words, bakery: &Bakery, draft: &Draft, (number, row): (usize, &Row)) -> Markup {
    let name = |field: &str| format!("lines/{number}/{field}");
    let Some(SheetLine { lot, .. }) = &row.line else {
        return html! { p { (words.say("counts-gone")) " " a href=(format!("/lots/{}", segment(&row.lot))) { (row.lot) } } };
    };
    let label = format!("{}, {}", bakery.name_of(&lot.item), lot.name);
    // Of one that lies in several places a count of what lies nowhere would be one of all.
    if row.place.is_empty() && lot.places.len() > 1 {
        return html! { p { a href=(format!("/lots/{}", segment(&lot.id))) { (label) } " " (words.say("counts-several-places")) } };
    }
    html! {
        div.counting {
            (hidden(&name("lot:with"), &row.lot))
            (hidden(&name("place:with"), &row.place))
            (Field::number(&name("quantity/amount:decimal"), &label).hint(&details(words, lot)).draw(words, draft))
            (unit(words, draft, (&name("quantity/unit"), &label), lot.unit))
        }
    }
}

/// What tells a lot from its neighbours.
fn details(words: Words, lot: &LotHeld) -> String {
    let until = lot.until.map(|(until, _)| {
        let moment = words.moment(&instant(&lot.zone, until));
        words.tell("lot-use-until", &[("moment", moment.into())])
    });
    let state = (lot.state != LotState::Released)
        .then(|| words.say(&format!("lot-state-{}", lot.state.word())));
    state.into_iter().chain(until).collect::<Vec<_>>().join(" · ")
}

/// The units that hands count in, to choose from.
fn unit(words: Words, draft: &Draft, (name, of): (&str, &str), unit: Unit) -> Markup {
    let units = units_by_hand(unit.symbol());
    let sent = format!("{name}:with");
    html! {
        @match units {
            [one] => { (hidden(&sent, one)) span.unit { (words.say("counts-each")) } }
            _ => {
                select name=(sent) aria-label=(words.tell("counts-unit-of", &[("what", of.into())])) {
                    @for unit in units {
                        option value=(unit) selected[draft.text(name) == *unit] { (unit) }
                    }
                }
            }
        }
    }
}
