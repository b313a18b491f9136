//! What goes onto or into a piece beside its dough, in words.

use super::printed;
use crate::service::plan::Morning;
use domain::{
    bakery::{CompiledMakeUp, Driver},
    item::ItemKind,
    product::Per,
    quantity::Unit,
    ratio::Ratio,
};
use jiff::civil::Date;

/// Washes, fillings, toppings and other products in one piece, each with its amount.
pub(super) fn goes_on(morning: &Morning, date: Date, product: u32) -> Vec<String> {
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(date);
    let is_dough = |item: u32| {
        let folded = recipes
            .of_item(item)
            .is_some_and(|at| matches!(recipes.recipes[at].driver, Driver::Blocks { .. }));
        folded || recipes.dough_of(product) == Some(item)
    };
    let plain = |item: u32, per: Per| {
        let packaging = bakery.item(item).kind == ItemKind::Packaging;
        per == Per::Piece && !packaging && !is_dough(item)
    };
    let amount = |micro: Ratio, unit: Unit| {
        let micro = micro.round_half_up().ok().and_then(|micro| i64::try_from(micro).ok());
        micro.map_or_else(String::new, |micro| {
            let said = printed::amount(micro, unit);
            format!(" {}\u{a0}{}", said.amount, said.unit)
        })
    };
    let words = |line: &CompiledMakeUp| match *line {
        CompiledMakeUp::Mass { item, ug, per, .. } => {
            plain(item, per).then(|| bakery.item(item).name.clone() + &amount(ug, Unit::Gram))
        }
        CompiledMakeUp::Count { item, micro, per, .. } => {
            plain(item, per).then(|| bakery.item(item).name.clone() + &amount(micro, Unit::Each))
        }
        CompiledMakeUp::Batches { item, per, .. } => {
            plain(item, per).then(|| bakery.item(item).name.clone())
        }
        CompiledMakeUp::Product { product, pieces, day_offset } => {
            let name = &bakery.product(product).name;
            let day = if day_offset < 0 { " of the day before" } else { "" };
            Some(format!("{pieces} {name}{day}"))
        }
    };
    recipes.make_up_of(product).iter().filter_map(words).collect()
}
