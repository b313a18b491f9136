//! The recall file on paper: who got some, what is left, and every link of the chain.

use super::{
    page::{document, foot, notes, said},
    texts::{self, recall as word},
};
use crate::messages::{Sentence, Words};
use crate::wire::{
    recall::{ChainView, MassBalanceView, RecallView},
    trace::{PlannedView, ReachView, RecipientView, TracedLotView},
};
use maud::{Markup, html};

/// Draws a recall file.
#[must_use]
pub fn draw(words: Words, view: &RecallView) -> Markup {
    let (lot, item) = (&view.lot, view.item.told(words));
    let title = format!("{} {item} {}", words.say("recall-title"), lot.lot);
    let body = html! {
        main.sheet.wide {
            p.stamp {
                span { (view.bakery) " · " b { (words.say("recall-title")) } }
                span { (texts::printed_at(words, &view.made_at)) }
            }
            header {
                h1 { (item) ", " (words.say("sheet-lot")) " " (lot.lot) }
                p.load { (words.listed("lot-state-", lot.state)) }
            }
            @if let Some(reason) = &lot.hold_reason { p.banner { (reason) } }
            dl.facts {
                (fact(&words.say("recall-came"), &words.year_day(&lot.received)))
                (fact(&words.say("recall-from"), &or_not_known(words, view.supplier.as_ref())))
                (fact(&words.say("recall-left"), &said(words, &lot.quantity)))
            }
            (notes(words, &view.notes))
            (recipients(words, &view.recipients))
            (in_house(words, view))
            (planned(words, &view.planned))
            (balance(words, &view.mass_balance))
            (chain(words, &words.say("recall-went-into"), &view.went_into))
            (chain(words, &words.say("recall-came-from"), &view.came_from))
            (foot(words, &[words.say("recall-no-cut"), words.say("recall-records"), words.say("recall-decide")]))
        }
    };
    document(words, &title, &body)
}

/// A name, or that nobody wrote it down.
fn or_not_known(words: Words, name: Option<&Sentence>) -> String {
    name.map_or_else(|| words.say("sheet-not-known"), |name| name.told(words))
}

fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}

fn reach(words: Words, reach: &ReachView) -> Markup {
    let percent = reach.share.as_ref().map(|share| share.percent.as_str());
    html! {
        (word::share(words, reach.generation, percent))
        @if reach.link != "booked" { br; b { (words.listed("trace-link-", reach.link)) } }
    }
}

fn recipients(words: Words, rows: &[RecipientView]) -> Markup {
    html! {
        section {
            h2 { (words.say("recall-recipients")) }
            @if rows.is_empty() { p { (words.say("recall-no-recipients")) } } @else {
                table.lines.short {
                    thead { tr {
                        th { (words.say("recall-who")) } th { (words.say("recall-order")) } th { (words.say("recall-date-drop")) } th { (words.say("sheet-product")) }
                        th { (words.say("sheet-lot")) } th { (words.say("sheet-how-much")) } th { (words.say("recall-steps-share")) } th { (words.say("recall-told")) }
                    } }
                    tbody { @for row in rows { (recipient(words, row)) } }
                }
            }
        }
    }
}

fn recipient(words: Words, row: &RecipientView) -> Markup {
    let who = row
        .name
        .as_deref()
        .or(row.customer.as_deref())
        .map_or_else(|| words.say("sheet-not-known"), str::to_owned);
    let date = row.service_date.as_deref().map(|it| words.day_of(it));
    html! {
        tr {
            td { b { (who) } }
            td { (row.order_ref.as_deref().map_or_else(|| words.say("sheet-not-known"), str::to_owned)) }
            td {
                (date.as_deref().map_or_else(|| words.say("sheet-not-known"), str::to_owned))
                @if let Some(drop) = &row.drop { " " (drop) }
            }
            td { (row.product.told(words)) }
            td { (row.lot.as_deref().map_or_else(|| words.say("recall-not-written-down"), str::to_owned)) }
            td { (said(words, &row.quantity)) }
            td { (reach(words, &row.reach)) }
            td { span.box {} }
        }
    }
}

fn in_house(words: Words, view: &RecallView) -> Markup {
    html! {
        section {
            h2 { (words.say("recall-in-house")) }
            @if view.in_house.is_empty() { p { (words.say("recall-nothing-in-house")) } } @else {
                table.lines.short {
                    thead { tr {
                        th { (words.say("sheet-where")) } th { (words.say("sheet-what")) } th { (words.say("sheet-lot")) } th { (words.say("recall-by-the-book")) }
                        th { (words.say("recall-state")) } th { (words.say("recall-found")) } th { (words.say("recall-done")) }
                    } }
                    tbody { @for row in &view.in_house {
                        tr {
                            td { b { (row.place.as_ref().map_or_else(|| words.say("sheet-no-place-on-record"), |place| place.told(words))) } }
                            td { (row.item.told(words)) }
                            td { (row.lot) }
                            td { (said(words, &row.quantity)) }
                            td { (words.listed("lot-state-", &row.state)) }
                            td.blank {}
                            td { span.box {} }
                        }
                    } }
                }
            }
        }
    }
}

fn planned(words: Words, planned: &PlannedView) -> Markup {
    html! {
        section {
            h2 { (words.say("recall-planned")) }
            @if planned.uses.is_empty() && planned.notes.is_empty() { p { (words.say("recall-nothing-planned")) } }
            (notes(words, &planned.notes))
            @if let Some(short) = &planned.short {
                p { b { (word::short(words, &said(words, &short.quantity), short.runs_out_at.as_deref().map(|it| words.moment(it)).as_deref())) } }
            }
            @if !planned.uses.is_empty() {
                table.lines.short {
                    thead { tr {
                        th { (words.say("sheet-when")) } th { (words.say("sheet-what")) } th { (words.say("sheet-for")) } th { (words.say("recall-service-date")) }
                        th { (words.say("recall-state")) } th { (words.say("sheet-how-much")) }
                    } }
                    tbody { @for one in &planned.uses {
                        tr {
                            td { (one.at.as_deref().map(|it| words.moment(it)).as_deref().map_or_else(|| words.say("sheet-not-known"), str::to_owned)) }
                            td { (one.item.told(words)) ", " (words.say("sheet-lot")) " " (one.lot) }
                            td { (one.code.told(words)) @if let Some(load) = one.load { ", " (words.say("sheet-load")) " " (load) } }
                            td { (words.year_day(&one.service_date)) }
                            td { (words.state(one.state)) }
                            td { (said(words, &one.quantity)) }
                        }
                    } }
                }
            }
        }
    }
}

fn balance(words: Words, mass: &MassBalanceView) -> Markup {
    html! {
        section.group {
            h2 { (words.say("recall-mass-balance")) ": " (word::accounted(words, mass.accounted_percent.as_deref())) }
            dl.facts {
                (fact(&words.say("recall-came"), &said(words, &mass.came)))
                (fact(&words.say("recall-used"), &said(words, &mass.used)))
                (fact(&words.say("recall-sent"), &said(words, &mass.sent)))
                (fact(&words.say("sheet-thrown-away"), &said(words, &mass.wasted)))
                (fact(&words.say("recall-sent-back"), &said(words, &mass.returned)))
                (fact(&words.say("recall-left"), &said(words, &mass.left)))
                (fact(&words.say("recall-counts-found"), &said(words, &mass.variance)))
            }
        }
    }
}

fn chain(words: Words, title: &str, chain: &ChainView) -> Markup {
    html! {
        section {
            h2 { (title) }
            @if chain.steps.is_empty() { p { (words.say("recall-nothing")) } } @else {
                table.lines.short {
                    thead { tr {
                        th { (words.say("sheet-when")) } th { (words.say("recall-load-or-step")) } th { (words.say("recall-state")) } th { (words.say("recall-steps-share")) }
                    } }
                    tbody { @for step in &chain.steps {
                        tr {
                            td { (words.moment(&step.at)) }
                            td { (step.name.told(words)) }
                            td { (step.state.as_deref().map(|state| words.state(state)).unwrap_or_default()) }
                            td { (reach(words, &step.reach)) }
                        }
                    } }
                }
                (lots(words, &words.say("sheet-product"), &chain.products))
                (lots(words, &words.say("recall-made-or-bought"), &chain.lots))
            }
        }
    }
}

fn lots(words: Words, title: &str, rows: &[TracedLotView]) -> Markup {
    html! {
        @if !rows.is_empty() {
            table.lines.short {
                thead { tr {
                    th { (title) } th { (words.say("sheet-lot")) } th { (words.say("recall-from")) } th { (words.say("recall-came-or-made")) } th { (words.say("recall-state")) }
                    th { (words.say("recall-steps-share")) }
                } }
                tbody { @for row in rows {
                    tr {
                        td { b { (row.item.told(words)) } }
                        td { (row.lot) }
                        td { (row.supplier.as_ref().map(|supplier| supplier.told(words)).unwrap_or_default()) }
                        td { (words.year_day(&row.received)) }
                        td { (words.listed("lot-state-", &row.state)) }
                        td { (reach(words, &row.reach)) }
                    }
                } }
            }
        }
    }
}
