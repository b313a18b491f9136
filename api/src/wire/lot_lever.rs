//! What can be done with a kept lot that cannot be used as it was meant, and what that costs.

use super::{
    amount::{MoneyView, instant},
    cost,
    day_board::BoardLeverView,
    printed,
};
use crate::{messages::Sentence, service::plan::Morning};
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
pub(super) fn said(lever: &BoardLeverView) -> Sentence {
    match &lever.cost {
        None => lever.what.clone(),
        Some(cost) => {
            Sentence::of("lot-lever-with-cost").with("what", &lever.what).with("cost", cost)
        }
    }
}

fn lever(morning: &Morning, lot: &Lot, lever: &Lever) -> BoardLeverView {
    let bakery = &morning.bakery;
    let plain = |what: Sentence| BoardLeverView::new(what, None);
    let clock = |at: Timestamp| Sentence::moment(instant(&bakery.site().time_zone, at));
    match lever {
        Lever::OldDough { item, until, most_percent, takes_ug } => {
            let limit = most_percent.map_or_else(
                || Sentence::of("lot-lever-no-limit"),
                |most| {
                    let percent = Sentence::digits(most.to_decimal(2));
                    Sentence::of("lot-lever-at-most").with("percent", percent)
                },
            );
            let takes = i64::try_from(takes_ug.floor()).unwrap_or(i64::MAX);
            let takes = if takes > 0 {
                let mass = Sentence::amount(printed::sum(takes).said());
                Sentence::of("lot-lever-takes").with("mass", mass)
            } else {
                Sentence::of("lot-lever-takes-none")
            };
            let what = Sentence::of("lot-lever-old-dough")
                .with("into", &bakery.item(*item).name)
                .with("until", clock(*until))
                .with("limit", limit);
            BoardLeverView::new(what, Some(takes))
        }
        Lever::Seed { until: Some(until) } => {
            plain(Sentence::of("lot-lever-seed").with("until", clock(*until)))
        }
        Lever::Seed { until: None } => plain(Sentence::of("lot-lever-seed-life-unknown")),
        Lever::Accept => plain(Sentence::of("lot-lever-accept")),
        Lever::Waste => {
            BoardLeverView::new(Sentence::of("lot-lever-waste"), Some(worth(morning, lot)))
        }
        Lever::SayWhenMade => plain(Sentence::of("lot-lever-ask")),
    }
}

/// What a lot is worth at list prices, in words.
fn worth(morning: &Morning, lot: &Lot) -> Sentence {
    let found = if morning.bakery.index().item(lot.item.as_str()).is_some() {
        kept_cost(&morning.bakery, lot, morning.today())
    } else {
        pieces_cost(morning, lot)
    };
    let minor = found.as_ref().and_then(|cost| whole_minor(std::slice::from_ref(&cost.minor)).ok());
    let (Some(cost), Some(&[minor_units])) = (&found, minor.as_deref()) else {
        return Sentence::of("lot-lever-cost-unknown");
    };
    let missing = cost.missing.len();
    if minor_units == 0 && missing > 0 {
        return Sentence::of("lot-lever-no-price");
    }
    let money = MoneyView::new(minor_units, morning.bakery.site().currency);
    let money = Sentence::amount(money.said());
    cost::at_least(Sentence::of("lot-lever-at-list").with("money", money), missing)
}

/// Good pieces at what they cost on the first date of the plan on which they are made.
fn pieces_cost(morning: &Morning, lot: &Lot) -> Option<Cost> {
    let product = morning.bakery.index().product(lot.item.as_str())?;
    let made = morning.standard_costs().products.iter().find(|one| one.product == product)?;
    Some(made.per_good_piece.times(&domain::figure::Figure::whole(lot.balance_micro / MICRO)))
}
