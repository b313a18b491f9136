//! What a piece nourishes: sums over exact masses, and how two laws declare them.
//!
//! Factors and roundings of the European Union and of the United States stand apart; a
//! sum of which a part is missing is "not known" and says what it is at least.

mod eu;
mod round;
mod us;

use crate::{
    bakery::Bakery,
    nutrients::{Nutrient, NutrientUnit, Nutrients},
    ratio::{Ratio, big_decimal},
    regulation::NutritionStyle,
};
use num_rational::BigRational;
use num_traits::Zero;
use std::collections::{BTreeMap, BTreeSet};

/// A sum over ingredients.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sum {
    /// What is known of it.
    pub amount: BigRational,
    /// Items whose value is missing, by position: then the amount is a lower bound.
    pub missing: BTreeSet<u32>,
}

impl Sum {
    /// What is known of it, cut to two places: never more than there is.
    #[must_use]
    pub fn at_least(&self) -> String {
        let hundred = whole(100);
        big_decimal(&((&self.amount * &hundred).floor() / hundred), 2)
    }
}

/// A line of a declaration.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Declared {
    /// What it states, as a stable word.
    pub word: &'static str,
    /// Whether it is a part of the line above it ("of which").
    pub of_which: bool,
    /// What it is measured in.
    pub unit: &'static str,
    /// The exact sum.
    pub sum: Sum,
    /// As the law rounds it, with its unit; none if a part is missing.
    pub printed: Option<String>,
}

/// One line as a style reckons it: what an item brings per 100 g, and how it is rounded.
struct Line {
    word: &'static str,
    of_which: bool,
    unit: &'static str,
    per_100g: fn(&Nutrients) -> Option<BigRational>,
    round: fn(&BigRational) -> String,
}

/// Declares what is in so many grams of each item, divided by `per`: by 1 for a piece, by
/// its hundreds of grams for 100 g.
#[must_use]
pub fn nutrition(
    bakery: &Bakery,
    leaves: &BTreeMap<u32, BigRational>,
    unweighed: &BTreeSet<u32>,
    per: &BigRational,
    style: NutritionStyle,
) -> Vec<Declared> {
    let lines: &[Line] = match style {
        NutritionStyle::Eu => &eu::LINES,
        NutritionStyle::Us => &us::LINES,
    };
    let declare = |line: &Line| {
        let mut found = sum(bakery, (leaves, unweighed), line.per_100g);
        found.amount = if per.is_zero() { BigRational::zero() } else { found.amount / per };
        let printed = found.missing.is_empty().then(|| (line.round)(&found.amount));
        let Line { word, of_which, unit, .. } = *line;
        Declared { word, of_which, unit, sum: found, printed }
    };
    lines.iter().map(declare).collect()
}

fn sum(
    bakery: &Bakery,
    (leaves, unweighed): (&BTreeMap<u32, BigRational>, &BTreeSet<u32>),
    per_100g: impl Fn(&Nutrients) -> Option<BigRational>,
) -> Sum {
    let mut found = Sum { missing: unweighed.clone(), ..Sum::default() };
    for (&item, grams) in leaves {
        match per_100g(&bakery.item(item).nutrients) {
            Some(value) => found.amount += value * grams / whole(100),
            None => drop(found.missing.insert(item)),
        }
    }
    found
}

/// What 100 g hold of a nutrient; of one that tables only state where there is some, none.
fn value(nutrients: &Nutrients, nutrient: Nutrient) -> Option<BigRational> {
    let stated = nutrients.of(nutrient).map(Ratio::to_big);
    let none = || {
        let said = nutrient.none_unless_stated() && nutrients.source.is_some();
        said.then(BigRational::zero)
    };
    stated.or_else(none)
}

/// A sum of values with a factor each; none if one is missing.
fn weighted(nutrients: &Nutrients, terms: &[(Nutrient, BigRational)]) -> Option<BigRational> {
    terms.iter().map(|(nutrient, factor)| Some(value(nutrients, *nutrient)? * factor)).sum()
}

fn whole(value: i64) -> BigRational {
    BigRational::from_integer(value.into())
}

const fn symbol(unit: NutrientUnit) -> &'static str {
    unit.symbol()
}
