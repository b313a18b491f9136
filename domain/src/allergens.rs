//! What a product contains, may contain, and what nobody knows of it.

use crate::{
    bakery::{Bakery, CompiledMakeUp, Driver, Recipes},
    id::Code,
    item::{AllergenRecord, ItemKind},
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

impl Allergens {
    /// Takes in what something else brings; nothing is ever removed from what is contained.
    pub fn join(&mut self, other: &Self) {
        self.contains.extend(other.contains.iter().cloned());
        self.may_contain.extend(other.may_contain.iter().cloned());
        self.unknown.extend(other.unknown.iter().cloned());
        self.settle();
    }

    /// What is contained is not repeated as what may be.
    fn settle(&mut self) {
        let Self { contains, may_contain, .. } = self;
        may_contain.retain(|word| !contains.contains(word));
    }
}

/// What one set of allergens has and another has not.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AllergenDifference {
    /// Only in the second.
    pub added: Allergens,
    /// Only in the first.
    pub gone: Allergens,
}

impl AllergenDifference {
    /// Whether both say the same, so that one label fits both.
    #[must_use]
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }
}

/// What changes from one set to another: planned to actual, or without a substitute to with it.
///
/// Each kind by itself: what moves from "may contain" to "contains" is in both lists.
#[must_use]
pub fn difference(from: &Allergens, to: &Allergens) -> AllergenDifference {
    AllergenDifference { added: only_in(to, from), gone: only_in(from, to) }
}

fn only_in(this: &Allergens, other: &Allergens) -> Allergens {
    let words = |a: &BTreeSet<String>, b: &BTreeSet<String>| a.difference(b).cloned().collect();
    Allergens {
        contains: words(&this.contains, &other.contains),
        may_contain: words(&this.may_contain, &other.may_contain),
        unknown: this.unknown.difference(&other.unknown).cloned().collect(),
    }
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

/// Every item whose record speaks of a product, by position: all that touches it.
#[must_use]
pub fn touching_items(
    bakery: &Bakery,
    recipes: &Recipes,
    product: u32,
    swaps: &Swaps,
) -> BTreeSet<u32> {
    let mut walk = Walk::new(bakery, recipes, swaps);
    walk.product(product);
    walk.items
}

/// The allergens of an item or of what a formula makes.
#[must_use]
pub fn item_allergens(bakery: &Bakery, recipes: &Recipes, item: u32) -> Allergens {
    let swaps = Swaps::new();
    let mut walk = Walk::new(bakery, recipes, &swaps);
    walk.item(item);
    walk.finish()
}

/// Products that an item goes into or touches, by position.
#[must_use]
pub fn products_with(bakery: &Bakery, recipes: &Recipes, item: u32) -> Vec<u32> {
    let swaps = Swaps::new();
    let touches = |product: &u32| {
        let mut walk = Walk::new(bakery, recipes, &swaps);
        walk.product(*product);
        walk.items.contains(&item)
    };
    let count = u32::try_from(bakery.lists().products.len()).unwrap_or(u32::MAX);
    (0..count).filter(touches).collect()
}

/// The allergens of a lot of a product, from what was really used for it.
///
/// `used` are the items at the ends of its trace, by position: bought lots, and made ones
/// whose inputs nobody wrote down, which stand as their formula says. What goes in without
/// a lot of its own, such as a topping from an open tub, stands in `used` as its planned
/// item. Lots whose own pack was read stand in `read` instead, by what it says. Dusting and
/// the like have no lots: they touch the product as planned.
#[must_use]
pub fn actual_allergens<'a>(
    bakery: &Bakery,
    recipes: &Recipes,
    product: u32,
    used: impl IntoIterator<Item = u32>,
    read: impl IntoIterator<Item = &'a AllergenRecord>,
) -> Allergens {
    let swaps = Swaps::new();
    let mut planned = Walk::new(bakery, recipes, &swaps);
    planned.product(product);
    let mut walk = Walk::new(bakery, recipes, &swaps);
    for item in used {
        walk.item(item);
    }
    for record in read {
        walk.found.contains.extend(record.contains.iter().cloned());
        walk.found.may_contain.extend(record.may_contain.iter().cloned());
    }
    for touched in planned.items {
        walk.overheads(&bakery.item(touched).code);
    }
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
        for &(_, item) in self.recipes.replaced.iter().filter(|(of, _)| *of == product) {
            self.item(item);
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
        let fruit = self.bakery.index().fruit_of(item);
        let made = self.recipes.of_item(item).map(|at| &self.recipes.recipes[at]);
        // While nobody decided whether it is made or bought, both are in it.
        let recipe = match made {
            None if self.recipes.undecided.contains(&item) => self.recipes.formula_of(item),
            made => made,
        };
        // The record of a pack speaks of nothing that is made here in its place.
        if made.is_none() || found.kind == ItemKind::Made {
            self.found.contains.extend(found.allergens.contains.iter().cloned());
            self.found.may_contain.extend(found.allergens.may_contain.iter().cloned());
        }
        // What is made here is known by what it is made of.
        if !found.allergens.known && fruit.is_none() && made.is_none() {
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
            // What it replaces may still be in a load, a tub or on the bench.
            if let Some(replaced) = line.instead_of {
                self.item(replaced);
            }
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
        self.found.settle();
        self.found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(list: &[&str]) -> BTreeSet<String> {
        list.iter().map(|word| (*word).to_owned()).collect()
    }

    #[test]
    fn joining_never_removes_what_is_contained() {
        let mut bun = Allergens { contains: words(&["wheat"]), ..Allergens::default() };
        bun.may_contain = words(&["sesame"]);
        let seeds = Allergens { contains: words(&["sesame"]), ..Allergens::default() };
        bun.join(&seeds);
        assert_eq!(bun.contains, words(&["sesame", "wheat"]));
        assert_eq!(bun.may_contain, words(&[]), "what is in it is not said again");
    }

    #[test]
    fn a_difference_says_what_came_and_what_went_in_each_kind() {
        let planned = Allergens {
            contains: words(&["wheat", "rye"]),
            may_contain: words(&["sesame"]),
            ..Allergens::default()
        };
        let mut actual = planned.clone();
        assert!(difference(&planned, &actual).is_none());
        actual.contains = words(&["wheat", "sesame"]);
        actual.may_contain = words(&[]);
        let found = difference(&planned, &actual);
        assert_eq!(
            (found.added.contains, found.added.may_contain),
            (words(&["sesame"]), words(&[]))
        );
        assert_eq!(
            (found.gone.contains, found.gone.may_contain),
            (words(&["rye"]), words(&["sesame"]))
        );
    }
}
