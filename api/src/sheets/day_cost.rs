//! The cost sheet of a service date on paper.

use super::{
    page::{Stamp, document, foot, notes, stamp},
    texts::money,
};
use crate::messages::Words;
use crate::wire::{
    amount::money_text,
    day_cost::{DayCostView, DoughLineView, ProductLineView, ShareLineView},
    labour::LabourView,
};
use maud::{Markup, html};

/// Columns of figures.
const PRODUCT_COLUMNS: [&str; 7] = [
    "costs-column-begun",
    "costs-column-good",
    "costs-column-ingredients",
    "costs-column-packaging",
    "costs-column-rejects",
    "costs-column-good-piece",
    "costs-column-all-good-pieces",
];

/// Columns of figures.
const LABOUR_COLUMNS: [&str; 3] =
    ["costs-column-minutes", "costs-column-good-piece", "costs-column-all-good-pieces"];

/// Columns of figures.
const DOUGH_COLUMNS: [&str; 3] =
    ["costs-column-users-take", "costs-column-each", "costs-column-all-of-it"];

/// Draws the sheet.
#[must_use]
pub fn draw(words: Words, view: &DayCostView) -> Markup {
    let title = money::title(words, view.kind);
    let page = Stamp {
        words,
        bakery: &view.bakery,
        title: title.clone(),
        work_date: &view.service_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.cost {
            (stamp(&page, None))
            header {
                h1 { (title) }
                p.load { (words.year_day(&view.service_date)) }
            }
            p { (money::stands_on(words, view.kind)) }
            (notes(words, &view.notes))
            @if view.products.is_empty() {
                p { (words.say("costs-nothing-made")) }
            } @else {
                (products(words, view))
                (shares(words, &words.say("costs-for-whom"), [&view.customers, &view.own_lines], &view.printed.told(words)))
                (doughs(words, view))
                @if let Some(found) = &view.labour { (labour(words, found)) }
            }
            (foot(words, &[]))
        }
    };
    document(words, &format!("{title} {}", view.service_date), &body)
}

fn products(words: Words, view: &DayCostView) -> Markup {
    html! {
        section {
            h2 { (words.say("costs-products")) }
            table.lines.short.sums-of {
                thead {
                    tr {
                        th.what { (words.say("costs-product-sheet")) }
                        @for column in PRODUCT_COLUMNS { th.figure { (words.say(column)) } }
                    }
                }
                tbody {
                    @for line in &view.products { (product(words, line)) }
                    tr.total {
                        td.what { b { (words.say("costs-total")) } }
                        td.figure colspan="7" { b { (view.printed.told(words)) } }
                    }
                }
            }
        }
    }
}

fn product(words: Words, line: &ProductLineView) -> Markup {
    html! {
        tr {
            td.what { span.name { (line.name) } (without_price(words, &line.missing)) }
            td.figure { (line.start) }
            td.figure { (line.good_planned) }
            td.figure { (line.ingredients.printed) }
            td.figure { (line.packaging.printed) }
            td.figure { (line.rejects.printed) }
            td.figure { b { (at_least(&line.missing)) (line.per_good_piece.printed) } }
            td.figure { (at_least(&line.missing)) (words.digits(&money_text(line.total.minor_units))) }
        }
    }
}

fn at_least<T>(missing: &[T]) -> Markup {
    html! { @if !missing.is_empty() { "≥ " } }
}

/// What has no price, if anything has none.
pub(super) fn without_price(words: Words, missing: &[String]) -> Markup {
    html! { @if !missing.is_empty() { p.remark { (money::without_price(words, missing)) } } }
}

/// Lines of customers and of all else, which sum to a total.
pub(super) fn shares(
    words: Words,
    heading: &str,
    lines: [&[ShareLineView]; 2],
    total: &str,
) -> Markup {
    html! {
        section {
            h2 { (heading) }
            table.lines.short.sums-of {
                thead { tr { th.what { (words.say("costs-customer")) } th.figure { (words.say("costs-pieces-sheet")) } th.figure { (words.say("costs-cost-sheet")) } } }
                tbody {
                    @for line in lines.into_iter().flatten() { (share(words, line)) }
                    tr.total { td.what { b { (words.say("costs-total")) } } td.figure {} td.figure { b { (total) } } }
                }
            }
        }
    }
}

fn share(words: Words, line: &ShareLineView) -> Markup {
    html! { tr { td.what { (line.name.told(words)) } td.figure { (line.pieces) } td.figure { (line.printed.told(words)) } } }
}

fn labour(words: Words, view: &LabourView) -> Markup {
    html! {
        section {
            h2 { (words.say("costs-labour-sheet")) }
            table.lines.short.sums-of {
                thead { tr { th.what { (words.say("costs-product-sheet")) } @for column in LABOUR_COLUMNS { th.figure { (words.say(column)) } } } }
                tbody {
                    @for line in &view.products {
                        tr {
                            td.what { (line.name) @for gap in &line.missing { p.remark { (gap.told(words)) } } }
                            td.figure { (at_least(&line.missing)) (line.minutes) }
                            td.figure { (at_least(&line.missing)) (line.per_good_piece.printed) }
                            td.figure { (at_least(&line.missing)) (words.digits(&money_text(line.total.minor_units))) }
                        }
                    }
                    tr.total { td.what { b { (words.say("costs-total")) } } td.figure colspan="3" { b { (view.printed.told(words)) } } }
                }
            }
        }
    }
}

fn doughs(words: Words, view: &DayCostView) -> Markup {
    html! {
        section {
            h2 { (words.say("costs-doughs-sheet")) }
            table.lines.short.sums-of {
                thead { tr { th.what { (words.say("costs-made")) } @for column in DOUGH_COLUMNS { th.figure { (words.say(column)) } } } }
                tbody { @for line in &view.doughs { (dough(words, line)) } }
            }
        }
    }
}

fn dough(words: Words, line: &DoughLineView) -> Markup {
    html! {
        tr {
            td.what { (line.name) (without_price(words, &line.missing)) }
            td.figure { (line.printed.told(words)) }
            td.figure { (at_least(&line.missing)) (line.each.printed) " / " (line.per) }
            td.figure { (at_least(&line.missing)) (line.total.printed) }
        }
    }
}
