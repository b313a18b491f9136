//! The bakery's equipment as stations of a timetable.

use super::Spot;
use crate::{
    allergens::item_allergens,
    bakery::Bakery,
    equipment::Oven,
    product::Baking,
    temperature::Celsius,
    timetable::{Clash, Placement, Run, Station, Timetable},
};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// A program of an oven: what its decks must be heated to.
type Program = (Celsius, Celsius, Option<String>);

/// Mixers, oven decks and counted places, and what is taken of them.
pub(super) struct Floor<'a> {
    bakery: &'a Bakery,
    positions: BTreeMap<Spot, usize>,
    /// Built at the first placement; a plan without any costs nothing.
    table: Option<Timetable>,
    groups: Vec<BTreeSet<String>>,
    /// The number of each dough's group, by date and item: a walk through a formula is long.
    group_of: BTreeMap<(Date, u32), usize>,
    programs: Vec<Program>,
}

impl<'a> Floor<'a> {
    pub(super) fn new(bakery: &'a Bakery) -> Self {
        let (groups, programs) = (Vec::new(), Vec::new());
        let (positions, group_of) = (BTreeMap::new(), BTreeMap::new());
        Self { bakery, positions, table: None, groups, group_of, programs }
    }

    /// Makes all stations, for doughs of some items.
    pub(super) fn open(&mut self, doughs: impl Iterator<Item = (Date, u32)>) {
        let lists = self.bakery.lists();
        for (date, item) in doughs {
            let group = self.allergens(date, item);
            let known = self.groups.iter().position(|known| *known == group);
            let number = known.unwrap_or_else(|| {
                self.groups.push(group);
                self.groups.len() - 1
            });
            self.group_of.insert((date, item), number);
        }
        for baking in lists.products.iter().filter_map(|product| product.baking.as_ref()) {
            let program = program(baking);
            if !self.programs.contains(&program) {
                self.programs.push(program);
            }
        }
        let mut stations = Vec::new();
        for (position, mixer) in (0_u32..).zip(&lists.mixers) {
            self.positions.insert(Spot::Mixer(position), stations.len());
            let wash = |from: &BTreeSet<String>, to: &BTreeSet<String>| {
                // What the last dough left behind is in the next one anyway.
                if from.is_subset(to) { 0 } else { mixer.wash_minutes }
            };
            let changeover = table_of(&self.groups, wash);
            stations.push(Station::Units { units: 1, room: 1, changeover });
        }
        for (position, oven) in (0_u32..).zip(&lists.ovens) {
            self.positions.insert(Spot::Oven(position), stations.len());
            let changeover = table_of(&self.programs, |from, to| heat_minutes(oven, from, to));
            let units = usize::try_from(oven.decks.max(1)).unwrap_or(1);
            stations.push(Station::Units { units, room: oven.trays.max(1), changeover });
        }
        for (position, place) in (0_u32..).zip(&lists.places) {
            if let Some(slots) = place.slots {
                self.positions.insert(Spot::Place(position), stations.len());
                stations.push(Station::Slots { slots });
            }
        }
        self.table = Some(Timetable::new(stations));
    }

    pub(super) const fn is_open(&self) -> bool {
        self.table.is_some()
    }

    /// The station of a spot, if it counts what it takes.
    pub(super) fn station(&self, spot: Spot) -> Option<usize> {
        self.positions.get(&spot).copied()
    }

    /// The spot of a station.
    pub(super) fn spot(&self, station: usize) -> Option<Spot> {
        self.positions.iter().find(|&(_, at)| *at == station).map(|(spot, _)| *spot)
    }

    /// What a dough leaves behind in a mixer; what nobody has read is a kind of its own.
    fn allergens(&self, date: Date, item: u32) -> BTreeSet<String> {
        let found = item_allergens(self.bakery, self.bakery.recipes(date), item);
        let unknown = found.unknown.iter().map(|code| format!("? {code}"));
        found.contains.into_iter().chain(unknown).collect()
    }

    /// The number of a dough's allergen group, and how many kinds are in it.
    pub(super) fn group(&self, date: Date, item: u32) -> (usize, usize) {
        let number = self.group_of.get(&(date, item)).copied().unwrap_or(0);
        (number, self.groups.get(number).map_or(0, BTreeSet::len))
    }

    /// The number of a product's program.
    pub(super) fn program(&self, baking: &Baking) -> usize {
        let program = program(baking);
        self.programs.iter().position(|known| *known == program).unwrap_or(0)
    }

    pub(super) fn place(&mut self, run: &Run) -> Result<Placement, Clash> {
        match &mut self.table {
            Some(table) => table.place(run),
            None => {
                Ok(Placement { start: run.preferred, units: vec![Vec::new(); run.tasks.len()] })
            }
        }
    }

    pub(super) const fn table(&self) -> Option<&Timetable> {
        self.table.as_ref()
    }
}

fn program(baking: &Baking) -> Program {
    (baking.top, baking.bottom, baking.steam.clone())
}

fn table_of<T>(all: &[T], minutes: impl Fn(&T, &T) -> i64) -> Vec<Vec<i64>> {
    all.iter().map(|from| all.iter().map(|to| minutes(from, to)).collect()).collect()
}

/// Minutes until both heats of a deck have changed, rounded up.
fn heat_minutes(oven: &Oven, from: &Program, to: &Program) -> i64 {
    let change = |from: Celsius, to: Celsius| {
        let thousandths = to.thousandths() - from.thousandths();
        let seconds = if thousandths > 0 {
            oven.heat_seconds_per_degree
        } else {
            oven.cool_seconds_per_degree
        };
        let thousandth_seconds = thousandths.abs().saturating_mul(seconds);
        thousandth_seconds.saturating_add(59_999) / 60_000
    };
    change(from.0, to.0).max(change(from.1, to.1))
}
