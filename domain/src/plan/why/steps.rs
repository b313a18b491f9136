//! One step of a chain: a rule, what went in, what came out.

use crate::{quantity::Unit, ratio::Ratio};

/// A value in a chain, with what it counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyValue {
    /// Whole pieces; below zero takes away.
    Pieces(i64),
    /// Loads of a mixer.
    Loads(i64),
    /// A mass in micrograms.
    Mass(Ratio),
    /// Counted things, in millionths.
    Count(Ratio),
    /// An amount of an item in millionths of its base unit.
    InBaseUnit(Ratio, Unit),
    /// Batches or parts of one.
    Batches(Ratio),
    /// Percent.
    Percent(Ratio),
    /// A bare number, such as parts.
    Number(Ratio),
}

/// One step of a chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhyStep {
    /// The rule in plain words.
    pub rule: &'static str,
    /// What went in, by name.
    pub inputs: Vec<(String, WhyValue)>,
    /// What came out.
    pub result: WhyValue,
}
