//! What a supplier sells: packs, prices and their breaks.

use crate::{
    messages::Words,
    pages::{
        frame::{Column::Text, columns, wide},
        money, visit,
    },
    service::plan::Morning,
    wire::{amount::MoneyView, printed},
};
use domain::{
    bakery::Bakery,
    money::Money,
    price::in_force,
    quantity::Quantity,
    supplier::{Pack, PackPrice, Supplier, ValueBreak},
};
use maud::{Markup, html};

/// Most decimals of a percentage.
const DECIMALS: u32 = 6;

fn sum(words: Words, sum: Money) -> String {
    money(words, &MoneyView::new(sum.minor, sum.currency))
}

/// What is taken off from a value of goods on.
pub(super) fn off(words: Words, step: &ValueBreak) -> String {
    let percent = words.digits(&step.percent_off.to_decimal(DECIMALS));
    let from = sum(words, step.from);
    words.tell("suppliers-off", &[("percent", percent.into()), ("money", from.into())])
}

/// Draws the packs of a supplier, as listed.
pub(super) fn draw(words: Words, morning: &Morning, supplier: &Supplier) -> Markup {
    let bakery = &morning.bakery;
    let packs = bakery.lists().packs.iter();
    let packs: Vec<&Pack> = packs.filter(|pack| pack.supplier == supplier.code).collect();
    let title = words.say("suppliers-goods");
    html! {
        section {
            h2 { (title) }
            @if packs.is_empty() { p { (words.say("suppliers-no-goods")) } }
            @else {
                (wide(&title, &html! {
                    table {
                        (columns(words, &[
                            Text("stock-item"),
                            Text("suppliers-pack"),
                            Text("suppliers-price"),
                        ]))
                        tbody { @for pack in packs { (row(words, morning, pack)) } }
                    }
                }))
            }
        }
    }
}

fn name_of<'a>(bakery: &'a Bakery, pack: &'a Pack) -> &'a str {
    let item = bakery.index().item(pack.item.as_str());
    item.map_or(pack.item.as_str(), |at| bakery.item(at).name.as_str())
}

fn row(words: Words, morning: &Morning, pack: &Pack) -> Markup {
    let today = morning.today();
    let later = pack.prices.iter().filter(|price| price.valid_from > today);
    html! {
        tr {
            th scope="row" {
                a href={ "/stock/" (visit::segment(pack.item.as_str())) } { (name_of(&morning.bakery, pack)) }
                br; span.hint { (pack.code) }
            }
            td { (holding(words, pack)) }
            td {
                @match in_force(pack, today) {
                    Some(price) => { (priced(words, pack, price)) }
                    None => { (words.say("desk-price-unknown")) }
                }
                @for price in later {
                    br; (words.tell("suppliers-from-day", &[("day", words.day(price.valid_from).into())])) " "
                    (priced(words, pack, price))
                }
            }
        }
    }
}

fn holding(words: Words, pack: &Pack) -> Markup {
    let days = pack.minimum_life_minutes.map(|minutes| minutes / (24 * 60));
    html! {
        (words.digits(&printed::pack(pack)))
        @if !pack.orderable { br; (words.say("suppliers-not-ordered")) }
        @if pack.multiple > 1 {
            br; (words.tell("supplier-order-multiple", &[("multiple", pack.multiple.into())]))
        }
        @if pack.catch_weight.is_some() { br; (words.say("suppliers-uneven")) }
        @if let Some(days) = days {
            br; span.hint { (words.tell("desk-least-life", &[("days", days.into())])) }
        }
        @if let Some(deposit) = pack.deposit {
            br; (words.say("supplier-order-deposits")) " " (sum(words, deposit))
        }
    }
}

/// A price with its breaks.
fn priced(words: Words, pack: &Pack, price: &PackPrice) -> Markup {
    let per = |per: Quantity| {
        let said = printed::amount(per.micro(), per.unit());
        words.amount(&said.amount, said.unit)
    };
    html! {
        (sum(words, price.price))
        @if let Some(of) = price.per { " / " (per(of)) }
        @for one in &price.breaks {
            br; span.hint {
                (words.tell("suppliers-break", &[
                    ("packs", one.from_packs.into()), ("money", sum(words, one.price).into()),
                ]))
                @if pack.price_group.is_some() { " " (words.say("suppliers-price-group")) }
            }
        }
    }
}
