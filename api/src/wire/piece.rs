//! What goes onto or into a piece beside its dough, in words.

use super::printed::{self, PrintedView};
use crate::service::plan::Morning;
use domain::{
    bakery::{CompiledMakeUp, Driver},
    item::ItemKind,
    product::Per,
    quantity::Unit,
    ratio::Ratio,
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// Something that goes onto or into one piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct GoesOnView {
    /// What people call it.
    #[schema(example = "Egg wash")]
    pub name: String,
    /// How much for one piece; none if it is made by the batch.
    pub printed: Option<PrintedView>,
}

/// Washes, fillings, toppings and other products in one piece, each with its amount.
pub(super) fn goes_on(morning: &Morning, date: Date, product: u32) -> Vec<GoesOnView> {
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
    let item_line = |item: u32, amount: Option<(Ratio, Unit)>| GoesOnView {
        name: bakery.item(item).name.clone(),
        printed: amount.and_then(|(micro, unit)| {
            let micro = i64::try_from(micro.round_half_up().ok()?).ok()?;
            Some(printed::amount(micro, unit))
        }),
    };
    let words = |line: &CompiledMakeUp| match *line {
        CompiledMakeUp::Mass { item, ug, per, .. } => {
            plain(item, per).then(|| item_line(item, Some((ug, Unit::Gram))))
        }
        CompiledMakeUp::Count { item, micro, per, .. } => {
            plain(item, per).then(|| item_line(item, Some((micro, Unit::Each))))
        }
        CompiledMakeUp::Batches { item, per, .. } => {
            plain(item, per).then(|| item_line(item, None))
        }
        CompiledMakeUp::Product { product, pieces, day_offset } => {
            let name = &bakery.product(product).name;
            let day = if day_offset < 0 { " of the day before" } else { "" };
            let micro = pieces.saturating_mul(domain::quantity::MICRO);
            let printed = Some(printed::amount(micro, Unit::Each));
            Some(GoesOnView { name: format!("{name}{day}"), printed })
        }
    };
    recipes.make_up_of(product).iter().filter_map(words).collect()
}
