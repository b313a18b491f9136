//! Where a count begins: what to count next, the places, and what was counted lately.

use super::{DOCUMENT, NOWHERE, address};
use crate::{
    messages::Words,
    pages::{
        Page, Shown,
        frame::{Column::Text, columns, wide},
        visit::segment,
    },
    routes,
    service::{
        Refusal, bakery,
        stock::{self, CountedSheetName},
    },
    state::State,
    wire::{
        amount::instant,
        count::{CountDueView, CountsDueView},
    },
};
use domain::bakery::Bakery;
use maud::{Markup, html};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

/// What the page shows.
struct Start {
    bakery: Arc<Bakery>,
    /// How many lots lie at each place.
    places: BTreeMap<String, usize>,
    sheets: Vec<CountedSheetName>,
}

pub(super) fn page(state: &State, words: Words) -> Shown {
    let start = read(state)?;
    let due = routes::counts::due(state)?;
    Ok(Page {
        title: words.say("counts-title"),
        main: html! {
            section {
                h2 { (words.say("counts-places")) }
                (places(words, &start))
                p.hint { (words.say("counts-blind")) }
                p.links { a href="/v1/count-sheets" { (words.say("counts-print-all")) } }
            }
            section {
                h2 { (words.say("counts-next")) }
                (next(words, &start.bakery, &due))
            }
            section {
                h2 { (words.say("counts-lately")) }
                (lately(words, &start))
            }
        },
    })
}

fn read(state: &State) -> Result<Start, Refusal> {
    state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let mut places = BTreeMap::new();
        for line in stock::sheet(tx, &state.site, &bakery, (None, None))? {
            *places.entry(line.place.unwrap_or_else(|| NOWHERE.to_owned())).or_default() += 1;
        }
        let sheets = stock::counted_sheets(tx, &state.site, state.now(), DOCUMENT)?;
        Ok(Start { bakery, places, sheets })
    })
}

/// The places, in the bakery's own order, and what lies nowhere.
fn places(words: Words, start: &Start) -> Markup {
    let own = start.bakery.lists().places.iter();
    let own = own.map(|place| (place.code.to_string(), place.name.clone()));
    let nowhere = (NOWHERE.to_owned(), words.say("counts-nowhere"));
    let named: Vec<(String, String)> = own.chain([nowhere]).collect();
    let there = named.iter().filter_map(|(code, name)| Some((code, name, start.places.get(code)?)));
    html! {
        @if start.places.is_empty() { p { (words.say("stock-none")) } }
        ul.links {
            @for (code, name, lots) in there {
                li {
                    a.button.quiet href=(format!("/counts?place={}", segment(code))) {
                        (name) " · " (words.tell("counts-lots", &[("count", (*lots).into())]))
                    }
                }
            }
        }
    }
}

fn next(words: Words, bakery: &Bakery, due: &CountsDueView) -> Markup {
    html! {
        @if due.rows.is_empty() { p { (words.say("counts-none-due")) } }
        @else {
            (wide(&words.say("counts-next"), &html! {
                table {
                    (columns(words, &[
                        Text("stock-item"),
                        Text("counts-because"),
                        Text("counts-last"),
                        Text("lot-place"),
                    ]))
                    tbody {
                        @for row in &due.rows {
                            tr {
                                th scope="row" {
                                    a href=(format!("/stock/{}", segment(&row.item))) { (bakery.name_of(&row.item)) }
                                }
                                td.loud[row.because == "negative"] {
                                    (words.say(&format!("counts-because-{}", row.because)))
                                }
                                td {
                                    @match &row.counted_at {
                                        Some(at) => (words.moment(at)),
                                        None => (words.say("counts-never")),
                                    }
                                }
                                td { (places_of(bakery, row)) }
                            }
                        }
                    }
                }
            }))
        }
    }
}

/// Where the lots of an item lie, each place once.
fn places_of(bakery: &Bakery, row: &CountDueView) -> String {
    let codes = row.lots.iter().flat_map(|lot| &lot.places).filter_map(|left| left.place.as_ref());
    let names: BTreeSet<&str> = codes.map(|code| bakery.place_name(code)).collect();
    if names.is_empty() { "–".to_owned() } else { Vec::from_iter(names).join(", ") }
}

fn lately(words: Words, start: &Start) -> Markup {
    let zone = &start.bakery.site().time_zone;
    html! {
        @if start.sheets.is_empty() { p { (words.say("counts-none-lately")) } }
        ul {
            @for sheet in &start.sheets {
                li {
                    a href=(address(&sheet.document)) { (words.moment(&instant(zone, sheet.at))) }
                    " · " (words.tell("counts-lots", &[("count", sheet.lines.into())]))
                    @if let Some(who) = &sheet.who { " · " (who) }
                }
            }
        }
    }
}
