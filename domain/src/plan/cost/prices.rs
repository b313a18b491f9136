//! What bought things cost on a date, and what the bought lines of a recipe cost together.

use super::{Cost, Terms};
use crate::{
    bakery::{Bakery, Recipe, Recipes},
    figure::Figure,
    id::Code,
    item::Item,
    price::in_force,
    quantity::MICRO,
    ratio::Ratio,
    supplier::{Pack, PackPrice},
};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// The price that counts for each item on a date: of what held last, of the first listed pack.
fn prices_on(bakery: &Bakery, on: Date) -> BTreeMap<&Code, (&Pack, &PackPrice)> {
    let mut found: BTreeMap<&Code, (&Pack, &PackPrice)> = BTreeMap::new();
    for pack in &bakery.lists().packs {
        let Some(price) = in_force(pack, on) else { continue };
        let held = found.entry(&pack.item).or_insert((pack, price));
        if price.valid_from > held.1.valid_from {
            *held = (pack, price);
        }
    }
    found
}

/// How many prices a date sees, which tells two states of prices apart.
pub(super) fn seen(bakery: &Bakery, on: Date) -> usize {
    let packs = bakery.lists().packs.iter();
    packs.flat_map(|pack| &pack.prices).filter(|price| price.valid_from <= on).count()
}

/// Items whose price differs between two dates.
pub(super) fn changed(bakery: &Bakery, (was, now): (Date, Date)) -> Vec<u32> {
    let (old, new) = (prices_on(bakery, was), prices_on(bakery, now));
    let items = (0_u32..).zip(&bakery.lists().items);
    let price = |prices: &BTreeMap<&Code, (&Pack, &PackPrice)>, item: &Item| {
        per_base(item, *prices.get(&item.code)?)
    };
    items.filter(|(_, item)| price(&old, item) != price(&new, item)).map(|(at, _)| at).collect()
}

/// The price of a millionth of a base unit, in minor units.
fn per_base(item: &Item, (pack, price): (&Pack, &PackPrice)) -> Option<Ratio> {
    let amount = item.in_base_unit(price.per.unwrap_or(pack.holds)).ok()??;
    if !amount.is_positive() {
        return None;
    }
    Ratio::whole(price.price.minor.into()).over(amount).ok()
}

/// Prices of all items in one state, and what they make of the recipes.
pub(super) struct Prices<'a> {
    bakery: &'a Bakery,
    recipes: &'a Recipes,
    /// By item, for a millionth of its base unit.
    per_base: Vec<Option<Ratio>>,
    /// By recipe: its bought lines at their parts, once they were asked for.
    bought: Vec<Option<Cost>>,
}

impl<'a> Prices<'a> {
    /// Prices for a service date on given terms.
    pub(super) fn new(bakery: &'a Bakery, date: Date, terms: Terms) -> Self {
        let recipes = terms.recipes(bakery, date);
        let state = |on: Date| {
            let prices = prices_on(bakery, on);
            let price = |item: &Item| per_base(item, *prices.get(&item.code)?);
            bakery.lists().items.iter().map(price).collect()
        };
        let mut per_base: Vec<Option<Ratio>> = state(terms.prices_on(date));
        if let Some((item, days)) = terms.only {
            let moved: Vec<Option<Ratio>> = state(super::shifted(date, days));
            per_base[item as usize] = moved[item as usize];
        }
        Self { bakery, recipes, per_base, bought: vec![None; recipes.recipes.len()] }
    }

    /// Cost of a microgram, or of a millionth of a piece, of a bought item.
    pub(super) fn of(&self, item: u32, counted: bool) -> Cost {
        let found = self.bakery.item(item);
        if found.free {
            return Cost::default();
        }
        if let Some(fruit) = self.bakery.index().fruit_of(item) {
            return self.joint_output(fruit, item);
        }
        self.price(item, counted)
            .map_or_else(|| Cost::unknown(item), |price| Cost::of(price.into()))
    }

    /// Cost of a millionth of the base unit, as it leaves stock.
    pub(super) fn drawn(&self, item: u32) -> Cost {
        if self.bakery.item(item).free {
            return Cost::default();
        }
        let price = self.per_base[item as usize];
        price.map_or_else(|| Cost::unknown(item), |price| Cost::of(price.into()))
    }

    /// What leaves stock for it is dearer by the weighing loss.
    fn price(&self, item: u32, counted: bool) -> Option<Ratio> {
        let found = self.bakery.item(item);
        let per_base = self.per_base[item as usize]?;
        let kept = found.weighing_loss_percent.left_after_percent().ok()?;
        let drawn = per_base.over(kept).ok()?;
        if counted {
            return Some(drawn);
        }
        drawn.over(found.grams_per_base_unit().filter(|grams| grams.is_positive())?).ok()
    }

    /// Cost of a microgram of a joint output: its agreed share of the fruit's price.
    fn joint_output(&self, fruit: u32, item: u32) -> Cost {
        let of_fruit = self.of(fruit, true);
        let code = &self.bakery.item(item).code;
        let joint = self.bakery.item(fruit).joint.as_ref();
        let output = joint.and_then(|joint| joint.outputs.iter().find(|one| one.item == *code));
        let Some(output) = output else { return Cost::unknown(item) };
        let share = Figure::from(output.cost_share_percent).over(&Figure::whole(100));
        let times = Figure::whole(MICRO).times(&share).over(&output.yields.ratio().into());
        of_fruit.times(&times)
    }

    /// The bought lines of a recipe, each by its parts; own seed left out.
    pub(super) fn bought_lines(&mut self, at: usize) -> Cost {
        if let Some(found) = &self.bought[at] {
            return found.clone();
        }
        let cost = self.sum(&self.recipes.recipes[at]);
        self.bought[at] = Some(cost.clone());
        cost
    }

    fn sum(&self, recipe: &Recipe) -> Cost {
        let mut all = Cost::default();
        // Prices of whole packs have few denominators: their sum stays short.
        let mut short = Ratio::ZERO;
        for line in self.recipes.lines_of(recipe) {
            if self.recipes.of_item(line.item).is_some() {
                continue;
            }
            let parts = Ratio::whole(line.parts.into());
            let plain = !self.bakery.item(line.item).free
                && self.bakery.index().fruit_of(line.item).is_none();
            let price = plain.then(|| self.price(line.item, line.flags.counted())).flatten();
            match price.and_then(|price| short.plus(price.times(parts).ok()?).ok()) {
                Some(sum) => short = sum,
                None => all.add(&self.of(line.item, line.flags.counted()), &parts.into()),
            }
        }
        all.minor = all.minor.plus(&short.into());
        all
    }
}
