//! What a product contains, may contain, and what nobody knows of it.

use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipes},
    id::Code,
};
use std::collections::{BTreeMap, BTreeSet};

/// A product's allergens, each kind apart.
///
/// Contains is a union over everything that touches the product as an input. May
/// contain comes only from records, never by computing, and is not repeated for
/// what is contained. Unknown is never "none".
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Allergens {
    /// What is in it.
    pub contains: BTreeSet<String>,
    /// What may be in it.
    pub may_contain: BTreeSet<String>,
    /// Items whose pack nobody has read.
    pub unknown: BTreeSet<Code>,
}

/// Items that are used instead of others, by position.
pub type Swaps = BTreeMap<u32, Vec<u32>>;

/// The allergens of a product: formula, sub-formulas, old dough, seeds, wash,
/// filling, topping, dusting and tin oil, other products in it.
#[must_use]
pub fn allergens(bakery: &Bakery, recipes: &Recipes, product: u32, swaps: &Swaps) -> Allergens {
    let mut walk = Walk::new(bakery, recipes, swaps);
    walk.product(product);
    walk.finish()
}

/// The allergens of an item or of what a formula makes.
#[must_use]
pub fn item_allergens(bakery: &Bakery, recipes: &Recipes, item: u32) -> Allergens {
    let swaps = Swaps::new();
    let mut walk = Walk::new(bakery, recipes, &swaps);
    walk.item(item);
    walk.finish()
}

struct Walk<'a> {
    bakery: &'a Bakery,
    recipes: &'a Recipes,
    swaps: &'a Swaps,
    items: BTreeSet<u32>,
    products: BTreeSet<u32>,
    found: Allergens,
}

impl<'a> Walk<'a> {
    fn new(bakery: &'a Bakery, recipes: &'a Recipes, swaps: &'a Swaps) -> Self {
        Self {
            bakery,
            recipes,
            swaps,
            items: BTreeSet::new(),
            products: BTreeSet::new(),
            found: Allergens::default(),
        }
    }

    fn product(&mut self, product: u32) {
        if !self.products.insert(product) {
            return;
        }
        for make_up in self.recipes.make_up_of(product) {
            match *make_up {
                CompiledMakeUp::Mass { item, .. }
                | CompiledMakeUp::Count { item, .. }
                | CompiledMakeUp::Batches { item, .. } => self.item(item),
                CompiledMakeUp::Product { product, .. } => self.product(product),
            }
        }
    }

    fn item(&mut self, item: u32) {
        if let Some(instead) = self.swaps.get(&item) {
            for &used in instead {
                self.plain(used);
            }
        } else {
            self.plain(item);
        }
    }

    fn plain(&mut self, item: u32) {
        if !self.items.insert(item) {
            return;
        }
        let found = self.bakery.item(item);
        self.found.contains.extend(found.allergens.contains.iter().cloned());
        self.found.may_contain.extend(found.allergens.may_contain.iter().cloned());
        let fruit = self.bakery.index().fruit_of(item);
        let recipe = self.recipes.of_item(item).map(|at| &self.recipes.recipes[at]);
        // What is made here is known by what it is made of.
        if !found.allergens.known && fruit.is_none() && recipe.is_none() {
            self.found.unknown.insert(found.code.clone());
        }
        if let Some(fruit) = fruit {
            self.item(fruit);
        }
        self.overheads(&found.code);
        let Some(recipe) = recipe else { return };
        if let Driver::Blocks { base, sheet, .. } = recipe.driver {
            self.item(base);
            self.item(sheet);
        }
        // Old dough and seeds are in it as much as fresh flour is.
        for line in self.recipes.lines_of(recipe) {
            self.item(line.item);
        }
    }

    fn overheads(&mut self, dough: &Code) {
        for overhead in &self.bakery.lists().overheads {
            if overhead.doughs.contains(dough)
                && let Some(item) = self.bakery.index().item(overhead.item.as_str())
            {
                self.item(item);
            }
        }
    }

    fn finish(mut self) -> Allergens {
        for contained in &self.found.contains {
            self.found.may_contain.remove(contained);
        }
        self.found
    }
}
