//! The bakery: all reference data, validated together and compiled.
//!
//! A [`Bakery`] exists only if nothing in its document contradicts anything else.
//! Codes become positions in arrays here, once; no computation looks up a code.

mod check;
mod composition;
mod equipment_check;
mod index;
mod keeping_check;
mod label_check;
mod purchase_check;
mod ranks;
mod recipes;
mod standing_check;
mod time_check;

pub use composition::{Composition, Views};
pub use index::Index;
pub use ranks::Ranks;
pub use recipes::{
    CompiledMakeUp, Driver, LineFlags, Recipe, RecipeLine, Recipes, Steps, SwapError,
};

use crate::{
    customer::Customer,
    equipment::{Mixer, Oven, Place, PlaceKind},
    fault::{Fault, Faults, Faulty},
    formula::Formula,
    id::Code,
    item::{Item, Supply},
    lot::{Lot, LotState},
    money::{Currency, Money},
    product::Product,
    regulation::Regulation,
    route::{Route, Team},
    scale::{Scale, Scales},
    schedule::Memory,
    standing_order::{Par, StandingOrder},
    supplier::{Overhead, Pack, Substitute, Supplier},
    temperature::Celsius,
};
use jiff::{
    civil::{Date, Weekday},
    tz::TimeZone,
};
use std::{collections::BTreeMap, sync::Arc};

/// The house itself.
#[derive(Debug, Clone)]
pub struct Site {
    /// Its name in every key.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// Its clock.
    pub time_zone: TimeZone,
    /// Its money.
    pub currency: Currency,
    /// Weekdays on which it sells.
    pub open_weekdays: Vec<Weekday>,
    /// Dates on which it neither sells nor receives.
    pub closed_dates: Vec<Date>,
    /// Who is in the house when.
    pub teams: Vec<Team>,
    /// Usual temperatures, for the water of a mix.
    pub temperatures: Option<UsualTemperatures>,
    /// Whether a use-by date binds what the item went into: no bake after it.
    pub use_by_strict: bool,
    /// Why things are thrown away here; the order is the house's own.
    pub waste_reasons: Vec<Code>,
    /// Weeks after which every item is counted again.
    pub count_weeks: i64,
    /// The regulation that its labels follow; none until somebody sets it.
    pub regulation: Option<Code>,
    /// What an hour of work costs; none as long as costs count no labour.
    pub labour: Option<Labour>,
}

/// What an hour of work costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Labour {
    /// Of every team that has no wage of its own; not known if not said.
    pub per_hour: Option<Money>,
    /// Of single teams.
    pub teams: Vec<(Code, Money)>,
}

impl Site {
    /// Whether it sells on a date.
    #[must_use]
    pub fn sells_on(&self, date: Date) -> bool {
        (self.open_weekdays.is_empty() || self.open_weekdays.contains(&date.weekday()))
            && !self.closed_dates.contains(&date)
    }
}

/// Why things are thrown away, unless the house says otherwise.
///
/// # Source
/// The trade rules, part 4, waste reasons.
pub const WASTE_REASONS_USUAL: [&str; 13] = [
    "out-of-date",
    "spoiled",
    "spilled",
    "trim-not-reusable",
    "mixing-fault",
    "over-proofed",
    "burnt",
    "broken",
    "cut-test",
    "returned",
    "overs-unsold",
    "overs-given",
    "recall",
];

/// Weeks after which every item is counted again, unless the house says otherwise.
///
/// # Source
/// Common practice.
pub const COUNT_WEEKS_USUAL: i64 = 4;

/// What flour, room and tap water usually measure here; a print may say otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UsualTemperatures {
    /// Of the flour.
    pub flour: Celsius,
    /// Of the room.
    pub room: Celsius,
    /// Of the tap water.
    pub tap: Celsius,
    /// Of preferments and old dough as they go into a mix, if anybody measured them.
    pub preferment: Option<Celsius>,
}

/// A bakery document whose values are well formed, not yet checked together.
///
/// The order of each list is the bakery's own and decides ties.
#[derive(Debug, Clone)]
pub struct BakeryDraft {
    /// The house.
    pub site: Site,
    /// Where things are kept.
    pub places: Vec<Place>,
    /// Scales.
    pub scales: Vec<Scale>,
    /// Mixers, kettles and pans.
    pub mixers: Vec<Mixer>,
    /// Ovens.
    pub ovens: Vec<Oven>,
    /// Suppliers.
    pub suppliers: Vec<Supplier>,
    /// Items.
    pub items: Vec<Item>,
    /// Packs that can be ordered.
    pub packs: Vec<Pack>,
    /// Substitutes.
    pub substitutes: Vec<Substitute>,
    /// Formula versions.
    pub formulas: Vec<Formula>,
    /// Routes.
    pub routes: Vec<Route>,
    /// Products.
    pub products: Vec<Product>,
    /// Overheads.
    pub overheads: Vec<Overhead>,
    /// Customers.
    pub customers: Vec<Customer>,
    /// Standing orders.
    pub standing_orders: Vec<StandingOrder>,
    /// What counters open with.
    pub pars: Vec<Par>,
    /// Regulations about allergens and labels, in the order in which they are shown.
    pub regulations: Vec<Regulation>,
}

/// All reference data of one bakery, checked and compiled.
#[derive(Debug, Clone)]
pub struct Bakery {
    draft: BakeryDraft,
    scales: Scales,
    index: Index,
    ranks: Ranks,
    eras: Vec<(Date, Recipes)>,
    /// Dates on which substitutes are used.
    days: BTreeMap<Date, Recipes>,
    /// Of routes, which no substitute changes.
    memory: Arc<Memory>,
}

impl Bakery {
    /// Checks a document and compiles it.
    ///
    /// # Errors
    /// Every fault that was found, each with its place; the document is refused whole.
    pub fn new(mut draft: BakeryDraft) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::default();
        let document = draft.clone();
        index::add_made_items(&mut draft);
        let index = Index::new(&draft, &mut faults);
        equipment_check::check(&document, &index, &mut faults);
        purchase_check::check(&document, &index, &mut faults);
        check::check(&draft, &document, &index, &mut faults);
        let scales = Scales::new(draft.scales.clone());
        let ranks = Ranks::new(&draft);
        let mut starts: Vec<Date> = draft.formulas.iter().map(|f| f.valid_from).collect();
        starts.push(Date::MIN);
        // Where prices decide whether something is made, they make eras as formulas do.
        if draft.items.iter().any(|item| item.supply == Supply::Cheapest) {
            starts.extend(draft.packs.iter().flat_map(|pack| &pack.prices).map(|p| p.valid_from));
        }
        starts.sort_unstable();
        starts.dedup();
        // What is wrong in itself is left out of the compiling, so that it neither hides
        // the faults of other things nor adds some to them.
        let faulty = Faulty::new(&faults);
        let mut eras = Vec::with_capacity(starts.len());
        for start in starts {
            eras.push((start, Recipes::compile(&draft, &index, start, &faulty, &mut faults)));
        }
        let found = faults.into_distinct();
        if !found.is_empty() {
            return Err(found);
        }
        Ok(Self {
            draft,
            scales,
            index,
            ranks,
            eras,
            days: BTreeMap::new(),
            memory: Arc::default(),
        })
    }

    /// The house.
    #[must_use]
    pub const fn site(&self) -> &Site {
        &self.draft.site
    }

    /// The lists of the document; items end with those that only a formula names.
    #[must_use]
    pub const fn lists(&self) -> &BakeryDraft {
        &self.draft
    }

    /// The scales, coarsest first.
    #[must_use]
    pub const fn scales(&self) -> &Scales {
        &self.scales
    }

    /// Positions of codes.
    #[must_use]
    pub const fn index(&self) -> &Index {
        &self.index
    }

    /// What was asked of its routes before.
    pub(crate) fn memory(&self) -> &Memory {
        &self.memory
    }

    /// The order of codes.
    #[must_use]
    pub const fn ranks(&self) -> &Ranks {
        &self.ranks
    }

    /// The first date on which the formulas are in force that are for a service date; a date
    /// on which substitutes are used stands for itself.
    #[must_use]
    pub fn era(&self, service_date: Date) -> Date {
        if self.days.contains_key(&service_date) {
            return service_date;
        }
        let after = self.eras.partition_point(|(start, _)| *start <= service_date);
        self.eras.get(after.saturating_sub(1)).map_or(Date::MIN, |(start, _)| *start)
    }

    /// The formulas in force for a service date, compiled, with substitutes that are used then.
    #[must_use]
    pub fn recipes(&self, service_date: Date) -> &Recipes {
        if let Some(of_date) = self.days.get(&service_date) {
            return of_date;
        }
        let after = self.eras.partition_point(|(start, _)| *start <= service_date);
        // The first era starts at the first date of all calendars.
        &self.eras[after.saturating_sub(1)].1
    }

    /// Where a lot lies: its own place, else that of its item.
    #[must_use]
    pub fn place_of(&self, lot: &Lot) -> Option<&Place> {
        let of_item = || {
            let item = self.index.item(lot.item.as_str())?;
            self.item(item).place.as_ref()
        };
        let code = lot.place.as_ref().or_else(of_item)?;
        let place = self.index.place(code.as_str())?;
        Some(&self.draft.places[place as usize])
    }

    /// Whether a lot lies in a freezer, or was written down as frozen.
    #[must_use]
    pub fn is_frozen(&self, lot: &Lot) -> bool {
        lot.state == LotState::Frozen
            || self.place_of(lot).is_some_and(|place| place.kind == PlaceKind::Freezer)
    }

    /// An item by its position.
    #[must_use]
    pub fn item(&self, item: u32) -> &Item {
        &self.draft.items[item as usize]
    }

    /// What people call an item or a product; the code itself if nobody knows it.
    #[must_use]
    pub fn name_of<'a>(&'a self, code: &'a str) -> &'a str {
        let item = self.index.item(code).map(|at| self.item(at).name.as_str());
        let product = || self.index.product(code).map(|at| self.product(at).name.as_str());
        item.or_else(product).unwrap_or(code)
    }

    /// What people call a place; the code itself if nobody knows it.
    #[must_use]
    pub fn place_name<'a>(&'a self, code: &'a str) -> &'a str {
        let place = self.index.place(code).map(|at| &self.draft.places[at as usize]);
        place.map_or(code, |place| place.name.as_str())
    }

    /// A product by its position.
    #[must_use]
    pub fn product(&self, product: u32) -> &Product {
        &self.draft.products[product as usize]
    }
}
