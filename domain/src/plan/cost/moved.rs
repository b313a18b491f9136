//! What moved between two service dates, and why: price, yield, formula, mix.
//!
//! One thing after another is put from its old state to its new one, always in this order, so
//! that the steps sum to the difference exactly, with nothing left over and nothing twice.

use super::{Cost, Costing, Setting, Terms, prices::changed, shifted};
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, Recipes},
    figure::Figure,
};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Why a cost moved, in the order in which each is put to its new state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// What is paid.
    Price,
    /// What is lost on the way.
    Yield,
    /// What goes in.
    Formula,
    /// How many pieces are made, of what: loads, residue, whole blocks and trays.
    Mix,
}

impl Cause {
    /// All causes, in order.
    pub const ALL: [Self; 4] = [Self::Price, Self::Yield, Self::Formula, Self::Mix];
}

/// What moved of a product's cost per good piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CostChange {
    /// Position of the product.
    pub product: u32,
    /// What it was.
    pub was: Cost,
    /// What it is.
    pub now: Cost,
    /// What each cause added, in minor units, in the order of [`Cause::ALL`].
    pub causes: [Figure; 4],
    /// What each item's price added, by position of item; together the first cause.
    pub prices: Vec<(u32, Figure)>,
    /// What was lost otherwise: positions of the made items.
    pub yields: Vec<u32>,
    /// What was made otherwise: positions of the made items.
    pub formulas: Vec<u32>,
    /// Whether it was made on the first date; if not, the pieces of the second stand for it.
    pub made_then: bool,
}

/// A service date, and the pieces around it.
pub type Moment<'a> = (Date, Setting<'a>);

/// What moved between two service dates, for every product that is made on the second.
#[must_use]
pub fn cost_changes(bakery: &Bakery, was: Moment<'_>, now: Moment<'_>) -> Vec<CostChange> {
    let days = i64::from((now.0 - was.0).get_days());
    let mut old = Path::new(bakery, was, (0, days));
    // A product that was not made then is seen through the pieces of now.
    let mut same = None;
    let mut last = Costing::new(bakery, now.1, Terms::default());
    let mut found = Vec::new();
    for line in now.1.pieces_of(now.0) {
        let Some(end) = last.product(now.0, line.product) else { continue };
        let made_then = old.steps[0].product(was.0, line.product).is_some();
        let path = match made_then {
            true => &mut old,
            false => same.get_or_insert_with(|| Path::new(bakery, now, (-days, days))),
        };
        let Some(change) = path.change(line.product, end.per_good_piece, made_then) else {
            continue;
        };
        let (yields, formulas) = versions(bakery, (was.0, now.0), line.product);
        found.push(CostChange { yields, formulas, ..change });
    }
    found
}

/// The same pieces at the old state, and with one cause after another put to its new state.
struct Path<'a> {
    date: Date,
    steps: [Costing<'a>; 4],
    prices: Vec<(u32, Costing<'a>)>,
}

impl<'a> Path<'a> {
    /// `from` is how far the old state lies from each date, `days` how far the new from that.
    fn new(bakery: &'a Bakery, (date, setting): Moment<'a>, (from, days): (i64, i64)) -> Self {
        let to = from + days;
        let at = |prices, yields, formulas| {
            Costing::new(bakery, setting, Terms { prices, yields, formulas, only: None })
        };
        let mut items: BTreeSet<u32> = BTreeSet::new();
        for &day in setting.dates {
            items.extend(changed(bakery, (shifted(day, from), shifted(day, to))));
        }
        let alone = |item| (item, at(from, from, from).with_price_of(item, to));
        Self {
            date,
            steps: [at(from, from, from), at(to, from, from), at(to, to, from), at(to, to, to)],
            prices: items.into_iter().map(alone).collect(),
        }
    }

    fn change(&mut self, product: u32, now: Cost, made_then: bool) -> Option<CostChange> {
        let date = self.date;
        let mut costs = Vec::with_capacity(5);
        for step in &mut self.steps {
            costs.push(step.product(date, product)?.per_good_piece);
        }
        costs.push(now.clone());
        let was = costs[0].clone();
        let mut prices = Vec::new();
        for (item, alone) in &mut self.prices {
            let moved = alone.product(date, product)?.per_good_piece.minor.minus(&was.minor);
            if !moved.is_zero() {
                prices.push((*item, moved));
            }
        }
        let cause = |at: usize| costs[at + 1].minor.minus(&costs[at].minor);
        let causes = [cause(0), cause(1), cause(2), cause(3)];
        let (yields, formulas) = (Vec::new(), Vec::new());
        Some(CostChange { product, was, now, causes, prices, yields, formulas, made_then })
    }
}

/// Made things in a product of which losses, and of which lines, differ between two dates.
fn versions(bakery: &Bakery, (was, now): (Date, Date), product: u32) -> (Vec<u32>, Vec<u32>) {
    let (old, new) = (bakery.recipes(was), bakery.recipes(now));
    let mut items = BTreeSet::new();
    for recipes in [old, new] {
        for line in recipes.make_up_of(product) {
            match *line {
                CompiledMakeUp::Mass { item, .. } | CompiledMakeUp::Batches { item, .. } => {
                    reach(recipes, item, &mut items);
                }
                CompiledMakeUp::Count { .. } | CompiledMakeUp::Product { .. } => {}
            }
        }
    }
    fn recipe(recipes: &Recipes, item: u32) -> Option<&Recipe> {
        recipes.of_item(item).map(|at| &recipes.recipes[at])
    }
    let differ =
        |other: &dyn Fn(u32) -> bool| items.iter().copied().filter(|&i| other(i)).collect();
    let yields = differ(&|item| {
        recipe(old, item).map(|one| one.remaining) != recipe(new, item).map(|one| one.remaining)
    });
    let formulas = differ(&|item| match (recipe(old, item), recipe(new, item)) {
        (Some(a), Some(b)) => a.driver != b.driver || old.lines_of(a) != new.lines_of(b),
        (a, b) => a.is_some() != b.is_some(),
    });
    (yields, formulas)
}

fn reach(recipes: &Recipes, item: u32, found: &mut BTreeSet<u32>) {
    let Some(at) = recipes.of_item(item).filter(|_| found.insert(item)) else { return };
    let recipe = &recipes.recipes[at];
    if let Driver::Blocks { base, .. } = recipe.driver {
        reach(recipes, base, found);
    }
    for line in recipes.lines_of(recipe) {
        reach(recipes, line.item, found);
    }
}
