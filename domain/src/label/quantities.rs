//! Quantities of ingredients that the name of a product speaks of.

use super::hundred;
use crate::{
    contents::{Contents, Part, PartOf},
    regulation::Regulation,
};
use num_rational::BigRational;
use num_traits::Zero;

/// The stated quantity of one ingredient.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quantified {
    /// Position of the item.
    pub item: u32,
    /// Grams used for 100 g of the finished product, which is its percentage as well; none
    /// if nobody knows what a finished piece weighs.
    pub per_100g: Option<BigRational>,
    /// Whether it is stated as grams used for 100 g, because the percentages exceed 100.
    pub as_mass: bool,
}

/// The quantities of some items in what was used, related to the finished piece.
///
/// # Source
/// Regulation (EU) No 1169/2011, annex VIII, point 4; Commission Notice 2017/C 393/05.
pub(super) fn quantities(
    regulation: &Regulation,
    contents: &Contents,
    items: &[u32],
) -> Vec<Quantified> {
    if !regulation.list.quantities {
        return Vec::new();
    }
    let finished = contents.finished.as_ref().filter(|finished| !finished.is_zero());
    let mut found: Vec<Quantified> = items
        .iter()
        .map(|&item| {
            let grams = used(&contents.parts, item);
            let per_100g = finished.map(|finished| grams * hundred() / finished);
            Quantified { item, per_100g, as_mass: false }
        })
        .collect();
    let total: BigRational = found.iter().filter_map(|one| one.per_100g.as_ref()).sum();
    if total > hundred() {
        found.iter_mut().for_each(|one| one.as_mass = true);
    }
    found
}

/// Grams of an item wherever it is used, each once.
fn used(parts: &[Part], item: u32) -> BigRational {
    let each = |part: &Part| {
        if part.of == PartOf::Item(item) { part.used.clone() } else { used(&part.parts, item) }
    };
    parts.iter().map(each).sum()
}
