//! Which tub a line goes into, and so in which order a page is weighed.

use domain::{
    bakery::{Bakery, RecipeLine},
    equipment::PlaceKind,
    item::Item,
    quantity::Unit,
};

/// A tub, in the order in which tubs are filled.
///
/// The rule, first match wins: what a fruit gives is taken at the moment of use; what
/// counts as flour goes with flour; salt and yeast each have a tub of their own,
/// whatever else holds; our own doughs and creams stay in theirs; water, what is
/// stocked by volume and what has a density is liquid and comes last; what is kept
/// cold (fat, egg) waits apart; all else is dry. Yeast is what has the word `yeast`
/// in its code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tub {
    /// Flours together.
    Flour,
    /// Dry minors.
    Dry,
    /// Salt, never with yeast.
    Salt,
    /// Yeast, never with salt.
    Yeast,
    /// Fats, egg, all that is kept cold.
    Cold,
    /// Made here, in its own tub.
    Own,
    /// Water, milk, oil, honey.
    Liquid,
    /// Taken fresh when it is used.
    AtUse,
}

impl Tub {
    const ALL: [Self; 8] = [
        Self::Flour,
        Self::Dry,
        Self::Salt,
        Self::Yeast,
        Self::Cold,
        Self::Own,
        Self::Liquid,
        Self::AtUse,
    ];

    /// The tub of a word.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|tub| tub.word() == word)
    }

    /// What stands on the sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flour => "flour",
            Self::Dry => "dry",
            Self::Salt => "salt",
            Self::Yeast => "yeast",
            Self::Cold => "cold",
            Self::Own => "own tub",
            Self::Liquid => "liquid",
            Self::AtUse => "at use",
        }
    }
}

/// The tub of a formula's line.
pub(in crate::wire) fn tub(bakery: &Bakery, line: &RecipeLine, made: bool) -> Tub {
    let item = bakery.item(line.item);
    if bakery.index().fruit_of(line.item).is_some() {
        Tub::AtUse
    } else if line.flags.flour() {
        Tub::Flour
    } else if item.salt {
        Tub::Salt
    } else if item.code.as_str().split('-').any(|word| word == "yeast") {
        Tub::Yeast
    } else if made {
        Tub::Own
    } else if line.flags.water() || item.base_unit == Unit::Millilitre || item.density.is_some() {
        Tub::Liquid
    } else if kept_cold(bakery, item) {
        Tub::Cold
    } else {
        Tub::Dry
    }
}

fn kept_cold(bakery: &Bakery, item: &Item) -> bool {
    let place = item.place.as_ref().and_then(|code| bakery.index().place(code.as_str()));
    let kind = place.map(|place| bakery.lists().places[place as usize].kind);
    matches!(kind, Some(PlaceKind::Chiller | PlaceKind::Freezer | PlaceKind::Retarder))
}
