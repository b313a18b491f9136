//! Items: anything with stock, bought, made or used as packaging.

use crate::{
    id::Code,
    labelling::{Exemption, ItemLabel},
    nutrients::Nutrients,
    quantity::{Quantity, Unit},
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Where an item usually comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemKind {
    /// Bought from a supplier.
    Bought,
    /// Made here by the formula of the same code.
    Made,
    /// Bought, and used to pack.
    Packaging,
}

/// Which way a need goes when an item can be both made and bought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Supply {
    /// Its formula is made for the need.
    Made,
    /// It is drawn from stock and bought.
    Bought,
}

/// What is known of an item's allergens.
///
/// Unknown is never "none": `known` false means that nobody has read the pack.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct AllergenRecord {
    /// Allergens that it contains.
    pub contains: BTreeSet<String>,
    /// Allergens that the supplier or the site says may be in it.
    pub may_contain: BTreeSet<String>,
    /// Whether the record was read from the pack at all.
    pub known: bool,
    /// Which edition of the pack's text it is, as the pack or the bakery numbers it.
    pub version: Option<String>,
    /// Where it was read: the pack, a specification.
    pub source: Option<String>,
    /// When it was read.
    pub read_on: Option<Date>,
    /// How much of an allergen is in it, by its word, in milligrams per kilogram: of sulphites
    /// in terms of sulphur dioxide. What is not stated is not known.
    pub mg_per_kg: BTreeMap<String, Ratio>,
    /// Allergens that a rule exempts here; they are not in `contains`.
    pub exempt: Vec<Exemption>,
}

/// A fruit (or egg) that gives two things at once, such as zest and juice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// The output that is taken first: the skin, before the fruit is pressed.
    pub first: Code,
    /// How long a fruit whose first output was taken still gives the other, in minutes.
    pub keep_minutes: i64,
    /// Whether spare output is kept for the next use, or lost.
    pub surplus_keeps: bool,
    /// What one fruit gives.
    pub outputs: Vec<JointOutput>,
}

/// One thing that a joint fruit gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JointOutput {
    /// The item that comes out.
    pub item: Code,
    /// How much of it one fruit gives.
    pub yields: Quantity,
    /// Its share of the fruit's price, in percent.
    pub cost_share_percent: Ratio,
}

/// A form in which yeast comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum YeastForm {
    /// Pressed, with its water.
    Fresh,
    /// Dried grains that are soaked first.
    ActiveDry,
    /// Dried grains that go in as they are.
    Instant,
}

impl YeastForm {
    /// How much of it stands for one part of fresh yeast: least and most.
    ///
    /// # Source
    /// Common practice: trade rules 2.1; a professional bread book has 0.40 and 0.33.
    #[must_use]
    pub fn of_fresh(self) -> (Ratio, Ratio) {
        let parts = |least, most| {
            let hundredths = |value| Ratio::new(value, 100).unwrap_or(Ratio::ONE);
            (hundredths(least), hundredths(most))
        };
        match self {
            Self::Fresh => (Ratio::ONE, Ratio::ONE),
            Self::ActiveDry => parts(40, 50),
            Self::Instant => parts(33, 40),
        }
    }
}

/// What an item is to a dough, for the figures of a formula.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Nature {
    /// Water in it, in percent of its mass; of what is not water itself.
    pub water_percent: Option<Ratio>,
    /// Salt in it, in percent of its mass; of what is not salt itself.
    pub salt_percent: Option<Ratio>,
    /// Which yeast it is.
    pub yeast: Option<YeastForm>,
}

/// Anything with stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Its name; a formula of the same code makes it.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// Where it usually comes from.
    pub kind: ItemKind,
    /// What its stock is counted in.
    pub base_unit: Unit,
    /// Kilograms in a litre, if volumes of it are used.
    pub density: Option<Ratio>,
    /// Usable mass of one piece, if it is counted.
    pub each: Option<Quantity>,
    /// Whether stock of it is kept; tap water is not.
    pub stocked: bool,
    /// Whether it is water, for hydration.
    pub water: bool,
    /// Whether it is salt, for the salt check.
    pub salt: bool,
    /// What else it is to a dough.
    pub nature: Nature,
    /// What it contains.
    pub allergens: AllergenRecord,
    /// How long an opened pack is used, in minutes.
    pub opened_life_minutes: Option<i64>,
    /// How long it keeps once it was thawed, in minutes; not known if not said.
    pub thawed_life_minutes: Option<i64>,
    /// Whether it is never ordered ahead of need.
    pub short_life: bool,
    /// What should be left when all needs are met.
    pub safety_stock: Option<Quantity>,
    /// Dust and sticky tubs, in percent of what leaves stock.
    pub weighing_loss_percent: Ratio,
    /// Thawing or tempering after arrival before it can be used, in minutes.
    pub ready_after_minutes: i64,
    /// Where it is kept.
    pub place: Option<Code>,
    /// Which way a need goes if it can be both made and bought.
    pub supply: Supply,
    /// Whether it costs nothing by decision.
    pub free: bool,
    /// What it gives, if it is a joint fruit.
    pub joint: Option<Joint>,
    /// What labels say of it.
    pub label: ItemLabel,
    /// What 100 g of it hold.
    pub nutrients: Nutrients,
}

impl Item {
    /// Grams in one base unit, if it is known: 1 for masses, the density for
    /// volumes, the usable weight for pieces.
    #[must_use]
    pub fn grams_per_base_unit(&self) -> Option<Ratio> {
        match self.base_unit {
            Unit::Gram => Some(Ratio::ONE),
            Unit::Millilitre => self.density,
            Unit::Each => self.each.and_then(|each| {
                each.ratio().over(Ratio::whole(crate::quantity::MICRO.into())).ok()
            }),
        }
    }

    /// A quantity of this item in millionths of its base unit; none if its density or
    /// usable weight is needed and not known.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn in_base_unit(&self, quantity: Quantity) -> Result<Option<Ratio>, Overflow> {
        if quantity.unit() == self.base_unit {
            return Ok(Some(quantity.ratio()));
        }
        let (Some(mass), Some(grams)) = (self.mass_ug(quantity)?, self.grams_per_base_unit())
        else {
            return Ok(None);
        };
        Ok(Some(mass.over(grams)?))
    }

    /// The mass of a quantity of this item in micrograms; none if its density or
    /// usable weight is needed and not known.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn mass_ug(&self, quantity: Quantity) -> Result<Option<Ratio>, Overflow> {
        let grams_each = match quantity.unit() {
            Unit::Gram => Some(Ratio::ONE),
            Unit::Millilitre => self.density,
            Unit::Each => match self.each {
                Some(each) => Some(each.ratio().over(Ratio::whole(crate::quantity::MICRO.into()))?),
                None => None,
            },
        };
        grams_each.map(|grams| quantity.ratio().times(grams)).transpose()
    }
}
