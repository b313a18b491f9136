//! The cost sheet of a service date on paper.

use super::{
    page::{Stamp, document, foot, notes, stamp},
    texts::{self, cost as word},
};
use crate::wire::{
    amount::money_text,
    day_cost::{DayCostView, DoughLineView, ProductLineView, ShareLineView},
    labour::LabourView,
};
use maud::{Markup, html};

/// Draws the sheet.
#[must_use]
pub fn draw(view: &DayCostView) -> Markup {
    let title = word::title(view.kind);
    let page = Stamp {
        bakery: &view.bakery,
        title,
        work_date: &view.service_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let body = html! {
        main.sheet.wide.cost {
            (stamp(&page, None))
            header {
                h1 { (title) }
                p.load { (texts::full_day(&view.service_date)) }
            }
            p { (word::stands_on(view.kind)) }
            (notes(&view.notes))
            @if view.products.is_empty() {
                p { (word::NOTHING_MADE) }
            } @else {
                (products(view))
                (shares(word::FOR_WHOM, [&view.customers, &view.own_lines], &view.printed))
                (doughs(view))
                @if let Some(found) = &view.labour { (labour(found)) }
            }
            (foot(&[]))
        }
    };
    document(&format!("{title} {}", view.service_date), &body)
}

fn products(view: &DayCostView) -> Markup {
    html! {
        section {
            h2 { (word::PRODUCTS) }
            table.lines.short.sums-of {
                thead {
                    tr {
                        th.what { (word::PRODUCT) }
                        @for column in word::PRODUCT_COLUMNS { th.figure { (column) } }
                    }
                }
                tbody {
                    @for line in &view.products { (product(line)) }
                    tr.total {
                        td.what { b { (word::TOTAL) } }
                        td.figure colspan="7" { b { (view.printed) } }
                    }
                }
            }
        }
    }
}

fn product(line: &ProductLineView) -> Markup {
    html! {
        tr {
            td.what { span.name { (line.name) } (without_price(&line.missing)) }
            td.figure { (line.start) }
            td.figure { (line.good_planned) }
            td.figure { (line.ingredients.printed) }
            td.figure { (line.packaging.printed) }
            td.figure { (line.rejects.printed) }
            td.figure { b { (at_least(&line.missing)) (line.per_good_piece.printed) } }
            td.figure { (at_least(&line.missing)) (money_text(line.total.minor_units)) }
        }
    }
}

fn at_least(missing: &[String]) -> Markup {
    html! { @if !missing.is_empty() { "≥ " } }
}

/// What has no price, if anything has none.
pub(super) fn without_price(missing: &[String]) -> Markup {
    html! { @if !missing.is_empty() { p.remark { (word::without_price(missing)) } } }
}

/// Lines of customers and of all else, which sum to a total.
pub(super) fn shares(heading: &str, lines: [&[ShareLineView]; 2], total: &str) -> Markup {
    html! {
        section {
            h2 { (heading) }
            table.lines.short.sums-of {
                thead { tr { th.what { (word::CUSTOMER) } th.figure { (word::PIECES) } th.figure { (word::COST) } } }
                tbody {
                    @for line in lines.into_iter().flatten() { (share(line)) }
                    tr.total { td.what { b { (word::TOTAL) } } td.figure {} td.figure { b { (total) } } }
                }
            }
        }
    }
}

fn share(line: &ShareLineView) -> Markup {
    html! { tr { td.what { (line.name) } td.figure { (line.pieces) } td.figure { (line.printed) } } }
}

fn labour(view: &LabourView) -> Markup {
    html! {
        section {
            h2 { (word::LABOUR) }
            table.lines.short.sums-of {
                thead { tr { th.what { (word::PRODUCT) } @for column in word::LABOUR_COLUMNS { th.figure { (column) } } } }
                tbody {
                    @for line in &view.products {
                        tr {
                            td.what { (line.name) @for gap in &line.missing { p.remark { (gap) } } }
                            td.figure { (at_least(&line.missing)) (line.minutes) }
                            td.figure { (at_least(&line.missing)) (line.per_good_piece.printed) }
                            td.figure { (at_least(&line.missing)) (money_text(line.total.minor_units)) }
                        }
                    }
                    tr.total { td.what { b { (word::TOTAL) } } td.figure colspan="3" { b { (view.printed) } } }
                }
            }
        }
    }
}

fn doughs(view: &DayCostView) -> Markup {
    html! {
        section {
            h2 { (word::DOUGHS) }
            table.lines.short.sums-of {
                thead { tr { th.what { (word::MADE) } @for column in word::DOUGH_COLUMNS { th.figure { (column) } } } }
                tbody { @for line in &view.doughs { (dough(line)) } }
            }
        }
    }
}

fn dough(line: &DoughLineView) -> Markup {
    html! {
        tr {
            td.what { (line.name) (without_price(&line.missing)) }
            td.figure { (line.printed) }
            td.figure { (at_least(&line.missing)) (line.each.printed) " / " (line.per) }
            td.figure { (at_least(&line.missing)) (line.total.printed) }
        }
    }
}
