//! What was released, as it is kept: amounts exactly, and lines as they were printed.

use super::super::book::code;
use crate::{messages::Kept, store::StoreError};
use domain::{
    load::{HeldDraw, HeldLine},
    ratio::Ratio,
};
use serde::{Deserialize, Serialize};

/// One load as it was released.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadBody {
    /// What people call the formula.
    pub name: String,
    /// From when the version of the formula was valid that it was released with, if it says so.
    pub formula_valid_from: Option<String>,
    /// Code of the mixer or pan.
    pub mixer: Option<String>,
    /// What people call it.
    pub mixer_name: Option<String>,
    /// Which mix of its dough it belongs to, from 1.
    pub mix: u32,
    /// From when to when it is in its mixer, in UTC, if its formula says how long it mixes.
    pub mixes: Option<(String, String)>,
    /// What it weighs in the bowl, residue included: micrograms, a fraction.
    pub mass: String,
    /// What stays in the bowl: micrograms, a fraction.
    pub residue: String,
    /// Whole steps in it, such as pans.
    pub steps: Option<i64>,
    /// Sum of its weighed lines, in micrograms.
    pub sum_ug: i64,
    /// What a person should know of it.
    pub notes: Vec<Kept>,
    /// Its lines, in the order of the formula.
    pub lines: Vec<LineBody>,
    /// What it takes from stock.
    pub draws: Vec<DrawBody>,
    /// Whole pieces of each product that are to come of it.
    pub pieces: Vec<(String, i64)>,
}

/// One line of a load as it was released.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LineBody {
    /// Its number on the page.
    pub number: usize,
    /// Code of the item.
    pub item: String,
    /// Exactly: micrograms or millionths of a piece, a fraction.
    pub exact: String,
    /// By the scale: micrograms or millionths of a piece.
    pub micro: i64,
    /// Whether it is counted.
    pub counted: bool,
    /// Whether it is drawn from a batch made before.
    pub previous_batch: bool,
    /// Digits as they were printed.
    pub printed_amount: String,
    /// Unit as it was printed.
    pub printed_unit: String,
    /// Code of the scale.
    pub scale: Option<String>,
    /// `ok`, `premix`, `refused` or `counted`.
    pub state: String,
    /// Which tub.
    pub tub: String,
    /// What else a hand should know.
    pub remarks: Vec<Kept>,
}

/// What a load takes of one item of stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrawBody {
    /// Code of the item that is kept in stock.
    pub item: String,
    /// What leaves stock, in millionths of its base unit.
    pub micro: i64,
    /// What is weighed or counted of it: micrograms or millionths of a piece, a fraction.
    pub issue: String,
    /// Whether it is counted.
    pub counted: bool,
    /// Lots that were proposed.
    pub lots: Vec<LotBody>,
}

/// A proposed lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LotBody {
    /// Its id in the ledger.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// How much of it, in millionths of the base unit.
    pub micro: i64,
    /// Last local date of use.
    pub best_before: Option<String>,
    /// Last instant of use.
    pub usable_until: Option<String>,
}

impl LineBody {
    /// Its exact amount, in micrograms or millionths of a piece.
    #[must_use]
    pub fn exact_ratio(&self) -> Option<Ratio> {
        ratio(&self.exact).ok()
    }

    pub(super) fn held(&self) -> Result<HeldLine, StoreError> {
        Ok(HeldLine {
            item: code(&self.item)?,
            exact: ratio(&self.exact)?,
            micro: self.micro,
            counted: self.counted,
            previous_batch: self.previous_batch,
        })
    }
}

impl DrawBody {
    pub(super) fn held(&self) -> Result<HeldDraw, StoreError> {
        Ok(HeldDraw {
            item: code(&self.item)?,
            micro: self.micro,
            issue: ratio(&self.issue)?,
            counted: self.counted,
            lots: self.lots.iter().map(|lot| (lot.id.clone(), lot.micro)).collect(),
        })
    }
}

/// An exact number as it is kept.
#[must_use]
pub fn fraction(ratio: Ratio) -> String {
    format!("{}/{}", ratio.numerator(), ratio.denominator())
}

/// A kept exact number.
pub(super) fn ratio(text: &str) -> Result<Ratio, StoreError> {
    let read = || {
        let (above, below) = text.split_once('/')?;
        Ratio::new(above.parse().ok()?, below.parse().ok()?).ok()
    };
    read().ok_or(StoreError::Corrupt("fraction"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_endless_fraction_is_kept_exactly() {
        let third = Ratio::new(-10, 3).expect("a fraction");
        assert_eq!(ratio(&fraction(third)).expect("a fraction"), third);
        assert!(ratio("1/0").is_err() && ratio("1.5").is_err());
    }
}
