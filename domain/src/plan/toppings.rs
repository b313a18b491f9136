//! Toppings, fillings bought in, tin oil, paper: one weighing per product and date.

use super::{Finding, Plan, PlanError};
use crate::{
    bakery::{Bakery, CompiledMakeUp},
    calendar,
    demand::PieceLine,
    product::Per,
    quantity::Unit,
    ratio::{Overflow, Ratio},
    scale::WeighState,
    weigh::{WeighedLine, weigh_amount},
};
use jiff::{Timestamp, civil::Date};

/// An item that goes onto or into the pieces of one product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Topping {
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// Position of the item.
    pub item: u32,
    /// When it is used.
    pub at: Timestamp,
    /// Exact amount: micrograms, or millionths of a piece.
    pub exact: Ratio,
    /// As weighed or counted.
    pub weighed: WeighedLine,
    /// Whole pieces to crack or cut for it, if it is weighed and its stock is counted.
    pub count: Option<i64>,
}

pub(super) fn fill(bakery: &Bakery, plan: &mut Plan) -> Result<(), PlanError> {
    let (mut toppings, mut findings) = (Vec::new(), Vec::new());
    for line in &plan.demand.pieces {
        of_line(bakery, line, &mut toppings, &mut findings)?;
    }
    plan.toppings = toppings.into();
    plan.findings.extend(findings);
    Ok(())
}

/// The toppings of one product for one service date.
pub(super) fn of_line(
    bakery: &Bakery,
    line: &PieceLine,
    toppings: &mut Vec<Topping>,
    findings: &mut Vec<Finding>,
) -> Result<(), PlanError> {
    let recipes = bakery.recipes(line.service_date);
    for make_up in recipes.make_up_of(line.product) {
        let (item, amount, per, at, counted) = match *make_up {
            CompiledMakeUp::Mass { item, ug, per, at } => (item, ug, per, at, false),
            CompiledMakeUp::Count { item, micro, per, at } => (item, micro, per, at, true),
            CompiledMakeUp::Batches { .. } | CompiledMakeUp::Product { .. } => continue,
        };
        let times = match per {
            Per::Piece => line.start,
            Per::Tray => line.trays.unwrap_or(0),
        };
        if recipes.of_item(item).is_some() || times == 0 {
            continue;
        }
        let exact = amount.times(Ratio::whole(times.into()))?;
        let weighed = if counted {
            // Part of a piece cannot be taken: whole pieces for the day.
            let whole = exact.over(Ratio::whole(crate::quantity::MICRO.into()))?.ceil();
            let micro = i64::try_from(whole)
                .ok()
                .and_then(|whole| whole.checked_mul(crate::quantity::MICRO))
                .ok_or(Overflow)?;
            WeighedLine { weighing: None, micro, state: WeighState::Counted }
        } else {
            weigh_amount(bakery.scales(), exact)?
        };
        if weighed.state == WeighState::Refused {
            findings.push(Finding::ToppingRefused {
                product: line.product,
                item,
                service_date: line.service_date,
            });
        }
        let found = bakery.item(item);
        let count = match found.grams_per_base_unit() {
            Some(grams) if !counted && found.base_unit == Unit::Each => {
                Some(super::issues::pieces(Ratio::whole(weighed.micro.into()), grams)?)
            }
            _ => None,
        };
        toppings.push(Topping {
            product: line.product,
            service_date: line.service_date,
            item,
            at: calendar::instant_at(&bakery.site().time_zone, line.service_date, at)?,
            exact,
            weighed,
            count,
        });
    }
    Ok(())
}
