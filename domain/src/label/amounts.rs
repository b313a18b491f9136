//! How much of an allergen is in the finished product, where a regulation has a bound for it.

use super::entries::words;
use crate::{bakery::Bakery, contents::Contents, ratio::Ratio, regulation::Regulation};
use num_rational::BigRational;
use num_traits::Zero;
use std::collections::BTreeSet;

/// An allergen that is declared only above a bound, in one product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measured {
    /// The heading of the regulation's list.
    pub group: String,
    /// The bound, in milligrams per kilogram.
    pub above: Ratio,
    /// Milligrams in a kilogram of the finished product; none if an amount of it, or what a
    /// finished piece weighs, is not known.
    pub mg_per_kg: Option<BigRational>,
    /// Items that have it in an amount that nobody recorded, by position.
    pub unstated: BTreeSet<u32>,
    /// Whether it is declared; an unknown amount always is.
    pub declared: bool,
}

/// The bounded allergens of a product, by what the records of its items state.
///
/// All that went in counts as still there: what the oven drives off is nobody's record.
///
/// # Source
/// Regulation (EU) No 1169/2011, Annex II, point 12: more than 10 mg/kg in terms of the total
/// sulphur dioxide, in the food as ready for consumption.
pub(super) fn amounts(
    bakery: &Bakery,
    regulation: &Regulation,
    contents: &Contents,
) -> Vec<Measured> {
    let leaves = contents.leaves();
    let unweighed: BTreeSet<u32> = contents.unweighed.union(&contents.dusted).copied().collect();
    let mut found = Vec::new();
    for group in &regulation.groups {
        let Some(above) = group.above_mg_per_kg else { continue };
        let is = |word: &String| regulation.named(word).is_some_and(|one| one.group == group);
        let named = |item: u32| words(bakery, item).iter().any(is);
        let stated = |item: u32| {
            let amounts = &bakery.item(item).allergens.mg_per_kg;
            amounts.iter().find(|(word, _)| is(word)).map(|(_, amount)| *amount)
        };
        let mut unstated: BTreeSet<u32> = unweighed
            .iter()
            .copied()
            .filter(|&item| named(item) || stated(item).is_some())
            .collect();
        let (mut micrograms, mut met) = (BigRational::zero(), !unstated.is_empty());
        for (&item, grams) in &leaves {
            match stated(item) {
                Some(amount) => micrograms += grams * amount.to_big(),
                None if named(item) => {
                    unstated.insert(item);
                }
                None => continue,
            }
            met = true;
        }
        if !met {
            continue;
        }
        let finished = contents.finished.as_ref().filter(|grams| !grams.is_zero());
        let mg_per_kg = finished.filter(|_| unstated.is_empty()).map(|grams| &micrograms / grams);
        let declared = group.declared_at(mg_per_kg.as_ref());
        found.push(Measured { group: group.name.clone(), above, mg_per_kg, unstated, declared });
    }
    found
}
