//! Where goods are booked in: a scan, and what it does not say.

use crate::{
    messages::Words,
    pages::{
        Draft, Page, Shown,
        field::{self, Field},
    },
    service::{
        Refusal, bakery,
        supplier_orders::{self, SupplierOrder},
    },
    state::State,
    wire::supplier_order::SupplierOrderRowView,
};
use domain::bakery::Bakery;
use maud::{Markup, html};

/// Units in which a pack is said.
const UNITS: [&str; 5] = ["g", "kg", "mL", "L", "each"];

/// An empty form, received today.
pub(super) fn blank(state: &State) -> Result<Draft, Refusal> {
    Ok(Draft::new(state).with("received", bakery::today(state)?.to_string()))
}

pub(super) fn page(state: &State, words: Words, draft: &Draft) -> Shown {
    let (bakery, open) = state.store.read(|tx| {
        Ok::<_, Refusal>((bakery::load(state, tx)?, supplier_orders::open(tx, &state.site)?))
    })?;
    let lists = bakery.lists();
    let bought = lists.items.iter().filter(|item| item.stocked);
    let items: Vec<_> = bought.map(|item| (item.code.to_string(), item.name.clone())).collect();
    let places = lists.places.iter().map(|place| (place.code.to_string(), place.name.clone()));
    let places: Vec<_> = places.collect();
    let suppliers = lists.suppliers.iter().map(|one| (one.code.to_string(), one.name.clone()));
    let suppliers: Vec<_> = suppliers.collect();
    let units = UNITS.map(|unit| (unit.to_owned(), unit.to_owned()));
    let say = |name: &str| words.say(name);
    let (scan, hint, packs) = (say("receive-scan"), say("receive-scan-hint"), say("receive-packs"));
    let (item, lot, amount) = (say("stock-item"), say("lot-name"), say("receive-amount"));
    let (unit, received) = (say("receive-unit"), say("receive-date"));
    let (use_by, best) = (say("receive-use-by"), say("receive-best-before"));
    let (place, supplier, who) = (say("lot-place"), say("receive-supplier"), say("lot-who"));
    let fields = html! {
        (Field::text("scan", &scan).hint(&hint).draw(words, draft))
        (Field::number("packs:number", &packs).draw(words, draft))
        (Field::choice("item", &item, &items).draw(words, draft))
        (Field::text("lot", &lot).draw(words, draft))
        (Field::number("quantity/amount:decimal", &amount).draw(words, draft))
        (Field::choice("quantity/unit:with", &unit, &units).draw(words, draft))
        (Field::date("received", &received).needed().draw(words, draft))
        (Field::date("use_by", &use_by).draw(words, draft))
        (Field::date("best_before", &best).draw(words, draft))
        (Field::choice("place", &place, &places).draw(words, draft))
        (Field::choice("supplier", &supplier, &suppliers).draw(words, draft))
        (Field::text("who", &who).draw(words, draft))
    };
    let button = say("receive-book");
    let main = html! {
        p { (words.say("receive-label")) }
        (expected(words, &bakery, &open))
        (field::form(words, draft, ("/receiving", &button), &fields))
    };
    Ok(Page { title: words.say("receive-title"), main })
}

/// Orders that are on their way: their goods are taken in against them, or a plan would
/// still wait for what is there.
fn expected(words: Words, bakery: &Bakery, open: &[SupplierOrder]) -> Markup {
    let coming = open.iter().filter(|order| order.state.is_expected());
    let coming: Vec<_> = coming.map(|order| SupplierOrderRowView::new(bakery, order)).collect();
    html! {
        @if !coming.is_empty() {
            section {
                h2 { (words.say("goods-in-expected")) }
                ul.links {
                    @for order in &coming {
                        li {
                            a href={ "/supplier-orders/" (order.id) "/goods-in" } {
                                (order.reference) ", " (words.moment(&order.arrives))
                            }
                        }
                    }
                }
            }
        }
    }
}
