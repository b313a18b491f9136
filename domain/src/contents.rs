//! What is in one piece: exact ingoing masses, level by level.

use num_rational::BigRational;
use num_traits::Zero;
use std::collections::{BTreeMap, BTreeSet};

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartOf {
    /// An item, bought or made here, by position.
    Item(u32),
    /// Another product, by position.
    Product(u32),
}

/// One thing that goes into another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// What it is.
    pub of: PartOf,
    /// Grams of it as it is used: of a cooked cream, cooked.
    pub used: BigRational,
    /// Grams that went in at mixing to give it: more than `used` if water boiled off.
    pub ingoing: BigRational,
    /// What it is made of; nothing if it is bought.
    pub parts: Vec<Part>,
}

/// What is in one piece before it is baked.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Contents {
    /// Its parts in the order of its make-up.
    pub parts: Vec<Part>,
    /// Grams of a finished piece; none if nobody said how heavy it is.
    pub finished: Option<BigRational>,
    /// Items that are in it by the piece and whose weight nobody knows, by position.
    pub unweighed: BTreeSet<u32>,
    /// Items that touch it in no recorded amount, by position: dust from the bench.
    pub dusted: BTreeSet<u32>,
}

impl Contents {
    /// Grams that go in at mixing.
    #[must_use]
    pub fn ingoing(&self) -> BigRational {
        self.parts.iter().map(|part| &part.ingoing).sum()
    }

    /// Grams as used, before the oven takes its share.
    #[must_use]
    pub fn used(&self) -> BigRational {
        self.parts.iter().map(|part| &part.used).sum()
    }

    /// Grams of everything that is bought, by position of item.
    #[must_use]
    pub fn leaves(&self) -> BTreeMap<u32, BigRational> {
        let mut found = BTreeMap::new();
        let mut open: Vec<&Part> = self.parts.iter().collect();
        while let Some(part) = open.pop() {
            match part.of {
                PartOf::Item(item) if part.parts.is_empty() => {
                    *found.entry(item).or_insert_with(BigRational::zero) += &part.used;
                }
                _ => open.extend(&part.parts),
            }
        }
        found
    }
}
