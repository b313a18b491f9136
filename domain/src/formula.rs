//! Formulas: ingredients and parts for a dough, filling or finish.

use crate::{id::Code, product::At, quantity::Quantity, ratio::Ratio, temperature::Celsius};
use jiff::civil::{Date, Time};

/// Which of a bread formula's two views is stored; the other is derived.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// What goes into the bowl.
    FinalMix,
    /// With preferments dissolved into their parts.
    Overall,
}

/// What a formula's lines are measured against, and what drives its size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Base {
    /// Percent of the flour: flours together are 100.
    PercentOfFlour(View),
    /// Parts by weight.
    Parts,
    /// Amounts for one batch ("one pan").
    PerBatch {
        /// What a batch gives, if it is weighed.
        makes: Option<Quantity>,
        /// The smallest part of a batch that is made: 1, or a half.
        step: Ratio,
    },
    /// Amounts for a number of pieces ("makes 24").
    PerPieces {
        /// How many pieces.
        pieces: Quantity,
        /// The smallest part of a batch that is made.
        step: Ratio,
    },
    /// Amounts for one tray.
    PerTray {
        /// How many pieces a tray gives.
        pieces: Quantity,
        /// The smallest part of a tray that is made.
        step: Ratio,
    },
    /// Base dough with a sheet of roll-in fat per block.
    Blocks(Blocks),
}

/// Lamination in whole blocks: one fat sheet to each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Blocks {
    /// The base dough (detrempe).
    pub base: Code,
    /// The fat sheet.
    pub sheet: Code,
    /// What one sheet weighs.
    pub sheet_mass: Quantity,
    /// Roll-in fat, in percent of the base dough.
    pub percent: Ratio,
    /// Blocks are made in multiples of this.
    pub step: i64,
}

/// How much of an item a line takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineAmount {
    /// Percent of flour, or parts by weight.
    Parts(Ratio),
    /// Percent of the finished base dough: an inclusion.
    OfBaseDough(Ratio),
    /// Overall view: this share of all flour is fermented in the sub-formula, in percent.
    PrefermentedFlour(Ratio),
    /// A plain amount per batch.
    Amount(Quantity),
}

/// One line of a formula.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The item or sub-formula that it takes.
    pub item: Code,
    /// How much.
    pub amount: LineAmount,
    /// Whether it counts as flour.
    pub flour: bool,
    /// Whether it is drawn from a batch made before, such as the seed of a levain.
    pub previous_batch: bool,
    /// The scale division may be at most this percent of the line.
    pub precision_percent: Option<Ratio>,
    /// Whether it goes into the mixer with the rest.
    pub in_bowl: bool,
    /// What is asked of the old dough that a line from a previous batch takes.
    pub old_dough: Option<OldDough>,
}

/// What a line asks of the fermented dough that it carries over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OldDough {
    /// Least and most age when it goes in, in minutes.
    pub age_minutes: (i64, i64),
    /// Most of it, in percent of the new flour.
    pub most_percent: Option<Ratio>,
}

/// When a kept dough is divided into pieces.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Divide {
    /// At a local time, days before or on the service date.
    At(At),
    /// At the start of a step of a route that ends at a drop.
    Step {
        /// The route.
        route: Code,
        /// The step of it at which the dough is divided.
        step: String,
        /// The local time of the drop on the service date.
        drop: jiff::civil::Time,
    },
}

/// What is kept of a made thing, and what becomes of it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Keeping {
    /// When it is divided: its age is read here, and kept dough counts here.
    pub divide: Option<Divide>,
    /// How long its seed lives after a build, in minutes; fed again before that ends.
    pub seed_life_minutes: Option<i64>,
    /// Age from which it is at its best, in minutes.
    pub best_age_minutes: Option<i64>,
    /// Old dough that each mix keeps for a later one.
    pub keep_for_next: Option<Quantity>,
}

/// One stage at which something is lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loss {
    /// Its name in the trade: scrap, ferment, trim, pot, deposit, use, cook.
    pub stage: String,
    /// Percent of what enters the stage; below 100.
    pub percent: Ratio,
}

/// When a formula is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Made {
    /// At a local time, days before or on the service date.
    At {
        /// When it should start.
        at: At,
        /// It may start as late as this on the same local day; exactly then if not said.
        until: Option<Time>,
    },
    /// At the start of a step of a route that ends at a drop.
    Step {
        /// The route.
        route: Code,
        /// The step of it at which this is made.
        step: String,
        /// The local time of the drop on the service date.
        drop: Time,
    },
    /// When the routes of all products on this dough allow it.
    Products {
        /// The step of each route at which this is made.
        step: String,
    },
}

/// When an ingredient goes into a mix that is running.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Addition {
    /// Which ingredient.
    pub item: Code,
    /// Minutes after the mixer starts.
    pub minute: i64,
}

/// How a load is mixed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mixing {
    /// Minutes on slow speed.
    pub slow_minutes: i64,
    /// Minutes on fast speed.
    pub fast_minutes: i64,
    /// Minutes between two loads.
    pub between_minutes: i64,
    /// How warm the dough should be when it comes out.
    pub target: Option<Celsius>,
    /// What goes in later than at the start, in order of addition.
    pub additions: Vec<Addition>,
}

impl Mixing {
    /// Minutes for which one load occupies the mixer.
    #[must_use]
    pub const fn minutes(&self) -> i64 {
        self.slow_minutes + self.fast_minutes
    }
}

/// One dated version of a formula.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Formula {
    /// Its name; it makes the item of the same code.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// First service date for which it holds.
    pub valid_from: Date,
    /// What its lines are measured against.
    pub base: Base,
    /// Its class in a mixer: lean, enriched, stiff.
    pub dough_class: Option<String>,
    /// The mixer or pan it is made in.
    pub mixer: Option<Code>,
    /// Its lines in order of addition.
    pub lines: Vec<Line>,
    /// Its losses, in order from the bowl to the piece.
    pub losses: Vec<Loss>,
    /// When it is made.
    pub made: Made,
    /// How a load of it is mixed.
    pub mixing: Option<Mixing>,
    /// Levain: what the last build of a plan keeps back as seed.
    pub keep_back_after_last: Option<Quantity>,
    /// Whether its water is bound and left out of the dough's hydration.
    pub soaker: bool,
    /// Least and most free water that it is meant to have, in percent of all flour.
    pub hydration_band: Option<(Ratio, Ratio)>,
    /// Least and most age at use, in minutes.
    pub age_window_minutes: Option<(i64, i64)>,
    /// How long it keeps, in minutes.
    pub life_minutes: Option<i64>,
    /// What is kept of it.
    pub keeping: Keeping,
}
