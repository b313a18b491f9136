//! The recall file on paper: who got some, what is left, and every link of the chain.

use super::{
    page::{document, foot, notes, said},
    texts::{self, recall as word},
};
use crate::wire::{
    recall::{ChainView, MassBalanceView, RecallView},
    trace::{PlannedView, ReachView, RecipientView, TracedLotView},
};
use maud::{Markup, html};

/// Draws a recall file.
#[must_use]
pub fn draw(view: &RecallView) -> Markup {
    let lot = &view.lot;
    let title = format!("{} {} {}", word::TITLE, lot.item, lot.lot);
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { (view.bakery) " · " b { (word::TITLE) } }
                span { (texts::printed_at(&view.made_at)) }
            }
            header {
                h1 { (lot.item) ", lot " (lot.lot) }
                p.load { (lot.state) }
            }
            @if let Some(reason) = &lot.hold_reason { p.banner { (reason) } }
            dl.facts {
                (fact("came", &texts::full_day(&lot.received)))
                (fact("from", lot.supplier.as_deref().unwrap_or("not known")))
                (fact("left", &said(&lot.quantity)))
            }
            (notes(&view.notes))
            (recipients(&view.recipients))
            (in_house(view))
            (planned(&view.planned))
            (balance(&view.mass_balance))
            (chain(word::WENT_INTO, &view.went_into))
            (chain(word::CAME_FROM, &view.came_from))
            (foot(&[word::NO_CUT, word::RECORDS, word::DECIDE]))
        }
    };
    document(&title, &body)
}

fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

fn reach(reach: &ReachView) -> Markup {
    let percent = reach.share.as_ref().map(|share| share.percent.as_str());
    html! {
        (word::share(reach.generation, percent))
        @if reach.link != "booked" { br; b { (reach.link) } }
    }
}

fn recipients(rows: &[RecipientView]) -> Markup {
    html! {
        section {
            h2 { (word::RECIPIENTS) }
            @if rows.is_empty() { p { (word::NO_RECIPIENTS) } } @else {
                table.lines.short {
                    thead { tr {
                        th { "who" } th { "order" } th { "date, drop" } th { "product" }
                        th { "lot" } th { "how much" } th { "steps · share" } th.tick { "told" }
                    } }
                    tbody { @for row in rows { (recipient(row)) } }
                }
            }
        }
    }
}

fn recipient(row: &RecipientView) -> Markup {
    let who = row.name.as_deref().or(row.customer.as_deref()).unwrap_or("not known");
    let date = row.service_date.as_deref().map(texts::day);
    html! {
        tr {
            td { b { (who) } }
            td { (row.order_ref.as_deref().unwrap_or("not known")) }
            td {
                (date.as_deref().unwrap_or("not known"))
                @if let Some(drop) = &row.drop { " " (drop) }
            }
            td { (row.product) }
            td { (row.lot.as_deref().unwrap_or("not written down")) }
            td { (said(&row.quantity)) }
            td { (reach(&row.reach)) }
            td { span.box {} }
        }
    }
}

fn in_house(view: &RecallView) -> Markup {
    html! {
        section {
            h2 { (word::IN_HOUSE) }
            @if view.in_house.is_empty() { p { (word::NOTHING_IN_HOUSE) } } @else {
                table.lines.short {
                    thead { tr {
                        th { "where" } th { "what" } th { "lot" } th { "by the book" }
                        th { "state" } th { "found" } th.tick { "done" }
                    } }
                    tbody { @for row in &view.in_house {
                        tr {
                            td { b { (row.place.as_deref().unwrap_or("no place on record")) } }
                            td { (row.item) }
                            td { (row.lot) }
                            td { (said(&row.quantity)) }
                            td { (row.state) }
                            td.blank {}
                            td { span.box {} }
                        }
                    } }
                }
            }
        }
    }
}

fn planned(planned: &PlannedView) -> Markup {
    html! {
        section {
            h2 { (word::PLANNED) }
            @if planned.uses.is_empty() && planned.notes.is_empty() { p { (word::NOTHING_PLANNED) } }
            (notes(&planned.notes))
            @if let Some(short) = &planned.short {
                p { b { (word::short(&said(&short.quantity), short.runs_out_at.as_deref().map(texts::moment).as_deref())) } }
            }
            @if !planned.uses.is_empty() {
                table.lines.short {
                    thead { tr {
                        th { "when" } th { "what" } th { "for" } th { "service date" }
                        th { "state" } th { "how much" }
                    } }
                    tbody { @for one in &planned.uses {
                        tr {
                            td { (one.at.as_deref().map(texts::moment).as_deref().unwrap_or("not known")) }
                            td { (one.item) ", lot " (one.lot) }
                            td { (one.code) @if let Some(load) = one.load { ", load " (load) } }
                            td { (texts::full_day(&one.service_date)) }
                            td { (one.state) }
                            td { (said(&one.quantity)) }
                        }
                    } }
                }
            }
        }
    }
}

fn balance(mass: &MassBalanceView) -> Markup {
    html! {
        section.group {
            h2 { (word::MASS_BALANCE) ": " (word::accounted(mass.accounted_percent.as_deref())) }
            dl.facts {
                (fact("came", &said(&mass.came)))
                (fact("used", &said(&mass.used)))
                (fact("sent", &said(&mass.sent)))
                (fact("thrown away", &said(&mass.wasted)))
                (fact("sent back", &said(&mass.returned)))
                (fact("left", &said(&mass.left)))
                (fact("counts found", &said(&mass.variance)))
            }
        }
    }
}

fn chain(title: &str, chain: &ChainView) -> Markup {
    html! {
        section {
            h2 { (title) }
            @if chain.steps.is_empty() { p { (word::NOTHING) } } @else {
                table.lines.short {
                    thead { tr {
                        th { "when" } th { "load or step" } th { "state" } th { "steps · share" }
                    } }
                    tbody { @for step in &chain.steps {
                        tr {
                            td { (texts::moment(&step.at)) }
                            td { (step.name) }
                            td { (step.state.as_deref().unwrap_or("")) }
                            td { (reach(&step.reach)) }
                        }
                    } }
                }
                (lots("product", &chain.products))
                (lots("made or bought", &chain.lots))
            }
        }
    }
}

fn lots(title: &str, rows: &[TracedLotView]) -> Markup {
    html! {
        @if !rows.is_empty() {
            table.lines.short {
                thead { tr {
                    th { (title) } th { "lot" } th { "from" } th { "came or made" } th { "state" }
                    th { "steps · share" }
                } }
                tbody { @for row in rows {
                    tr {
                        td { b { (row.item) } }
                        td { (row.lot) }
                        td { (row.supplier.as_deref().unwrap_or("")) }
                        td { (texts::full_day(&row.received)) }
                        td { (row.state) }
                        td { (reach(&row.reach)) }
                    }
                } }
            }
        }
    }
}
