//! A second, slow answer to what a morning needs, for comparison with the fast one.
//!
//! Written from the rules of the trade alone: everything is looked up by name, every
//! number is a fraction without bounds, and each question asks the questions before
//! it. It shares the vocabulary with the fast code and no computation.

mod fruit;
mod load;
mod made;
mod needs;
mod pieces;

pub use load::{Load, Weighed};
pub use made::{Issued, Made};
pub use needs::Need;
pub use pieces::Pieces;

use crate::builders::World;
use domain::{
    formula::Formula,
    item::Item,
    product::{At, Product},
    quantity::{MICRO, Quantity},
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};
use num_bigint::BigInt;
use num_rational::BigRational;
use std::{collections::BTreeMap, rc::Rc};

/// Everything that is compared.
#[derive(Debug, Default)]
pub struct Answer {
    /// Pieces by service date and product.
    pub pieces: BTreeMap<(Date, String), Pieces>,
    /// What is made, by service date and formula.
    pub made: BTreeMap<(Date, String), Rc<Made>>,
    /// Whole fruits by fruit and service date.
    pub fruits: BTreeMap<(String, Date), i64>,
    /// Draws on stock.
    pub needs: BTreeMap<Need, BigRational>,
}

/// The slow model of one world.
pub struct Oracle<'a> {
    world: &'a World,
    dates: Vec<Date>,
    items: BTreeMap<&'a str, &'a Item>,
    formulas: BTreeMap<&'a str, &'a Formula>,
    pieces: BTreeMap<(Date, String), Pieces>,
    made: BTreeMap<(Date, String), Option<Rc<Made>>>,
}

/// A whole number.
pub(crate) fn whole(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}

/// A ratio of the vocabulary.
pub(crate) fn big(value: Ratio) -> BigRational {
    BigRational::new(BigInt::from(value.numerator()), BigInt::from(value.denominator()))
}

/// A quantity in its base unit.
pub(crate) fn amount(quantity: Quantity) -> BigRational {
    BigRational::new(BigInt::from(quantity.micro()), BigInt::from(MICRO))
}

/// What a loss in percent leaves of one.
pub(crate) fn left_after(percent: Ratio) -> BigRational {
    whole(1) - big(percent) / whole(100)
}

/// The smallest whole number not below a value.
pub(crate) fn ceil(value: &BigRational) -> i64 {
    i64::try_from(value.ceil().to_integer()).unwrap_or(i64::MAX)
}

/// The nearest multiple of a division, half up.
pub(crate) fn nearest(value: &BigRational, division: &BigRational) -> BigRational {
    (value / division + BigRational::new(BigInt::from(1), BigInt::from(2))).floor() * division
}

impl<'a> Oracle<'a> {
    /// A model of a world.
    #[must_use]
    pub fn new(world: &'a World) -> Self {
        let mut dates = world.book.service_dates.clone();
        dates.sort_unstable();
        dates.dedup();
        Self {
            world,
            dates,
            items: world.draft.items.iter().map(|item| (item.code.as_str(), item)).collect(),
            formulas: world
                .draft
                .formulas
                .iter()
                .map(|formula| (formula.code.as_str(), formula))
                .collect(),
            pieces: BTreeMap::new(),
            made: BTreeMap::new(),
        }
    }

    /// Asks everything.
    #[must_use]
    pub fn answer(mut self) -> Answer {
        let dates = self.dates.clone();
        let mut answer = Answer::default();
        for &date in &dates {
            for product in &self.world.draft.products {
                let found = self.pieces_of(date, product);
                answer.pieces.insert((date, product.code.to_string()), found);
            }
            for formula in &self.world.draft.formulas {
                if let Some(made) = self.made_for(date, formula) {
                    answer.made.insert((date, formula.code.to_string()), made);
                }
            }
        }
        self.draw(&mut answer);
        answer
    }

    fn products(&self) -> &'a [Product] {
        &self.world.draft.products
    }

    /// The instant of a local time that is stated against a service date.
    fn instant(&self, date: Date, at: At) -> Timestamp {
        let day = date.saturating_add(jiff::Span::new().days(at.day));
        let zone = &self.world.draft.site.time_zone;
        zone.to_ambiguous_zoned_datetime(day.to_datetime(at.time))
            .compatible()
            .map_or(Timestamp::MIN, |found| found.timestamp())
    }

    /// Grams of an ingredient in a quantity of it.
    fn grams(&self, item: &str, quantity: Quantity) -> BigRational {
        use domain::quantity::Unit;
        let one = match quantity.unit() {
            Unit::Gram => whole(1),
            Unit::Millilitre => self.items[item].density.map_or_else(|| whole(0), big),
            Unit::Each => self.items[item].each.map_or_else(|| whole(0), amount),
        };
        amount(quantity) * one
    }
}
