//! What is in one piece: the make-up dissolved level by level, nothing rounded.

use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipe, Recipes},
    contents::{Contents, Part, PartOf},
    item::ItemKind,
    labelling::Finished,
    product::{Per, Product},
    quantity::{MICRO, Quantity},
    ratio::Ratio,
};
use num_rational::BigRational;
use num_traits::{One, Zero};
use std::collections::BTreeSet;

/// Losses by which only water leaves; all others take some of everything.
///
/// What ferments away is read as dough of its own composition: it is about one percent,
/// and no published figure says how much of it is water.
const BOILS_OFF: [&str; 3] = ["cook", "bake", "cool"];

/// What is in one start piece of a product, before it is baked.
///
/// Masses that stay in bowls and pots are not in the piece; water that cooks out of a
/// filling was in it at mixing and is not in it as used. A levain's own seed is read as of
/// the levain's composition, old dough as of its parent's.
#[must_use]
pub fn contents(bakery: &Bakery, recipes: &Recipes, product: u32) -> Contents {
    let mut walk = Walk::new(bakery, recipes);
    let parts = walk.product(product);
    let Walk { unweighed, dusted, .. } = walk;
    let mut found = Contents { parts, finished: None, unweighed, dusted };
    found.finished = finished(bakery.product(product), &found.used());
    found
}

/// What is in so many grams of an item or of what a formula makes.
#[must_use]
pub fn item_contents(
    bakery: &Bakery,
    recipes: &Recipes,
    item: u32,
    grams: BigRational,
) -> Contents {
    let mut walk = Walk::new(bakery, recipes);
    let part = walk.item(item, grams.clone());
    // What is asked for is what is made: its own losses of water are behind it.
    let Walk { unweighed, dusted, .. } = walk;
    Contents { parts: vec![part], finished: Some(grams), unweighed, dusted }
}

/// Grams of a finished piece, if it is written down how heavy it is.
fn finished(product: &Product, used: &BigRational) -> Option<BigRational> {
    if let Some(baked) = &product.baked {
        return Some(grams(baked.mass));
    }
    match product.label.finished? {
        Finished::Mass(mass) => Some(grams(mass)),
        Finished::Loss(percent) => Some(used * kept(percent)),
    }
}

fn grams(mass: Quantity) -> BigRational {
    mass.ratio().to_big() / micro()
}

fn micro() -> BigRational {
    Ratio::whole(MICRO.into()).to_big()
}

/// What is left of 1 after a percentage is lost.
fn kept(percent: Ratio) -> BigRational {
    BigRational::one() - percent.to_big() / Ratio::whole(100).to_big()
}

struct Walk<'a> {
    bakery: &'a Bakery,
    recipes: &'a Recipes,
    /// Made items and products that we are inside of.
    open: BTreeSet<PartOf>,
    unweighed: BTreeSet<u32>,
    dusted: BTreeSet<u32>,
}

impl<'a> Walk<'a> {
    fn new(bakery: &'a Bakery, recipes: &'a Recipes) -> Self {
        let (unweighed, dusted) = (BTreeSet::new(), BTreeSet::new());
        Self { bakery, recipes, open: BTreeSet::new(), unweighed, dusted }
    }

    fn product(&mut self, product: u32) -> Vec<Part> {
        let own = PartOf::Product(product);
        if !self.open.insert(own) {
            return Vec::new();
        }
        let recipes = self.recipes;
        let lines = recipes.make_up_of(product).iter();
        let parts = lines.filter_map(|line| self.line(product, *line)).collect();
        self.open.remove(&own);
        parts
    }

    fn line(&mut self, product: u32, line: CompiledMakeUp) -> Option<Part> {
        let (item, amount, per) = match line {
            CompiledMakeUp::Mass { item, ug, per, .. } => (item, ug.to_big() / micro(), per),
            CompiledMakeUp::Count { item, micro: count, per, .. } => {
                (item, self.counted(item, count.to_big() / micro())?, per)
            }
            CompiledMakeUp::Batches { item, batches, per } => {
                let mass = match self.recipe(item)?.driver {
                    Driver::Batch { mass_ug: Some(mass), .. } => mass,
                    Driver::Batch { bowl_ug, .. } => bowl_ug,
                    Driver::Mass | Driver::Blocks { .. } => Ratio::ZERO,
                };
                (item, batches.to_big() * mass.to_big() / micro(), per)
            }
            CompiledMakeUp::Product { product, pieces, .. } => {
                return Some(self.other_product(product, pieces));
            }
        };
        if self.bakery.item(item).kind == ItemKind::Packaging {
            return None;
        }
        let tray = self.bakery.product(product).tray.as_ref().map_or(1, |tray| tray.pieces);
        let pieces = match per {
            Per::Piece => 1,
            Per::Tray => tray,
        };
        Some(self.item(item, amount / BigRational::from_integer(pieces.into())))
    }

    /// Grams of a counted item; one whose weight nobody knows is noted.
    fn counted(&mut self, item: u32, count: BigRational) -> Option<BigRational> {
        let found = self.bakery.item(item);
        let Some(each) = found.grams_per_base_unit() else {
            if found.kind != ItemKind::Packaging {
                self.unweighed.insert(item);
            }
            return None;
        };
        Some(count * each.to_big())
    }

    fn other_product(&mut self, product: u32, pieces: i64) -> Part {
        let pieces = BigRational::from_integer(pieces.into());
        let one = self.product(product);
        let used: BigRational = one.iter().map(|part| &part.used).sum();
        let used = finished(self.bakery.product(product), &used).unwrap_or(used);
        let parts: Vec<Part> = one.into_iter().map(|part| times(part, &pieces)).collect();
        let ingoing = parts.iter().map(|part| &part.ingoing).sum();
        Part { of: PartOf::Product(product), used: used * pieces, ingoing, parts }
    }

    fn recipe(&self, item: u32) -> Option<&'a Recipe> {
        self.recipes.of_item(item).map(|at| &self.recipes.recipes[at])
    }

    fn item(&mut self, item: u32, used: BigRational) -> Part {
        let own = PartOf::Item(item);
        let recipe = self.recipe(item).filter(|_| !self.open.contains(&own));
        let Some(recipe) = recipe else {
            return Part { of: own, ingoing: used.clone(), used, parts: Vec::new() };
        };
        self.open.insert(own);
        let mixed = &used / self.left_of(recipe);
        let taken = self.taken(recipe);
        let sum: BigRational = taken.iter().map(|(_, share)| share).sum();
        let mut parts: Vec<Part> = taken
            .into_iter()
            .filter(|_| !sum.is_zero())
            .map(|(item, share)| self.item(item, &mixed * share / &sum))
            .collect();
        parts.extend(self.overheads(item, &used));
        self.open.remove(&own);
        let ingoing = parts.iter().map(|part| &part.ingoing).sum();
        Part { of: own, used, ingoing, parts }
    }

    /// What is left of a gram mixed when water has boiled off. A batch that gives less than
    /// goes in has boiled down.
    fn left_of(&self, recipe: &Recipe) -> BigRational {
        let losses = self.bakery.formula_of(recipe).losses.iter();
        let boils = losses.filter(|loss| BOILS_OFF.contains(&loss.stage.as_str()));
        let left = boils.fold(BigRational::one(), |left, loss| left * kept(loss.percent));
        match recipe.driver {
            Driver::Batch { mass_ug: Some(mass), bowl_ug, .. }
                if mass < bowl_ug && mass.is_positive() =>
            {
                left * mass.to_big() / bowl_ug.to_big()
            }
            _ => left,
        }
    }

    /// What a recipe takes of each of its lines, in parts of one measure.
    fn taken(&mut self, recipe: &Recipe) -> Vec<(u32, BigRational)> {
        if let Driver::Blocks { base, sheet, ratio, .. } = recipe.driver {
            return vec![(base, BigRational::one()), (sheet, ratio.to_big())];
        }
        let mut taken = Vec::new();
        for line in self.recipes.lines_of(recipe) {
            // Seed and old dough that lead back to here change nothing in a gram.
            if line.flags.previous_batch() && self.open.contains(&PartOf::Item(line.item)) {
                continue;
            }
            let parts = BigRational::from_integer(line.parts.into());
            if line.flags.counted() {
                taken.extend(self.counted(line.item, parts).map(|parts| (line.item, parts)));
            } else {
                taken.push((line.item, parts));
            }
        }
        taken
    }

    /// Dusting and the like: by its rate, or noted if nobody set one.
    fn overheads(&mut self, dough: u32, used: &BigRational) -> Vec<Part> {
        let code = &self.bakery.item(dough).code;
        let mut parts = Vec::new();
        for overhead in &self.bakery.lists().overheads {
            let touches = overhead.doughs.contains(code);
            let item = self.bakery.index().item(overhead.item.as_str());
            let (true, Some(item)) = (touches, item) else { continue };
            let mass = overhead.per_kg.and_then(|rate| {
                let mass = self.bakery.item(item).mass_ug(rate).ok()?;
                mass.map(|ug| ug.to_big() / micro() / Ratio::whole(1000).to_big())
            });
            match mass {
                Some(per_gram) => parts.push(self.item(item, per_gram * used)),
                None => drop(self.dusted.insert(item)),
            }
        }
        parts
    }
}

fn times(part: Part, factor: &BigRational) -> Part {
    let Part { of, used, ingoing, parts } = part;
    let parts = parts.into_iter().map(|part| times(part, factor)).collect();
    Part { of, used: used * factor, ingoing: ingoing * factor, parts }
}
