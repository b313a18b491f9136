//! Regulations about allergens and labels, as data that a bakery may add to.

use crate::{id::Code, ratio::Ratio};
use num_rational::BigRational;
use std::collections::BTreeSet;

/// One entry of a regulation's list, as the regulation writes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllergenGroup {
    /// Its heading, such as "Cereals containing gluten".
    pub name: String,
    /// What it is made of; a group without kinds of its own has one.
    pub kinds: Vec<AllergenKind>,
    /// It is declared only above this, in milligrams per kilogram.
    pub above_mg_per_kg: Option<Ratio>,
}

/// One kind that a label names by its own name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllergenKind {
    /// How a label names it.
    pub name: String,
    /// Other words for it in records and in names of ingredients.
    pub also: Vec<String>,
}

/// When an ingredient counts as little: a percentage of the finished product.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LittleOf {
    /// The percentage.
    pub percent: Ratio,
    /// Whether exactly so much is little as well.
    pub inclusive: bool,
}

impl LittleOf {
    /// Whether a percentage of the finished product is little.
    #[must_use]
    pub fn holds(self, percent: &BigRational) -> bool {
        let bound = self.percent.to_big();
        *percent < bound || (self.inclusive && *percent == bound)
    }
}

/// How added water stands in an ingredient list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaterRule {
    /// Finished mass less all other ingredients; not named up to a percentage of the finished.
    Left {
        /// That percentage.
        omit_up_to_percent: Ratio,
    },
    /// As it went in; not named if none of it is left.
    AsAdded,
}

/// How a list of ingredients is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListStyle {
    /// Of which ingredients there is so little that their order is free.
    pub any_order: Option<LittleOf>,
    /// Stands before them, if they stand in a group of their own.
    pub little_heading: Option<String>,
    /// How water is named.
    pub water: WaterRule,
    /// Below this, a compound ingredient fixed by law, or spices, need no list of their own.
    pub compound: Option<LittleOf>,
    /// Whether ingredients of the product's name are stated in percent.
    pub quantities: bool,
    /// Before a statement of all allergens beside the list, if the style has one.
    pub contains_heading: Option<String>,
}

/// Which factors and roundings a nutrition declaration follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NutritionStyle {
    /// European Union.
    Eu,
    /// United States.
    Us,
}

/// A regulation: which allergens are declared, and how a label is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Regulation {
    /// Its name in addresses.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// Where its text stands, and how far it was read.
    pub source: String,
    /// Its list of allergens, in its own order.
    pub groups: Vec<AllergenGroup>,
    /// How its lists of ingredients are written.
    pub list: ListStyle,
    /// How its nutrition declarations are written.
    pub nutrition: NutritionStyle,
}

/// An allergen of a record as a regulation names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Named<'a> {
    /// The entry of the list.
    pub group: &'a AllergenGroup,
    /// The kind in it.
    pub kind: &'a AllergenKind,
}

impl Regulation {
    /// The same without some entries of its list, by their headings.
    #[must_use]
    pub fn without(&self, groups: &BTreeSet<&str>) -> Self {
        let mut left = self.clone();
        left.groups.retain(|group| !groups.contains(group.name.as_str()));
        left
    }

    /// The entry that a word of a record stands for; none if the list has none.
    #[must_use]
    pub fn named(&self, word: &str) -> Option<Named<'_>> {
        let same = |other: &String| other.eq_ignore_ascii_case(word);
        self.groups.iter().find_map(|group| {
            let is = |kind: &&AllergenKind| same(&kind.name) || kind.also.iter().any(same);
            group.kinds.iter().find(is).map(|kind| Named { group, kind })
        })
    }

    /// The words of records that it has no entry for: they are never dropped.
    #[must_use]
    pub fn unlisted<'w>(&self, words: &'w BTreeSet<String>) -> Vec<&'w String> {
        words.iter().filter(|word| self.named(word).is_none()).collect()
    }
}

impl AllergenGroup {
    /// Whether so much of it in the food as eaten is declared; an unknown amount always is.
    ///
    /// # Source
    /// Regulation (EU) No 1169/2011, Annex II, point 12: "more than".
    #[must_use]
    pub fn declared_at(&self, mg_per_kg: Option<&BigRational>) -> bool {
        match (self.above_mg_per_kg, mg_per_kg) {
            (Some(above), Some(found)) => *found > above.to_big(),
            _ => true,
        }
    }
}
