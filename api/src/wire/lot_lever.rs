//! What can be done with a kept lot that cannot be used as it was meant, and what that costs.

use super::{
    amount::{MoneyView, instant},
    cost,
    day_board::BoardLeverView,
    findings, printed,
};
use crate::service::plan::Morning;
use domain::{
    lot::Lot,
    money::whole_minor,
    plan::{
        cost::{Cost, kept_cost},
        made_stock::Lever,
    },
    quantity::MICRO,
};
use jiff::Timestamp;

/// Levers in words, each with its cost.
pub(super) fn lot_levers(morning: &Morning, lot: &Lot, levers: &[Lever]) -> Vec<BoardLeverView> {
    levers.iter().map(|one| lever(morning, lot, one)).collect()
}

/// A lever and its cost in one line.
pub(super) fn said(lever: &BoardLeverView) -> String {
    let cost = lever.cost.as_ref().map(|cost| format!("; {cost}")).unwrap_or_default();
    format!("{}{cost}", lever.what)
}

fn lever(morning: &Morning, lot: &Lot, lever: &Lever) -> BoardLeverView {
    let bakery = &morning.bakery;
    let plain = |what: &str| BoardLeverView::new(what, None);
    let clock = |at: Timestamp| findings::local(&instant(&bakery.site().time_zone, at));
    match lever {
        Lever::OldDough { item, until, most_percent, takes_ug } => {
            let into = &bakery.item(*item).name;
            let limit = most_percent.map_or_else(
                || "no limit is stated".to_owned(),
                |most| format!("at most {} % of its new flour", most.to_decimal(2)),
            );
            let takes = i64::try_from(takes_ug.floor()).unwrap_or(i64::MAX);
            let takes = if takes > 0 {
                format!("what is planned of it takes up to {}", printed::sum(takes).said())
            } else {
                "no mix of it is planned by then".to_owned()
            };
            let what = format!("old dough for {into} until {}: {limit}", clock(*until));
            BoardLeverView::new(what, Some(takes))
        }
        Lever::Seed { until: Some(until) } => {
            plain(&format!("seed of its own next build until {}", clock(*until)))
        }
        Lever::Seed { until: None } => {
            plain("seed of its own next build: nobody stated how long a seed lives")
        }
        Lever::Accept => plain("a named person looks at it and accepts it to a last day"),
        Lever::Waste => BoardLeverView::new("write it off as waste", Some(worth(morning, lot))),
        Lever::SayWhenMade => {
            plain("ask who made it and write down when: until then it is not counted on")
        }
    }
}

/// What a lot is worth at list prices, in words.
fn worth(morning: &Morning, lot: &Lot) -> String {
    let found = if morning.bakery.index().item(lot.item.as_str()).is_some() {
        kept_cost(&morning.bakery, lot, morning.today())
    } else {
        pieces_cost(morning, lot)
    };
    let minor = found.as_ref().and_then(|cost| whole_minor(std::slice::from_ref(&cost.minor)).ok());
    let (Some(cost), Some(&[minor_units])) = (&found, minor.as_deref()) else {
        return "what it cost is not known".to_owned();
    };
    let missing = cost.missing.len();
    if minor_units == 0 && missing > 0 {
        return "what it cost is not known: no price".to_owned();
    }
    let money = MoneyView::new(minor_units, morning.bakery.site().currency);
    let sum = format!("{} at list prices", money.said());
    cost::said(&sum, missing)
}

/// Good pieces at what they cost on the first date of the plan on which they are made.
fn pieces_cost(morning: &Morning, lot: &Lot) -> Option<Cost> {
    let product = morning.bakery.index().product(lot.item.as_str())?;
    let made = morning.standard_costs().products.iter().find(|one| one.product == product)?;
    Some(made.per_good_piece.times(&domain::figure::Figure::whole(lot.balance_micro / MICRO)))
}
