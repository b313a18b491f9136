//! What a person set by hand against the plan; it survives every new plan.

use crate::id::Code;
use jiff::{Timestamp, civil::Date};

/// What can be set by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OverrideKind {
    /// Pieces of a product to begin with.
    StartPieces,
    /// Loads of a formula, held ones included.
    Loads,
    /// The mixer of a formula.
    Mixer,
    /// When a formula is weighed.
    Time,
    /// What is done with a load under its mixer's minimum.
    UnderMinimum,
    /// That a formula's change after a release was seen.
    Formula,
}

impl OverrideKind {
    /// All kinds.
    pub const ALL: [Self; 6] = [
        Self::StartPieces,
        Self::Loads,
        Self::Mixer,
        Self::Time,
        Self::UnderMinimum,
        Self::Formula,
    ];

    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::StartPieces => "start-pieces",
            Self::Loads => "loads",
            Self::Mixer => "mixer",
            Self::Time => "time",
            Self::UnderMinimum => "under-minimum",
            Self::Formula => "formula",
        }
    }

    /// The kind of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// What was decided for a load under its mixer's minimum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision {
    /// Mix the minimum; the rest is overs.
    RaiseToMinimum,
    /// Mix the small load by hand.
    HandMix,
    /// Do without it.
    Drop,
}

impl Decision {
    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::RaiseToMinimum => "raise-to-minimum",
            Self::HandMix => "hand-mix",
            Self::Drop => "drop",
        }
    }

    /// The decision of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        [Self::RaiseToMinimum, Self::HandMix, Self::Drop]
            .into_iter()
            .find(|decision| decision.word() == word)
    }
}

/// The value that was set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OverrideValue {
    /// Whole pieces of a product.
    StartPieces(i64),
    /// Loads of a formula, held ones included.
    Loads(i64),
    /// A mixer.
    Mixer(Code),
    /// An instant.
    Time(Timestamp),
    /// A decision.
    UnderMinimum(Decision),
    /// The draft uses the new version, and a person knows it.
    NewFormulaSeen,
}

impl OverrideValue {
    /// What it sets.
    #[must_use]
    pub const fn kind(&self) -> OverrideKind {
        match self {
            Self::StartPieces(_) => OverrideKind::StartPieces,
            Self::Loads(_) => OverrideKind::Loads,
            Self::Mixer(_) => OverrideKind::Mixer,
            Self::Time(_) => OverrideKind::Time,
            Self::UnderMinimum(_) => OverrideKind::UnderMinimum,
            Self::NewFormulaSeen => OverrideKind::Formula,
        }
    }
}

/// One thing that a person set by hand for a service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Override {
    /// For which service date.
    pub service_date: Date,
    /// The product or formula.
    pub code: Code,
    /// What was set.
    pub value: OverrideValue,
    /// Why, in words.
    pub note: String,
    /// By whom.
    pub who: String,
}
