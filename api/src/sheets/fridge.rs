//! Feed and fridge on paper: what is in the house, how old, for whom, and what is fed.

use super::{
    page::{Stamp, document, foot, notes, said, stamp, widths},
    texts::{self, fridge as column, word},
};
use crate::wire::{
    fridge::{FeedView, FridgeView},
    made_lot::MadeLotView,
    piece_lot::PieceLotView,
};
use maud::{Markup, html};

/// Draws the fridge sheet of a work date.
#[must_use]
pub fn draw(view: &FridgeView) -> Markup {
    let title = format!("{} {}", word::FRIDGE, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::FRIDGE,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet {
            (stamp(&own, None))
            header { h1 { (word::FRIDGE) } }
            @for lot in view.lots.iter().filter(|lot| matches!(lot.state, "STOP" | "on hold")) {
                p.banner { (texts::stop_lot(&lot.name, &lot.lot, lot.state)) }
            }
            @for lot in view.pieces.iter().filter(|lot| matches!(lot.state, "STOP" | "on hold")) {
                p.banner { (texts::stop_lot(&lot.name, &lot.lot, lot.state)) }
            }
            @if view.lots.is_empty() && view.pieces.is_empty() { p { (word::NOTHING_KEPT) } }
            @if !view.lots.is_empty() { (lots(&own, &view.lots)) }
            @if !view.pieces.is_empty() { (pieces(&own, &view.pieces)) }
            @if !view.feeds.is_empty() { (feeds(&view.feeds)) }
            (notes(&view.notes))
            (foot(&[texts::no_tasting(), texts::no_second_freezing()]))
        }
    };
    document(&title, &body)
}

fn lots(own: &Stamp<'_>, lots: &[MadeLotView]) -> Markup {
    html! {
        table.lines.fridge {
            (widths(&["item", "amount", "when", "when", "when", "when", "whom"]))
            thead {
                tr.again {
                    th colspan="7" { (texts::again(&[word::FRIDGE], own.work_date, own.plan_revision)) }
                }
                tr {
                    th { (column::DOUGH) } th.amount { (word::AMOUNT) } th { (column::MADE) }
                    th { (column::READY_FROM) } th { (column::BEST_FROM) } th { (column::LAST) } th { (column::FOR_WHOM) }
                }
            }
            tbody {
                @for lot in lots {
                    tr {
                        td.item { p.name { (lot.name) } p { (lot.lot) } }
                        td.amount {
                            p { (lot.printed.amount) " " (lot.printed.unit) }
                            p.remark { (lot.place.as_deref().unwrap_or(column::NO_PLACE)) }
                        }
                        td { (when(lot.made_at.as_deref(), "?")) }
                        td { (when(lot.ready_from.as_deref(), "?")) }
                        td { (when(lot.best_from.as_deref(), "-")) }
                        td { (when(lot.last.as_deref(), "-")) }
                        td.whom {
                            p.loud[!matches!(lot.state, "ready" | "not ready")] { (lot.state) }
                            @for taken in &lot.used_for {
                                p { (texts::day(&taken.service_date)) ": " (taken.by.join(", ")) }
                            }
                            @for into in &lot.goes_into {
                                p { (texts::goes_into(&into.service_date, &into.by)) }
                            }
                            @for lever in &lot.levers { p.remark { (lever) } }
                        }
                    }
                }
            }
        }
    }
}

/// Frozen, par-baked and day-old pieces.
fn pieces(own: &Stamp<'_>, lots: &[PieceLotView]) -> Markup {
    html! {
        h2 { (word::KEPT_PIECES) }
        table.lines.fridge {
            (widths(&["item", "amount", "when", "when", "when", "whom"]))
            thead {
                tr.again {
                    th colspan="6" { (texts::again(&[word::FRIDGE], own.work_date, own.plan_revision)) }
                }
                tr {
                    th { (column::PRODUCT) } th.amount { (word::AMOUNT) } th { (column::MADE) }
                    th { (column::READY_FROM) } th { (column::LAST) } th { (column::FOR_WHOM) }
                }
            }
            tbody {
                @for lot in lots {
                    tr {
                        td.item { p.name { (lot.name) } p { (lot.lot) } p.remark { (lot.kept_as) } }
                        td.amount {
                            p { (lot.printed.amount) " " (lot.printed.unit) }
                            p.remark { (lot.place.as_deref().unwrap_or(column::NO_PLACE)) }
                        }
                        td {
                            @match (&lot.made_at, &lot.baked) {
                                (Some(at), _) => (when(Some(at), "?")),
                                (None, Some(baked)) => { p.remark { (texts::day(baked)) } }
                                (None, None) => "?",
                            }
                        }
                        td { (when(lot.ready_from.as_deref(), "-")) }
                        td { (when(lot.last.as_deref(), "-")) }
                        td.whom {
                            p.loud[!matches!(lot.state, "ready" | "not ready")] { (lot.state) }
                            @for covered in &lot.covers {
                                p { (texts::day(&covered.service_date)) ": " (texts::pieces(covered.pieces)) }
                            }
                            @for into in &lot.goes_into {
                                p { (texts::goes_into(&into.service_date, &into.by)) }
                            }
                            @for lever in &lot.levers { p.remark { (lever) } }
                        }
                    }
                }
            }
        }
    }
}

fn feeds(feeds: &[FeedView]) -> Markup {
    html! {
        h2 { (word::FEEDS) }
        table.lines.fridge {
            (widths(&["tick", "when", "item", "fetch", "initials"]))
            thead {
                tr { th.tick {} th { "at" } th { "levain" } th { "seed, flour, water" } th { (word::INITIALS) } }
            }
            tbody {
                @for feed in feeds {
                    tr {
                        td.tick { span.box {} }
                        td { (when(Some(&feed.at), "?")) }
                        td.item { p.name { (feed.name) } p { (said(&feed.mass)) } }
                        td {
                            @for line in &feed.lines {
                                p {
                                    (line.printed.amount) " " (line.printed.unit) " " (line.name)
                                    @if line.seed { " (seed)" }
                                }
                            }
                        }
                        td.blank {}
                    }
                }
            }
        }
    }
}

/// The day above the time, so that neither breaks.
fn when(at: Option<&str>, none: &str) -> Markup {
    let said = at.map(texts::moment);
    let parts = said.as_deref().and_then(|said| said.rsplit_once(' '));
    html! {
        @match parts {
            Some((day, time)) => { p { b { (time) } } p.remark { (day) } }
            None => (none),
        }
    }
}
