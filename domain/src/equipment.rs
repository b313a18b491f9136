//! Mixers, ovens and places.

use crate::{
    id::Code,
    ratio::Ratio,
    temperature::{Celsius, Kelvin},
};

/// A mixer, kettle or pan: what one load of it may weigh.
///
/// Masses in micrograms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mixer {
    /// Its name.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// Below this the hook does not catch.
    pub minimum_ug: i64,
    /// What stays in the bowl of each load.
    pub residue_ug: i64,
    /// Most dough of a class in one load, in listed order.
    pub maximum_ug: Vec<(String, i64)>,
    /// Minutes to wash it between doughs of different allergens.
    pub wash_minutes: i64,
    /// What its friction adds to a dough, as measured here.
    pub friction: Option<Kelvin>,
}

impl Mixer {
    /// Most dough of a class in one load, in micrograms.
    #[must_use]
    pub fn maximum_ug(&self, dough_class: &str) -> Option<i64> {
        self.maximum_ug.iter().find(|(class, _)| class == dough_class).map(|&(_, most)| most)
    }

    /// The residue as an exact mass in micrograms.
    #[must_use]
    pub const fn residue(&self) -> Ratio {
        Ratio::whole(self.residue_ug as i128)
    }
}

/// An oven.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Oven {
    /// Its name.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// Decks with a program of their own each.
    pub decks: i64,
    /// Trays in one filling of a deck.
    pub trays: i64,
    /// Minutes to load a deck.
    pub loading_minutes: i64,
    /// Seconds to heat a deck by one degree.
    pub heat_seconds_per_degree: i64,
    /// Seconds to cool a deck by one degree.
    pub cool_seconds_per_degree: i64,
}

/// What kind of place something is kept in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PlaceKind {
    /// Shelves at room temperature.
    Dry,
    /// A fridge.
    Chiller,
    /// A freezer.
    Freezer,
    /// Where the scales stand.
    WeighRoom,
    /// A cold proving cabinet.
    Retarder,
    /// A warm proving cabinet.
    Prover,
    /// Tables where hands divide and shape.
    Bench,
    /// A bin or silo: topped up before it is empty, it holds several lots at once.
    Bin,
    /// Where stock on hold waits.
    HoldCage,
}

/// Where things are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Its name.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// What kind it is.
    pub kind: PlaceKind,
    /// How many trays, boards or hands it holds at once; not counted if not said.
    pub slots: Option<i64>,
    /// How warm it usually is inside: proving times hold at this temperature.
    pub temperature: Option<Celsius>,
}
