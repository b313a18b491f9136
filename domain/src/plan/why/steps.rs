//! One step of a chain: a rule, what went in, what came out.

use super::{WhyRule, WhyWord};
use crate::{id::Code, quantity::Unit, ratio::Ratio};
use jiff::civil::Date;

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

/// What an input of a step is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WhyInput {
    /// What names nothing of the records.
    Word(WhyWord),
    /// The order of a customer, by position.
    Customer(u32),
    /// What a product asks for, by position.
    Product(u32),
    /// What a formula asks for, by the position of its item.
    Item(u32),
    /// Pieces that another product takes, by position, for its service date.
    TakenBy(u32, Date),
    /// A value that a person set.
    SetBy {
        /// Who.
        who: String,
        /// Why.
        note: String,
    },
    /// A loss, by the stage in which it happens, as it was typed.
    Loss(String),
    /// A load, by its number.
    Load(i64),
    /// The same as it was released.
    LoadAsReleased(i64),
    /// The most that a mixer takes, by position.
    MostIn(u32),
    /// The least that a mixer takes, by position.
    LeastIn(u32),
    /// What a step of a scale is worth, by its position among the scales.
    DivisionOf(usize),
    /// Grams in one base unit.
    GramsInOne(Unit),
    /// What is taken of an output of a fruit.
    FruitTaken(Code),
    /// Fruits that are cut for an output.
    FruitFor(Code),
}

impl From<WhyWord> for WhyInput {
    fn from(word: WhyWord) -> Self {
        Self::Word(word)
    }
}

/// One step of a chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WhyStep {
    /// What it does with its inputs.
    pub rule: WhyRule,
    /// What went in, with what it is.
    pub inputs: Vec<(WhyInput, WhyValue)>,
    /// What came out.
    pub result: WhyValue,
}
