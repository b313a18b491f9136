//! Nutrients of ingredients, per 100 g, each with a value or without one.

use crate::ratio::Ratio;

/// What a nutrient is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NutrientUnit {
    /// Kilocalories.
    Kilocalorie,
    /// Grams.
    Gram,
    /// Milligrams.
    Milligram,
    /// Micrograms.
    Microgram,
}

impl NutrientUnit {
    /// Its symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Kilocalorie => "kcal",
            Self::Gram => "g",
            Self::Milligram => "mg",
            Self::Microgram => "µg",
        }
    }
}

macro_rules! nutrients {
    ($($(#[$doc:meta])* $name:ident, $word:literal, $unit:ident;)*) => {
        /// A nutrient; carbohydrate is what is left by difference, fibre included.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Nutrient {
            $($(#[$doc])* $name,)*
        }

        impl Nutrient {
            /// All nutrients, in the order of their positions.
            pub const ALL: [Self; NUTRIENTS] = [$(Self::$name,)*];

            /// Its stable word.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$name => $word,)* }
            }

            /// What it is measured in.
            #[must_use]
            pub const fn unit(self) -> NutrientUnit {
                match self { $(Self::$name => NutrientUnit::$unit,)* }
            }
        }
    };
}

/// How many nutrients there are.
pub const NUTRIENTS: usize = 17;

nutrients! {
    /// Energy by the specific factors of the food.
    Energy, "energy", Kilocalorie;
    /// Protein.
    Protein, "protein", Gram;
    /// Fat.
    Fat, "fat", Gram;
    /// Saturated fatty acids.
    Saturates, "saturates", Gram;
    /// Trans fatty acids.
    Trans, "trans", Gram;
    /// Carbohydrate by difference, fibre included.
    Carbohydrate, "carbohydrate", Gram;
    /// Dietary fibre.
    Fibre, "fibre", Gram;
    /// All sugars.
    Sugars, "sugars", Gram;
    /// Sugars that were added as such.
    AddedSugars, "added_sugars", Gram;
    /// Alcohol.
    Alcohol, "alcohol", Gram;
    /// Polyols.
    Polyols, "polyols", Gram;
    /// Cholesterol.
    Cholesterol, "cholesterol", Milligram;
    /// Sodium.
    Sodium, "sodium", Milligram;
    /// Vitamin D.
    VitaminD, "vitamin_d", Microgram;
    /// Calcium.
    Calcium, "calcium", Milligram;
    /// Iron.
    Iron, "iron", Milligram;
    /// Potassium.
    Potassium, "potassium", Milligram;
}

impl Nutrient {
    /// The nutrient of a word.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|nutrient| nutrient.word() == word)
    }

    /// Whether a food that says nothing of it is taken to have none: tables state it only
    /// where there is some.
    #[must_use]
    pub const fn none_unless_stated(self) -> bool {
        matches!(self, Self::Alcohol | Self::Polyols)
    }
}

/// What 100 g of an item hold.
///
/// A nutrient without a value is not known, which is never the same as none of it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Nutrients {
    /// By position of the nutrient.
    pub per_100g: [Option<Ratio>; NUTRIENTS],
    /// Where the values are from; none if nobody said any.
    pub source: Option<String>,
    /// Values that stand in the place of that source's, each with its own.
    pub overrides: Vec<(Nutrient, String)>,
}

impl Nutrients {
    /// What 100 g hold of a nutrient.
    #[must_use]
    pub const fn of(&self, nutrient: Nutrient) -> Option<Ratio> {
        self.per_100g[nutrient as usize]
    }
}
