//! Standard cost: current prices on exact masses, per good piece.
//!
//! Nothing is rounded on the way; the chain runs in big rationals.

use super::{Batch, Plan, in_base_unit};
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver},
    product::Per,
    quantity::MICRO,
    ratio::Ratio,
    supplier::Pack,
};
use jiff::civil::Date;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::Zero;
use std::collections::{BTreeMap, BTreeSet};

/// What something costs in minor units; what has no price is named, never 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cost {
    /// The part whose price is known, in minor units.
    pub minor: BigRational,
    /// Items without a price, by position.
    pub missing: BTreeSet<u32>,
}

impl Cost {
    fn add(&mut self, other: &Self, times: &BigRational) {
        self.minor += &other.minor * times;
        self.missing.extend(&other.missing);
    }
}

/// The standard cost of a good piece of a product for a service date of the plan.
///
/// Dough cost is divided by the net mass at the divider, so residue, scrap and trim
/// are in it; start pieces over good pieces bring in the rejects. None if the plan
/// makes none of it that day.
#[must_use]
pub fn cost_per_good_piece(
    bakery: &Bakery,
    plan: &Plan,
    service_date: Date,
    product: u32,
) -> Option<Cost> {
    let mut costing = Costing { bakery, plan, batches: BTreeMap::new() };
    costing.good_piece(service_date, product)
}

struct Costing<'a> {
    bakery: &'a Bakery,
    plan: &'a Plan,
    batches: BTreeMap<(Date, u32), Cost>,
}

impl Costing<'_> {
    fn good_piece(&mut self, date: Date, product: u32) -> Option<Cost> {
        let key = |line: &crate::demand::PieceLine| (line.service_date, line.product);
        let at = self.plan.demand.pieces.binary_search_by_key(&(date, product), key).ok()?;
        let line = &self.plan.demand.pieces[at];
        if line.good_planned == 0 {
            return None;
        }
        let mut start = Cost::default();
        let recipes = self.bakery.recipes(date);
        for make_up in recipes.make_up_of(product) {
            let (item, amount, per) = match *make_up {
                CompiledMakeUp::Product { product: taken, pieces, day_offset } => {
                    let baked = crate::calendar::add_days(date, day_offset.into()).ok();
                    // Baked outside the plan: the same goods of today stand for them.
                    let cost = baked
                        .and_then(|baked| self.good_piece(baked, taken))
                        .or_else(|| (taken != product).then(|| self.good_piece(date, taken))?);
                    if let Some(cost) = cost {
                        start.add(&cost, &whole(pieces));
                    }
                    continue;
                }
                CompiledMakeUp::Mass { item, ug, per, .. } => (item, ug, per),
                CompiledMakeUp::Count { item, micro, per, .. } => (item, micro, per),
                CompiledMakeUp::Batches { item, batches, per } => (item, batches, per),
            };
            let counted = matches!(make_up, CompiledMakeUp::Count { .. });
            let made = recipes.of_item(item).is_some();
            let each = if made { self.made(date, item) } else { self.bought(item, counted, date) };
            start.add(&each, &(amount.to_big() * self.share(line, per, made)));
        }
        let rejects = BigRational::new(line.start.into(), line.good_planned.into());
        Some(Cost { minor: start.minor * rejects, missing: start.missing })
    }

    /// What of a per-tray amount one start piece carries.
    fn share(&self, line: &crate::demand::PieceLine, per: Per, made: bool) -> BigRational {
        match per {
            Per::Piece => whole(1),
            // A made thing comes by whole trays; paper by the piece's share of a tray.
            Per::Tray if made => {
                BigRational::new(line.trays.unwrap_or(0).into(), line.start.max(1).into())
            }
            Per::Tray => {
                let tray = self.bakery.product(line.product).tray.as_ref();
                BigRational::new(1.into(), tray.map_or(1, |tray| tray.pieces).into())
            }
        }
    }

    /// Cost of a millionth of a gram (or of a batch) of a made thing, net of its losses.
    fn made(&mut self, date: Date, item: u32) -> Cost {
        if let Some(found) = self.batches.get(&(date, item)) {
            return found.clone();
        }
        // A thing that costs itself through a seed is worth what it was made of.
        self.batches.insert((date, item), Cost::default());
        let cost =
            self.plan.batch(date, item).map_or_else(Cost::default, |batch| self.batch(batch));
        self.batches.insert((date, item), cost.clone());
        cost
    }

    fn batch(&mut self, batch: &Batch) -> Cost {
        let date = batch.service_date;
        let recipes = self.bakery.recipes(date);
        let recipe = &recipes.recipes[batch.recipe as usize];
        let mut all = Cost::default();
        if let Driver::Blocks { .. } = recipe.driver {
            for issue in &batch.issues {
                let each = self.input(date, issue.item, issue.counted);
                all.add(&each, &issue.micro.to_big());
            }
            all.minor /= batch.net.to_big();
            return all;
        }
        let mut seed_share = BigRational::zero();
        for group in &batch.groups {
            let times = group.factor.to_big() * whole(group.group.loads);
            for line in recipes.lines_of(recipe) {
                let amount = &times * whole(line.parts);
                if line.flags.previous_batch() && line.item == batch.item {
                    seed_share += amount;
                    continue;
                }
                let each = self.input(date, line.item, line.flags.counted());
                all.add(&each, &amount);
            }
        }
        // The seed is valued like the levain it came from, and what is kept back is
        // not charged to today: both scale the cost of the fresh parts alone.
        let mixed = batch.split.mass.to_big();
        let fresh = &mixed - &seed_share;
        if fresh.is_zero() || batch.net.is_zero() {
            return all;
        }
        let per_mixed = all.minor / fresh;
        let charged = mixed - batch.keep_back.to_big();
        all.minor = per_mixed * charged / batch.net.to_big();
        all
    }

    fn input(&mut self, date: Date, item: u32, counted: bool) -> Cost {
        let recipes = self.bakery.recipes(date);
        match recipes.of_item(item) {
            Some(_) => self.made(date, item),
            None => self.bought(item, counted, date),
        }
    }

    /// Cost of a microgram, or of a millionth of a piece, of a bought item.
    fn bought(&self, item: u32, counted: bool, on: Date) -> Cost {
        let found = self.bakery.item(item);
        if found.free {
            return Cost::default();
        }
        let unknown = || Cost { minor: BigRational::zero(), missing: BTreeSet::from([item]) };
        if let Some(fruit) = self.bakery.index().fruit_of(item) {
            return self.joint_output(fruit, item, on);
        }
        let Some(per_base) = self.price(item, on) else { return unknown() };
        let kept = (whole(100) - found.weighing_loss_percent.to_big()) / whole(100);
        let minor = match (counted, found.grams_per_base_unit()) {
            (true, _) => per_base,
            (false, Some(grams)) if grams.is_positive() => per_base / grams.to_big(),
            _ => return unknown(),
        };
        Cost { minor: minor / kept, missing: BTreeSet::new() }
    }

    /// Cost of a microgram of a joint output: its agreed share of the fruit's price.
    fn joint_output(&self, fruit: u32, item: u32, on: Date) -> Cost {
        let of_fruit = self.bought(fruit, true, on);
        let code = &self.bakery.item(item).code;
        let joint = self.bakery.item(fruit).joint.as_ref();
        let output = joint.and_then(|joint| joint.outputs.iter().find(|one| one.item == *code));
        let Some(output) = output else { return Cost::default() };
        let share = output.cost_share_percent.to_big() / whole(100);
        let minor = &of_fruit.minor * whole(MICRO) * share / output.yields.ratio().to_big();
        Cost { minor, missing: of_fruit.missing }
    }

    /// Price of a millionth of a base unit, from the first listed pack in force.
    fn price(&self, item: u32, on: Date) -> Option<BigRational> {
        let code = &self.bakery.item(item).code;
        // Of packs that became valid together the first listed one counts.
        let packs = self.bakery.lists().packs.iter().rev();
        let pack: &Pack = packs
            .filter(|pack| pack.item == *code && pack.valid_from <= on)
            .max_by_key(|pack| pack.valid_from)?;
        let for_what = pack.price_per.unwrap_or(pack.holds);
        let amount: Ratio = in_base_unit(self.bakery, item, for_what).ok()??;
        let amount = amount.to_big();
        if amount.is_zero() {
            return None;
        }
        Some(whole(pack.price.minor) / amount)
    }
}

fn whole(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}
