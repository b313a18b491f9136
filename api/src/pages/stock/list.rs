//! What there is: item by item, and the lots of one.

use super::{address, balance, said};
use crate::{
    messages::Words,
    pages::{
        Page, Shown,
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
        visit,
    },
    service::{bakery, stock},
    state::State,
    wire::lot::LotView,
};
use domain::quantity::Unit;
use maud::html;

/// Items and lots of one page.
const ROWS_MAX: i64 = 1_000;

/// Every item with stock.
pub(super) fn items(state: &State, words: Words) -> Shown {
    let (bakery, rows) = state.store.read(|tx| {
        Ok::<_, crate::service::Refusal>((
            bakery::load(state, tx)?,
            stock::stock(tx, &state.site, "", ROWS_MAX)?,
        ))
    })?;
    let main = html! {
        p.links {
            a.button href="/receiving" { (words.say("stock-receive")) }
            a href="/counts" { (words.say("stock-counts")) }
        }
        @if rows.is_empty() { p { (words.say("stock-none")) } }
        @else {
            (wide(&words.say("stock-title"), &html! {
                table {
                    (columns(words, &[
                        Text("stock-item"),
                        Figure("stock-on-hand"),
                        Figure("stock-on-hold"),
                        Figure("stock-expected"),
                        Figure("stock-lots"),
                    ]))
                    tbody {
                        @for row in &rows {
                            tr {
                                th scope="row" {
                                    a href=(format!("/stock/{}", visit::segment(&row.item))) { (bakery.name_of(&row.item)) }
                                    @if row.count_me { " " span.loud { (words.say("stock-count-me")) } }
                                }
                                td.number { (said(words, row.on_hand_micro, row.unit)) }
                                td.number { (or_dash(words, row.held_micro, row.unit)) }
                                td.number { (or_dash(words, row.expected_micro, row.unit)) }
                                td.number { (row.lots) }
                            }
                        }
                    }
                }
            }))
        }
    };
    Ok(Page { title: words.say("stock-title"), main })
}

/// An amount as it is said; a dash for nothing.
fn or_dash(words: Words, micro: i64, unit: Unit) -> String {
    if micro == 0 { "–".to_owned() } else { said(words, micro, unit) }
}

/// The lots of one item.
pub(super) fn lots(state: &State, words: Words, item: &str) -> Shown {
    let (bakery, lots) = state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let lots = stock::lots(tx, &state.site, &bakery, Some(item), ("", ROWS_MAX))?;
        Ok::<_, crate::service::Refusal>((bakery, lots))
    })?;
    let there = |lot: &&stock::LotHeld| lot.balance_micro != 0;
    let course = balance::section(state, words, item)?;
    let main = html! {
        (course)
        h2 { (words.say("stock-lots")) }
        @if !lots.iter().any(|lot| there(&lot)) { p { (words.say("stock-none")) } }
        @else {
            (wide(&words.say("stock-lots"), &html! {
                table {
                    (columns(words, &[
                        Text("lot-name"),
                        Figure("lot-left"),
                        Text("lot-place"),
                        Text("lot-state"),
                        Text("lot-until"),
                    ]))
                    tbody {
                        @for lot in lots.iter().filter(there) {
                            @let view = LotView::new(lot);
                            tr {
                                th scope="row" { a href=(address(&lot.id)) { (lot.name) } }
                                td.number { (said(words, lot.balance_micro, lot.unit)) }
                                td { (lot.place.as_deref().map_or("–", |place| bakery.place_name(place))) }
                                td.loud[lot.state.is_kept_back()] { (words.say(&format!("lot-state-{}", view.state))) }
                                td { @if let Some(until) = &view.use_until { (words.moment(&until.until)) } @else { "–" } }
                            }
                        }
                    }
                }
            }))
        }
    };
    Ok(Page { title: bakery.name_of(item).to_owned(), main })
}
