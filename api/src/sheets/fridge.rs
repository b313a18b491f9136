//! Feed and fridge on paper: what is in the house, how old, for whom, and what is fed.

use super::{
    page::{Stamp, document, foot, notes, said, stamp, widths},
    texts,
};
use crate::messages::{Words, told};
use crate::wire::{
    fridge::{FeedView, FridgeView},
    made_lot::MadeLotView,
    piece_lot::PieceLotView,
};
use maud::{Markup, html};

/// Draws the fridge sheet of a work date.
#[must_use]
pub fn draw(words: Words, view: &FridgeView) -> Markup {
    let title = format!("{} {}", words.say("sheet-fridge"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-fridge"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet {
            (stamp(&own, None))
            header { h1 { (words.say("sheet-fridge")) } }
            @for lot in view.lots.iter().filter(|lot| matches!(lot.state, "STOP" | "on hold")) {
                p.banner { (texts::stop_lot(words, &lot.name, &lot.lot, lot.state)) }
            }
            @for lot in view.pieces.iter().filter(|lot| matches!(lot.state, "STOP" | "on hold")) {
                p.banner { (texts::stop_lot(words, &lot.name, &lot.lot, lot.state)) }
            }
            @if view.lots.is_empty() && view.pieces.is_empty() { p { (words.say("fridge-nothing-kept")) } }
            @if !view.lots.is_empty() { (lots(words, &own, &view.lots)) }
            @if !view.pieces.is_empty() { (pieces(words, &own, &view.pieces)) }
            @if !view.feeds.is_empty() { (feeds(words, &view.feeds)) }
            (notes(words, &view.notes))
            (foot(words, &[words.say("caution-taste"), words.say("caution-freezing")]))
        }
    };
    document(words, &title, &body)
}

fn lots(words: Words, own: &Stamp<'_>, lots: &[MadeLotView]) -> Markup {
    html! {
        table.lines.fridge {
            (widths(&["item", "amount", "when", "when", "when", "when", "whom"]))
            thead {
                tr.again {
                    th colspan="7" { (texts::again(words, &[&words.say("sheet-fridge")], own.work_date, own.plan_revision)) }
                }
                tr {
                    th { (words.say("fridge-dough")) } th.amount { (words.say("sheet-amount")) } th { (words.say("fridge-made")) }
                    th { (words.say("fridge-ready-from")) } th { (words.say("fridge-best-from")) } th { (words.say("fridge-last")) } th { (words.say("fridge-for-whom")) }
                }
            }
            tbody {
                @for lot in lots {
                    tr {
                        td.item { p.name { (lot.name) } p { (lot.lot) } }
                        td.amount {
                            p { (words.amount(&lot.printed.amount, lot.printed.unit)) }
                            p.remark { (lot.place.as_ref().map_or_else(|| words.say("fridge-no-place"), |place| place.told(words))) }
                        }
                        td { (when(words, lot.made_at.as_deref(), "?")) }
                        td { (when(words, lot.ready_from.as_deref(), "?")) }
                        td { (when(words, lot.best_from.as_deref(), "-")) }
                        td { (when(words, lot.last.as_deref(), "-")) }
                        td.whom {
                            p.loud[!matches!(lot.state, "ready" | "not ready")] { (words.listed("fridge-state-", lot.state)) }
                            @for taken in &lot.used_for {
                                p { (words.day_of(&taken.service_date)) ": " (told(words, &taken.by).join(", ")) }
                            }
                            @for into in &lot.goes_into {
                                p { (texts::goes_into(words, &into.service_date, &into.by)) }
                            }
                            @for lever in &lot.levers { p.remark { (lever.told(words)) } }
                        }
                    }
                }
            }
        }
    }
}

/// Frozen, par-baked and day-old pieces.
fn pieces(words: Words, own: &Stamp<'_>, lots: &[PieceLotView]) -> Markup {
    html! {
        h2 { (words.say("fridge-kept-pieces")) }
        table.lines.fridge {
            (widths(&["item", "amount", "when", "when", "when", "whom"]))
            thead {
                tr.again {
                    th colspan="6" { (texts::again(words, &[&words.say("sheet-fridge")], own.work_date, own.plan_revision)) }
                }
                tr {
                    th { (words.say("fridge-product")) } th.amount { (words.say("sheet-amount")) } th { (words.say("fridge-made")) }
                    th { (words.say("fridge-ready-from")) } th { (words.say("fridge-last")) } th { (words.say("fridge-for-whom")) }
                }
            }
            tbody {
                @for lot in lots {
                    tr {
                        td.item { p.name { (lot.name) } p { (lot.lot) } p.remark { (words.listed("fridge-kept-", lot.kept_as)) } }
                        td.amount {
                            p { (words.amount(&lot.printed.amount, lot.printed.unit)) }
                            p.remark { (lot.place.as_ref().map_or_else(|| words.say("fridge-no-place"), |place| place.told(words))) }
                        }
                        td {
                            @match (&lot.made_at, &lot.baked) {
                                (Some(at), _) => (when(words, Some(at), "?")),
                                (None, Some(baked)) => { p.remark { (words.day_of(baked)) } }
                                (None, None) => "?",
                            }
                        }
                        td { (when(words, lot.ready_from.as_deref(), "-")) }
                        td { (when(words, lot.last.as_deref(), "-")) }
                        td.whom {
                            p.loud[!matches!(lot.state, "ready" | "not ready")] { (words.listed("fridge-state-", lot.state)) }
                            @for covered in &lot.covers {
                                p { (words.day_of(&covered.service_date)) ": " (texts::pieces(words, covered.pieces)) }
                            }
                            @for into in &lot.goes_into {
                                p { (texts::goes_into(words, &into.service_date, &into.by)) }
                            }
                            @for lever in &lot.levers { p.remark { (lever.told(words)) } }
                        }
                    }
                }
            }
        }
    }
}

fn feeds(words: Words, feeds: &[FeedView]) -> Markup {
    html! {
        h2 { (words.say("fridge-feeds")) }
        table.lines.fridge {
            (widths(&["tick", "when", "item", "fetch", "initials"]))
            thead {
                tr { th.tick {} th { (words.say("fridge-at")) } th { (words.say("fridge-levain")) } th { (words.say("fridge-seed-flour-water")) } th { (words.say("sheet-initials")) } }
            }
            tbody {
                @for feed in feeds {
                    tr {
                        td.tick { span.box {} }
                        td { (when(words, Some(&feed.at), "?")) }
                        td.item { p.name { (feed.name) } p { (said(words, &feed.mass)) } }
                        td {
                            @for line in &feed.lines {
                                p {
                                    (words.amount(&line.printed.amount, line.printed.unit)) " " (line.name)
                                    @if line.seed { " (" (words.say("fridge-seed")) ")" }
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
fn when(words: Words, at: Option<&str>, none: &str) -> Markup {
    let said = at.map(|it| words.moment(it));
    let parts = said.as_deref().and_then(|said| said.rsplit_once(' '));
    html! {
        @match parts {
            Some((day, time)) => { p { b { (time) } } p.remark { (day.trim_end_matches(',')) } }
            None => (none),
        }
    }
}
