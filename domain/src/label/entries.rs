//! From the tree of what is in a piece to the entries of its list.

use super::{Entry, emphasis::set_off, hundred};
use crate::{
    bakery::Bakery,
    contents::{Part, PartOf},
    labelling::{CompoundKind, ItemLabel, Shown},
    regulation::Regulation,
};
use num_rational::BigRational;
use num_traits::Zero;
use std::collections::BTreeSet;

/// The allergens of an item by its own record, and that of the fruit it comes from.
pub(super) fn words(bakery: &Bakery, item: u32) -> BTreeSet<String> {
    let mut words = bakery.item(item).allergens.contains.clone();
    if let Some(fruit) = bakery.index().fruit_of(item) {
        words.extend(bakery.item(fruit).allergens.contains.iter().cloned());
    }
    words
}

/// Ingredients of one level before they are written.
#[derive(Debug, Clone, Default)]
struct Taken {
    name: String,
    words: BTreeSet<String>,
    grams: BigRational,
    water: bool,
    unknown: bool,
    kind: CompoundKind,
    /// Its own ingredients, if it is shown with them.
    parts: Vec<Taken>,
}

/// A list that is being made up.
pub(super) struct List<'a> {
    bakery: &'a Bakery,
    regulation: &'a Regulation,
    finished: Option<BigRational>,
    taken: Vec<Taken>,
    aids: Vec<u32>,
    /// Allergens of made aids.
    aid_words: BTreeSet<String>,
}

impl<'a> List<'a> {
    pub(super) const fn new(
        bakery: &'a Bakery,
        regulation: &'a Regulation,
        finished: Option<BigRational>,
    ) -> Self {
        Self {
            bakery,
            regulation,
            finished,
            taken: Vec::new(),
            aids: Vec::new(),
            aid_words: BTreeSet::new(),
        }
    }

    /// Takes up the parts of a piece.
    pub(super) fn take(&mut self, parts: &[Part]) {
        let mut level = Vec::new();
        self.level(parts, &mut level);
        self.taken = level;
    }

    fn level(&mut self, parts: &[Part], into: &mut Vec<Taken>) {
        for part in parts {
            match part.of {
                PartOf::Item(item) => self.item(item, part, into),
                PartOf::Product(product) => {
                    let product = self.bakery.product(product);
                    let name = product.label.name.as_ref().unwrap_or(&product.name);
                    let inner = self.inner(&part.parts);
                    let taken = Taken { name: name.clone(), parts: inner, ..Taken::default() };
                    add(into, Taken { grams: part.used.clone(), ..taken });
                }
            }
        }
    }

    fn inner(&mut self, parts: &[Part]) -> Vec<Taken> {
        let mut inner = Vec::new();
        self.level(parts, &mut inner);
        inner.sort_by(|a, b| b.grams.cmp(&a.grams));
        inner
    }

    fn item(&mut self, item: u32, part: &Part, into: &mut Vec<Taken>) {
        let found = self.bakery.item(item);
        let label = &found.label;
        match (label.shown, part.parts.is_empty()) {
            (Shown::Aid, _) => {
                self.aids.push(item);
                let mut open: Vec<&Part> = vec![part];
                while let Some(part) = open.pop() {
                    if let PartOf::Item(item) = part.of {
                        self.aid_words.extend(words(self.bakery, item));
                    }
                    open.extend(&part.parts);
                }
            }
            (Shown::Plain, false) => self.level(&part.parts, into),
            (Shown::Compound, false) => {
                let parts = self.inner(&part.parts);
                let grams = part.used.clone();
                add(into, Taken { grams, parts, ..self.named(item, label) });
            }
            (Shown::Plain | Shown::Compound, true) => {
                let bought = self.named(item, label);
                let own = label.parts.iter().map(|own| Taken {
                    name: own.name.clone(),
                    words: own.contains.clone(),
                    ..Taken::default()
                });
                let parts: Vec<Taken> = own.collect();
                // What the pack's own list speaks of is not said again behind the name.
                let said: BTreeSet<&String> = parts.iter().flat_map(|own| &own.words).collect();
                let unsaid =
                    bought.words.iter().filter(|word| !said.contains(word)).cloned().collect();
                let grams = part.ingoing.clone();
                add(into, Taken { grams, words: unsaid, parts, ..bought });
            }
        }
    }

    fn named(&self, item: u32, label: &ItemLabel) -> Taken {
        let found = self.bakery.item(item);
        let fruit = self.bakery.index().fruit_of(item);
        let record = fruit.map_or(found, |fruit| self.bakery.item(fruit));
        Taken {
            name: label.name.clone().unwrap_or_else(|| found.name.clone()),
            words: words(self.bakery, item),
            water: found.water,
            unknown: !record.allergens.known,
            kind: label.kind,
            ..Taken::default()
        }
    }

    /// Added water.
    pub(super) fn water(&self) -> BigRational {
        self.taken.iter().filter(|taken| taken.water).map(|taken| &taken.grams).sum()
    }

    /// Everything.
    pub(super) fn grams(&self) -> BigRational {
        self.taken.iter().map(|taken| &taken.grams).sum()
    }

    pub(super) fn drop_water(&mut self) {
        self.taken.retain(|taken| !taken.water);
    }

    /// States another mass of water, shared as it was added.
    pub(super) fn set_water(&mut self, grams: BigRational) {
        let all = self.water();
        for taken in self.taken.iter_mut().filter(|taken| taken.water) {
            taken.grams = &taken.grams * &grams / &all;
        }
    }

    /// The entries, heaviest first; the aids; the allergens of aids.
    pub(super) fn finish(mut self) -> (Vec<Entry>, Vec<u32>, BTreeSet<String>) {
        let mut taken = std::mem::take(&mut self.taken);
        taken.sort_by(|a, b| b.grams.cmp(&a.grams));
        let entries = taken.iter().map(|taken| self.entry(taken, true)).collect();
        let mut aids = self.aids;
        aids.sort_unstable();
        aids.dedup();
        (entries, aids, self.aid_words)
    }

    fn entry(&self, taken: &Taken, top: bool) -> Entry {
        let finished = self.finished.as_ref().filter(|finished| top && !finished.is_zero());
        let percent = finished.map(|finished| &taken.grams * hundred() / finished);
        let little = |rule: Option<crate::regulation::LittleOf>| {
            rule.zip(percent.as_ref()).is_some_and(|(rule, percent)| rule.holds(percent))
        };
        let left_out = !taken.parts.is_empty()
            && taken.kind != CompoundKind::Plain
            && little(self.regulation.list.compound);
        let mut words = taken.words.clone();
        if left_out {
            words.extend(all_words(&taken.parts));
        }
        let parts = if left_out { &[][..] } else { &taken.parts[..] };
        Entry {
            name: set_off(self.regulation, &taken.name, &words),
            grams: taken.grams.clone(),
            any_order: little(self.regulation.list.any_order),
            percent,
            parts: parts.iter().map(|part| self.entry(part, false)).collect(),
            parts_left_out: left_out,
            unknown: taken.unknown && taken.parts.is_empty(),
        }
    }
}

fn all_words(parts: &[Taken]) -> BTreeSet<String> {
    let each = |part: &Taken| {
        let mut words = all_words(&part.parts);
        words.extend(part.words.iter().cloned());
        words
    };
    parts.iter().flat_map(each).collect()
}

/// Adds to a level; what has a name already grows.
fn add(into: &mut Vec<Taken>, taken: Taken) {
    let same = |other: &&mut Taken| {
        other.name == taken.name && other.parts.is_empty() && taken.parts.is_empty()
    };
    match into.iter_mut().find(same) {
        Some(other) => {
            other.grams += taken.grams;
            other.words.extend(taken.words);
            other.unknown |= taken.unknown;
        }
        None => into.push(taken),
    }
}
