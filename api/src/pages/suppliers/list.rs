//! All suppliers, whoever must be rung next first.

use crate::{
    messages::Words,
    pages::{
        Page, Shown,
        frame::{Column::Text, columns, wide},
        money,
        supplier_orders::address,
        visit,
    },
    service::{plan, supplier_orders as orders},
    state::State,
    wire::{
        amount::MoneyView,
        deliveries::{DeliveryView, coming_deliveries},
        supplier_order::SupplierOrderRowView,
    },
};
use domain::supplier::{BelowMinimum, Supplier};
use maud::{Markup, html};

pub(super) fn page(state: &State, words: Words) -> Shown {
    let morning = plan::load_reference(state)?;
    let open = state.store.read(|tx| orders::open(tx, &state.site))?;
    let open: Vec<_> =
        open.iter().map(|order| SupplierOrderRowView::new(&morning.bakery, order)).collect();
    let mut rows = Vec::new();
    for supplier in &morning.bakery.lists().suppliers {
        let coming = coming_deliveries(&morning, supplier).map_err(plan::refused)?;
        rows.push((coming.into_iter().find(|one| !one.ask_supplier), supplier));
    }
    // Nobody to ring comes last.
    let key = |next: &Option<DeliveryView>| next.as_ref().map(|one| one.cutoff.clone());
    rows.sort_by_key(|(next, _)| (next.is_none(), key(next)));
    let today = morning.today();
    let moment = |at: &String| words.moment_on(today, at);
    let title = words.say("suppliers-title");
    let main = html! {
        @if rows.is_empty() { p { (words.say("suppliers-none")) } }
        @else {
            (wide(&title, &html! {
                table {
                    (columns(words, &[
                        Text("receive-supplier"),
                        Text("suppliers-next-cutoff"),
                        Text("desk-arrives"),
                        Text("desk-minimum"),
                        Text("desk-open-orders"),
                    ]))
                    tbody {
                        @for (next, supplier) in &rows {
                            @let code = supplier.code.as_str();
                            tr {
                                th scope="row" { a href={ "/suppliers/" (visit::segment(code)) } { (supplier.name) } }
                                td.loud { @match next { Some(next) => { (moment(&next.cutoff)) } None => { "–" } } }
                                td { @match next { Some(next) => { (moment(&next.arrives)) } None => { "–" } } }
                                td { (minimum(words, supplier)) }
                                td {
                                    @for order in open.iter().filter(|order| order.supplier == code) {
                                        a href=(address(&order.id)) { (order.reference) } " "
                                        span.hint { (words.say(&format!("supplier-order-state-{}", order.state))) }
                                        br;
                                    }
                                }
                            }
                        }
                    }
                }
            }))
        }
    };
    Ok(Page { title, main })
}

/// What an order must reach, and what happens below that.
pub(super) fn minimum(words: Words, supplier: &Supplier) -> Markup {
    let sum = |sum: domain::money::Money| money(words, &MoneyView::new(sum.minor, sum.currency));
    html! {
        (sum(supplier.minimum_order)) " · "
        @match supplier.below_minimum {
            BelowMinimum::Refused => { (words.say("suppliers-below-refused")) }
            BelowMinimum::Carriage => {
                (words.tell("suppliers-below-carriage", &[("money", sum(supplier.carriage).into())]))
            }
        }
    }
}
