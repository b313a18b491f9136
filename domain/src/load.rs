//! Loads that a person released: fixed, so that no later change moves them.

use crate::{id::Code, ratio::Ratio};
use jiff::{Timestamp, civil::Date};

/// How far a load is.
///
/// # Source
/// The trade rules, 2.10: draft, released, weighed, mixed, divided, baked, packed, sent; only
/// a draft moves by itself, and a draft is no load that is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadState {
    /// Fixed; nothing of it was weighed.
    Released,
    /// Its lines are in tubs, and out of the stock.
    Weighed,
    /// It is dough.
    Mixed,
    /// It is pieces.
    Divided,
    /// It left the oven.
    Baked,
    /// It is in boxes.
    Packed,
    /// It left the house.
    Sent,
    /// Called off before anything was weighed.
    Cancelled,
    /// Weighed or mixed, and failed.
    Lost,
}

impl LoadState {
    /// All states, in the order of a load's life.
    pub const ALL: [Self; 9] = [
        Self::Released,
        Self::Weighed,
        Self::Mixed,
        Self::Divided,
        Self::Baked,
        Self::Packed,
        Self::Sent,
        Self::Cancelled,
        Self::Lost,
    ];

    /// Its stable word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Released => "released",
            Self::Weighed => "weighed",
            Self::Mixed => "mixed",
            Self::Divided => "divided",
            Self::Baked => "baked",
            Self::Packed => "packed",
            Self::Sent => "sent",
            Self::Cancelled => "cancelled",
            Self::Lost => "lost",
        }
    }

    /// The state of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// Whether what it gives still counts against what is asked.
    #[must_use]
    pub const fn covers(self) -> bool {
        !matches!(self, Self::Cancelled | Self::Lost)
    }

    /// Whether what it takes is still to be taken from stock.
    #[must_use]
    pub const fn is_to_weigh(self) -> bool {
        matches!(self, Self::Released)
    }

    /// The states that a person may set next.
    ///
    /// What some loads never pass, such as dividing for a cream, can be left out; weighing
    /// and mixing cannot, because stock leaves and dough begins there.
    #[must_use]
    pub const fn next(self) -> &'static [Self] {
        match self {
            Self::Released => &[Self::Weighed, Self::Cancelled],
            Self::Weighed => &[Self::Mixed, Self::Lost],
            Self::Mixed => &[Self::Divided, Self::Baked, Self::Packed, Self::Sent, Self::Lost],
            Self::Divided => &[Self::Baked, Self::Packed, Self::Sent, Self::Lost],
            Self::Baked => &[Self::Packed, Self::Sent, Self::Lost],
            Self::Packed => &[Self::Sent, Self::Lost],
            Self::Sent | Self::Cancelled | Self::Lost => &[],
        }
    }
}

/// One weighed line of a held load.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldLine {
    /// What is taken.
    pub item: Code,
    /// Exactly: micrograms, or millionths of a piece.
    pub exact: Ratio,
    /// By the scale: micrograms, or millionths of a piece.
    pub micro: i64,
    /// Whether it is counted and not weighed.
    pub counted: bool,
    /// Whether it is drawn from a batch made before.
    pub previous_batch: bool,
}

/// What a held load takes of one item of stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldDraw {
    /// The item that is kept in stock: for zest and juice their fruit.
    pub item: Code,
    /// What leaves stock, in millionths of its base unit.
    pub micro: i64,
    /// What is weighed or counted of it: micrograms, or millionths of a piece.
    pub issue: Ratio,
    /// Whether it is counted and not weighed.
    pub counted: bool,
    /// The lots that were proposed, by id, each with millionths of the base unit.
    pub lots: Vec<(String, i64)>,
}

/// One load as it was released, and how far it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldLoad {
    /// The item that its formula makes.
    pub formula: Code,
    /// For which service date.
    pub service_date: Date,
    /// Its number among the loads of the formula and date, from 1; never given twice.
    pub number: i64,
    /// Which mix of its dough it belongs to, from 1, if the products on it need several.
    pub mix: u32,
    /// How far it is.
    pub state: LoadState,
    /// The start of its first step.
    pub starts_at: Timestamp,
    /// The mixer or pan.
    pub mixer: Option<Code>,
    /// From when to when it is in its mixer, if its formula says how long it mixes.
    pub mixes: Option<(Timestamp, Timestamp)>,
    /// What it weighs in the bowl, residue included, in micrograms.
    pub mass: Ratio,
    /// What stays in the bowl, in micrograms.
    pub residue: Ratio,
    /// Whole steps in it, such as pans or blocks.
    pub steps: Option<i64>,
    /// Its lines, in the order of its formula.
    pub lines: Vec<HeldLine>,
    /// What it takes from stock.
    pub draws: Vec<HeldDraw>,
    /// Whole pieces of each product that are to come of it.
    pub pieces: Vec<(Code, i64)>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_load_only_goes_forwards_and_ends() {
        for state in LoadState::ALL {
            assert_eq!(LoadState::parse(state.word()), Some(state));
            assert!(state.next().iter().all(|next| *next > state), "{state:?}");
        }
        assert!(LoadState::parse("draft").is_none());
    }
}
