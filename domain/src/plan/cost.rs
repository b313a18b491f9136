//! Standard cost: current prices on exact masses, per good piece.
//!
//! Nothing is rounded on the way; the chain runs in big rationals.

mod exact;

use super::Plan;
use crate::{
    bakery::{Bakery, CompiledMakeUp},
    price::in_force,
    product::Per,
    quantity::MICRO,
    ratio::Ratio,
};
use exact::{Made, Masses, masses};
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
    /// Minor units, rounded half up to six places.
    #[must_use]
    pub fn minor_decimal(&self) -> String {
        decimal(&self.minor, 6)
    }

    /// Major units of a hundred minor ones, rounded half up to four places.
    #[must_use]
    pub fn major_decimal(&self) -> String {
        decimal(&(&self.minor / whole(100)), 4)
    }

    fn add(&mut self, other: &Self, times: &BigRational) {
        self.minor += &other.minor * times;
        self.missing.extend(&other.missing);
    }
}

/// The standard cost of a product for one service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProductCost {
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// Per good piece.
    pub per_good_piece: Cost,
    /// Per start piece, by what goes into it: an item or a product, by position.
    pub parts: Vec<(CostPart, Cost)>,
    /// Pieces begun.
    pub start: i64,
    /// Good pieces planned.
    pub good: i64,
}

/// What a part of a piece's cost is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CostPart {
    /// An item, bought or made, by position.
    Item(u32),
    /// Another product, by position.
    Product(u32),
}

/// The standard costs of all pieces of a plan.
///
/// Dough cost is divided by the net mass at the divider, so residue, scrap and trim
/// are in it; start pieces over good pieces bring in the rejects. Exact masses: nothing
/// is rounded to a scale on the way.
#[must_use]
pub fn standard_costs(bakery: &Bakery, plan: &Plan) -> Vec<ProductCost> {
    let masses = masses(bakery, plan);
    let mut costing = Costing { bakery, plan, masses, made: BTreeMap::new() };
    let pieces = plan.demand.pieces.iter();
    pieces.filter_map(|line| costing.product(line.service_date, line.product)).collect()
}

struct Costing<'a> {
    bakery: &'a Bakery,
    plan: &'a Plan,
    masses: Masses,
    made: BTreeMap<(Date, u32), Cost>,
}

impl Costing<'_> {
    fn good_piece(&mut self, date: Date, product: u32) -> Option<Cost> {
        self.product(date, product).map(|found| found.per_good_piece)
    }

    fn product(&mut self, date: Date, product: u32) -> Option<ProductCost> {
        let key = |line: &crate::demand::PieceLine| (line.service_date, line.product);
        let at = self.plan.demand.pieces.binary_search_by_key(&(date, product), key).ok()?;
        let line = &self.plan.demand.pieces[at];
        if line.good_planned == 0 {
            return None;
        }
        let mut parts: Vec<(CostPart, Cost)> = Vec::new();
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
                        add_part(&mut parts, CostPart::Product(taken), &cost, &whole(pieces));
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
            let times = amount.to_big() * self.share(line, per, made);
            add_part(&mut parts, CostPart::Item(item), &each, &times);
        }
        let rejects = BigRational::new(line.start.into(), line.good_planned.into());
        let mut per_good_piece = Cost::default();
        for (_, part) in &parts {
            per_good_piece.add(part, &rejects);
        }
        Some(ProductCost {
            product,
            service_date: date,
            per_good_piece,
            parts,
            start: line.start,
            good: line.good_planned,
        })
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
        if let Some(found) = self.made.get(&(date, item)) {
            return found.clone();
        }
        // A thing that costs itself through a seed is worth what it was made of.
        self.made.insert((date, item), Cost::default());
        let cost = match self.masses.remove(&(date, item)) {
            Some(made) => self.batch(date, &made),
            None => Cost::default(),
        };
        self.made.insert((date, item), cost.clone());
        cost
    }

    fn batch(&mut self, date: Date, made: &Made) -> Cost {
        let mut all = Cost::default();
        for input in &made.inputs {
            let each = self.input(date, input.item, input.counted);
            all.add(&each, &input.micro);
        }
        // Blocks are folded, not mixed: all of them go to what the pieces take.
        if made.mixed.is_zero() {
            all.minor /= &made.net;
            return all;
        }
        // The seed is valued like the levain it came from, and what is kept back is
        // not charged to today: both scale the cost of the fresh parts alone.
        let fresh = &made.mixed - &made.seed;
        if fresh.is_zero() {
            return all;
        }
        let charged = &made.mixed - &made.keep_back;
        all.minor = all.minor / fresh * charged / &made.net;
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

    /// Price of a millionth of a base unit: of what held last, of the first listed pack.
    fn price(&self, item: u32, on: Date) -> Option<BigRational> {
        let found = self.bakery.item(item);
        // Of prices that became valid together that of the first listed pack counts.
        let packs = self.bakery.lists().packs.iter().rev();
        let priced = packs.filter(|pack| pack.item == found.code);
        let (pack, price) = priced
            .filter_map(|pack| Some((pack, in_force(pack, on)?)))
            .max_by_key(|(_, price)| price.valid_from)?;
        let amount: Ratio = found.in_base_unit(price.per.unwrap_or(pack.holds)).ok()??;
        let amount = amount.to_big();
        if amount.is_zero() {
            return None;
        }
        Some(whole(price.price.minor) / amount)
    }
}

fn add_part(parts: &mut Vec<(CostPart, Cost)>, part: CostPart, each: &Cost, times: &BigRational) {
    let at = match parts.iter().position(|(known, _)| *known == part) {
        Some(at) => at,
        None => {
            parts.push((part, Cost::default()));
            parts.len() - 1
        }
    };
    parts[at].1.add(each, times);
}

/// A value rounded half up to some places, with all of them written.
fn decimal(value: &BigRational, places: usize) -> String {
    let scale = BigInt::from(10).pow(u32::try_from(places).unwrap_or(0));
    let half = BigRational::new(1.into(), 2.into());
    let scaled = (value * BigRational::from_integer(scale) + half).floor().to_integer();
    let sign = if scaled < BigInt::zero() { "-" } else { "" };
    let digits = format!("{:0>width$}", scaled.magnitude(), width = places + 1);
    let (major, minor) = digits.split_at(digits.len() - places);
    format!("{sign}{major}.{minor}")
}

fn whole(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}
