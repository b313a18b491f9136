//! Mixers, ovens and places.

use crate::{id::Code, ratio::Ratio};

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
    /// Trays in one filling.
    pub trays: i64,
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
}
