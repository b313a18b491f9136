//! What a bakery has written down for labels: names, parts, finished masses, records.

use crate::{id::Code, quantity::Quantity, ratio::Ratio};
use std::collections::BTreeSet;

/// How an ingredient stands in the list of a product.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Shown {
    /// By its name; what is made here is dissolved into what it is made of.
    #[default]
    Plain,
    /// By its name, with its own ingredients in brackets.
    Compound,
    /// Not as an ingredient: an aid of the process. Its allergens are named all the same.
    Aid,
}

/// What decides whether a compound ingredient may stand without its own list.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum CompoundKind {
    /// It always has its list.
    #[default]
    Plain,
    /// Its composition is fixed by law, as of chocolate.
    FixedByLaw,
    /// A mixture of spices or herbs.
    Spices,
}

/// One ingredient of a bought compound, as its pack names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LabelPart {
    /// Its name.
    pub name: String,
    /// The allergens in it, by the words of the record.
    pub contains: BTreeSet<String>,
}

/// What labels say of an item.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ItemLabel {
    /// Its name on labels; the item's own if not said.
    pub name: Option<String>,
    /// How it stands in lists.
    pub shown: Shown,
    /// What kind of compound it is.
    pub kind: CompoundKind,
    /// Its own ingredients in the order of its pack, if it is a bought compound.
    pub parts: Vec<LabelPart>,
}

/// How heavy a finished piece is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finished {
    /// So heavy.
    Mass(Quantity),
    /// All that goes in, less this percentage of it.
    Loss(Ratio),
}

/// What labels say of a product.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ProductLabel {
    /// The name of the food; the product's own if not said.
    pub name: Option<String>,
    /// How heavy a finished piece is; not known if not said.
    pub finished: Option<Finished>,
    /// Where that figure is from.
    pub finished_source: Option<String>,
    /// Ingredients whose quantity is stated, because the name or picture speaks of them.
    pub quantities: Vec<Code>,
}

/// An allergen that a rule exempts in one item.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exemption {
    /// The allergen, by the word of the record.
    pub allergen: String,
    /// The rule.
    pub rule: String,
    /// Where that it applies is from.
    pub source: String,
}
