//! Standard cost: prices in force on exact masses, per good piece.
//!
//! Nothing is rounded on the way. One [`Costing`] sweeps the masses of all dates once and
//! answers for every product and made thing; on other [`Terms`] it says what the same pieces
//! would cost at the prices, losses or formulas of another day.

mod day;
mod kept;
mod labour;
mod made;
mod masses;
mod moved;
mod planned;
mod prices;

pub use day::{DayCost, OwnLine, day_cost};
pub use kept::kept_cost;
pub use labour::{LabourGap, ProductLabour, labour};
pub use moved::{Cause, CostChange, cost_changes};
pub use planned::planned_costs;

use super::Plan;
use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipes},
    calendar::add_days,
    demand::{Demand, PieceLine},
    figure::Figure,
    product::Per,
};
use jiff::civil::Date;
use masses::{Masses, masses};
use prices::{Prices, seen};
use std::collections::{BTreeMap, BTreeSet};

/// What something costs in minor units; what has no price is named, never 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cost {
    /// The part whose price is known, in minor units.
    pub minor: Figure,
    /// Items without a price, by position.
    pub missing: BTreeSet<u32>,
}

impl Cost {
    /// So many minor units, all of them known.
    #[must_use]
    pub const fn of(minor: Figure) -> Self {
        Self { minor, missing: BTreeSet::new() }
    }

    /// An item without a price.
    #[must_use]
    pub fn unknown(item: u32) -> Self {
        Self { minor: Figure::zero(), missing: BTreeSet::from([item]) }
    }

    /// Minor units, rounded half up to six places.
    #[must_use]
    pub fn minor_decimal(&self) -> String {
        self.minor.decimal(6)
    }

    /// Major units of a hundred minor ones, rounded half up to four places.
    #[must_use]
    pub fn major_decimal(&self) -> String {
        self.minor.over(&Figure::whole(100)).decimal(4)
    }

    /// So many times as much.
    #[must_use]
    pub fn times(&self, times: &Figure) -> Self {
        Self { minor: self.minor.times(times), missing: self.missing.clone() }
    }

    /// Adds another cost, so many times.
    pub fn add(&mut self, other: &Self, times: &Figure) {
        self.minor = self.minor.plus(&other.minor.times(times));
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

/// The pieces that are costed.
#[derive(Debug, Clone, Copy)]
pub struct Setting<'a> {
    /// Service dates, in order.
    pub dates: &'a [Date],
    /// Their pieces.
    pub demand: &'a Demand,
}

impl<'a> Setting<'a> {
    /// The setting of a plan.
    #[must_use]
    pub const fn of(plan: &'a Plan) -> Self {
        Self { dates: plan.dates.as_slice(), demand: &plan.demand }
    }

    fn pieces_of(self, date: Date) -> impl Iterator<Item = &'a PieceLine> {
        let from = self.demand.pieces.partition_point(|line| line.service_date < date);
        self.demand.pieces.tail(from).take_while(move |line| line.service_date == date)
    }
}

/// Whose prices, losses and formulas count, in days from each service date; its own if 0.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Terms {
    /// Days to the date whose prices count.
    pub prices: i64,
    /// Days to the date whose losses count.
    pub yields: i64,
    /// Days to the date whose formulas count.
    pub formulas: i64,
    /// One item whose price is that of a day so far from the service date.
    pub only: Option<(u32, i64)>,
}

impl Terms {
    fn prices_on(self, date: Date) -> Date {
        shifted(date, self.prices)
    }

    fn recipes(self, bakery: &Bakery, date: Date) -> &Recipes {
        bakery.recipes(shifted(date, self.formulas))
    }

    fn yields(self, bakery: &Bakery, date: Date) -> &Recipes {
        bakery.recipes(shifted(date, self.yields))
    }
}

/// A date some days on; itself beyond all calendars, where nothing is dated.
fn shifted(date: Date, days: i64) -> Date {
    add_days(date, days).unwrap_or(date)
}

/// What everything of a plan costs on the same terms.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Costs {
    /// Products, in the order of the plan's pieces.
    pub products: Vec<ProductCost>,
    /// Made things, by service date, users before what they use.
    pub made: Vec<MadeCost>,
}

impl Costs {
    /// The cost of a product for a service date; none if none of it is made then.
    #[must_use]
    pub fn product(&self, date: Date, product: u32) -> Option<&ProductCost> {
        let key = |one: &ProductCost| (one.service_date, one.product);
        let at = self.products.binary_search_by_key(&(date, product), key).ok()?;
        self.products.get(at)
    }
}

/// The standard costs of all that a plan makes.
///
/// Dough cost is divided by the net mass at the divider, so residue, scrap and trim
/// are in it; start pieces over good pieces bring in the rejects. Exact masses: nothing
/// is rounded to a scale on the way.
#[must_use]
pub fn standard_costs(bakery: &Bakery, plan: &Plan) -> Costs {
    let mut costing = Costing::new(bakery, Setting::of(plan), Terms::default());
    let pieces = plan.demand.pieces.iter();
    let products =
        pieces.filter_map(|line| costing.product(line.service_date, line.product)).collect();
    let made = plan.dates.iter().flat_map(|&date| costing.made_on(date)).collect();
    Costs { products, made }
}

/// What a made thing costs on a date by its formula alone, without residue: of a microgram or a
/// batch; none if nothing makes it.
#[must_use]
pub fn plain_cost(bakery: &Bakery, on: Date, item: u32) -> Option<Cost> {
    let (demand, dates) = (Demand::default(), [on]);
    let setting = Setting { dates: &dates, demand: &demand };
    Costing::new(bakery, setting, Terms::default()).made_item(on, item)
}

/// What all things of a setting cost on given terms; each is worked out once.
pub struct Costing<'a> {
    bakery: &'a Bakery,
    setting: Setting<'a>,
    terms: Terms,
    days: Vec<Day>,
    /// Prices by how many packs and formulas are in force, which is what a date sees.
    prices: BTreeMap<[usize; 3], usize>,
    states: Vec<Prices<'a>>,
}

/// What one made thing of a service date costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MadeCost {
    /// Position of the item that is made.
    pub item: u32,
    /// For which service date.
    pub service_date: Date,
    /// What its users take: micrograms, or batches of what is made by the batch.
    pub net: Figure,
    /// Whether that is batches.
    pub by_batch: bool,
    /// Of a microgram or batch that users take, losses and residue included.
    pub each: Cost,
}

/// One service date of a costing.
struct Day {
    date: Date,
    /// Position of its prices.
    state: usize,
    masses: Masses,
    /// Cost by recipe, once it was asked for: of a microgram, or of a batch.
    made: Vec<Option<Cost>>,
    /// Good pieces by product, once they were asked for.
    good: BTreeMap<u32, Option<Cost>>,
}

impl std::fmt::Debug for Costing<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Costing").field("terms", &self.terms).finish_non_exhaustive()
    }
}

impl<'a> Costing<'a> {
    /// Sweeps the masses of all dates.
    #[must_use]
    pub fn new(bakery: &'a Bakery, setting: Setting<'a>, terms: Terms) -> Self {
        let masses = masses(bakery, setting, terms);
        let mut costing = Self {
            bakery,
            setting,
            terms,
            days: Vec::with_capacity(masses.len()),
            prices: BTreeMap::new(),
            states: Vec::new(),
        };
        for (&date, masses) in setting.dates.iter().zip(masses) {
            let state = costing.state(date);
            let made = vec![None; masses.len()];
            costing.days.push(Day { date, state, masses, made, good: BTreeMap::new() });
        }
        costing
    }

    /// The prices that a date sees, shared by dates that see the same.
    fn state(&mut self, date: Date) -> usize {
        let lists = self.bakery.lists();
        let seen = |on| seen(self.bakery, on);
        let formulas_on = shifted(date, self.terms.formulas);
        let key = [
            seen(self.terms.prices_on(date)),
            self.terms.only.map_or(0, |(_, days)| seen(shifted(date, days))),
            lists.formulas.iter().filter(|formula| formula.valid_from <= formulas_on).count(),
        ];
        if let Some(&state) = self.prices.get(&key) {
            return state;
        }
        self.states.push(Prices::new(self.bakery, date, self.terms));
        self.prices.insert(key, self.states.len() - 1);
        self.states.len() - 1
    }

    /// The same masses at the price of one item on another day, given in days from each
    /// service date.
    #[must_use]
    pub fn with_price_of(self, item: u32, days: i64) -> Self {
        let terms = Terms { only: Some((item, days)), ..self.terms };
        let mut costing = Self { terms, prices: BTreeMap::new(), states: Vec::new(), ..self };
        for at in 0..costing.days.len() {
            let state = costing.state(costing.days[at].date);
            let day = &mut costing.days[at];
            day.state = state;
            day.made.fill(None);
            day.good.clear();
        }
        costing
    }

    fn day(&self, date: Date) -> Option<usize> {
        self.setting.dates.binary_search(&date).ok()
    }

    fn recipes(&self, day: usize) -> &'a Recipes {
        self.terms.recipes(self.bakery, self.days[day].date)
    }

    /// All that is made for a service date, users before what they use.
    #[must_use]
    pub fn made_on(&mut self, date: Date) -> Vec<MadeCost> {
        let Some(day) = self.day(date) else { return Vec::new() };
        let recipes = &self.recipes(day).recipes;
        let mut found = Vec::new();
        for (at, recipe) in recipes.iter().enumerate() {
            let Some(net) = self.days[day].masses[at].as_ref().map(|made| made.net.clone()) else {
                continue;
            };
            let by_batch = matches!(recipe.driver, Driver::Batch { .. });
            let each = self.made(day, at);
            found.push(MadeCost { item: recipe.item, service_date: date, net, by_batch, each });
        }
        found
    }

    /// What users take of a made thing costs: of a microgram or batch. What is not made on the
    /// date costs what its formula says, without residue; none if nothing makes it.
    pub fn made_item(&mut self, date: Date, item: u32) -> Option<Cost> {
        let day = self.day(date)?;
        let at = self.recipes(day).of_item(item)?;
        Some(self.made(day, at))
    }

    /// What a product costs for a service date; none if none of it is made then.
    pub fn product(&mut self, date: Date, product: u32) -> Option<ProductCost> {
        let day = self.day(date)?;
        let line = self.setting.demand.of(date, product)?;
        if line.good_planned == 0 {
            return None;
        }
        let mut parts: Vec<(CostPart, Cost)> = Vec::new();
        let recipes = self.recipes(day);
        for make_up in recipes.make_up_of(product) {
            let (item, amount, per) = match *make_up {
                CompiledMakeUp::Product { product: taken, pieces, day_offset } => {
                    if let Some(cost) = self.taken(date, (product, taken), day_offset.into()) {
                        add_part(
                            &mut parts,
                            CostPart::Product(taken),
                            &cost,
                            &Figure::whole(pieces),
                        );
                    }
                    continue;
                }
                CompiledMakeUp::Mass { item, ug, per, .. } => (item, ug, per),
                CompiledMakeUp::Count { item, micro, per, .. } => (item, micro, per),
                CompiledMakeUp::Batches { item, batches, per } => (item, batches, per),
            };
            let made = recipes.of_item(item);
            let each = match made {
                Some(at) => self.made(day, at),
                None => {
                    let counted = matches!(make_up, CompiledMakeUp::Count { .. });
                    self.states[self.days[day].state].of(item, counted)
                }
            };
            let times = Figure::from(amount).times(&self.share(line, per, made.is_some()));
            add_part(&mut parts, CostPart::Item(item), &each, &times);
        }
        let rejects = Figure::whole(line.start).over(&Figure::whole(line.good_planned));
        let mut per_good_piece = Cost::default();
        for (_, part) in &parts {
            per_good_piece.add(part, &rejects);
        }
        let (start, good) = (line.start, line.good_planned);
        Some(ProductCost { product, service_date: date, per_good_piece, parts, start, good })
    }

    /// A good piece that another product takes; baked outside the setting, the same goods of
    /// today stand for it.
    fn taken(&mut self, date: Date, (user, taken): (u32, u32), days: i64) -> Option<Cost> {
        let baked = self.good_piece(shifted(date, days), taken);
        baked.or_else(|| (taken != user).then(|| self.good_piece(date, taken))?)
    }

    fn good_piece(&mut self, date: Date, product: u32) -> Option<Cost> {
        let day = self.day(date)?;
        if let Some(found) = self.days[day].good.get(&product) {
            return found.clone();
        }
        let cost = self.product(date, product).map(|found| found.per_good_piece);
        self.days[day].good.insert(product, cost.clone());
        cost
    }

    /// What of a per-tray amount one start piece carries.
    fn share(&self, line: &PieceLine, per: Per, made: bool) -> Figure {
        match per {
            Per::Piece => Figure::whole(1),
            // A made thing comes by whole trays; paper by the piece's share of a tray.
            Per::Tray if made => {
                let trays = Figure::whole(line.trays.unwrap_or(0));
                trays.over(&Figure::whole(line.start.max(1)))
            }
            Per::Tray => {
                let tray = self.bakery.product(line.product).tray.as_ref();
                Figure::whole(1).over(&Figure::whole(tray.map_or(1, |tray| tray.pieces)))
            }
        }
    }
}

fn add_part(parts: &mut Vec<(CostPart, Cost)>, part: CostPart, each: &Cost, times: &Figure) {
    let at = match parts.iter().position(|(known, _)| *known == part) {
        Some(at) => at,
        None => {
            parts.push((part, Cost::default()));
            parts.len() - 1
        }
    };
    parts[at].1.add(each, times);
}
