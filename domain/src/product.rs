//! Products: what is sold, and what one piece is made of.

use crate::{
    forecast::MissCosts, id::Code, labelling::ProductLabel, money::Money, quantity::Quantity,
    ratio::Ratio, temperature::Celsius,
};
use jiff::civil::{Date, Time};

/// A local time, some days before or on the service date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Days after the service date; before it is negative.
    pub day: i32,
    /// Local time of that day.
    pub time: Time,
}

/// Pieces made beyond what was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overs {
    /// None.
    None,
    /// Start pieces rounded up to whole trays.
    Tray,
    /// Good pieces rounded up to a multiple.
    Pack {
        /// Pieces in one pack.
        multiple: i64,
    },
    /// This many good pieces more.
    Fixed {
        /// How many.
        pieces: i64,
    },
}

/// What a make-up amount is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// One start piece.
    Piece,
    /// One tray begun.
    Tray,
}

/// How much of a formula or item a make-up line takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MakeUpAmount {
    /// A plain amount.
    Amount(Quantity),
    /// Parts of a batch, for formulas that are made by the batch.
    Batches(Ratio),
}

/// One thing that goes into a piece.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MakeUp {
    /// An item or formula.
    Item {
        /// Which.
        item: Code,
        /// How much of it.
        amount: MakeUpAmount,
        /// For what.
        per: Per,
        /// Whether its mass is part of the stated dough mass, as fruit mixed in.
        included: bool,
        /// When it is used; at the start of the service date's work if not said.
        at: Option<At>,
    },
    /// Another product, baked on another day.
    Product {
        /// Which.
        product: Code,
        /// Pieces of it in one piece.
        pieces: i64,
        /// Its bake date against the service date: -1 is day-old.
        day_offset: i32,
    },
}

/// A piece whose weight is stated as baked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Baked {
    /// The dough whose scale weight follows from it.
    pub dough: Code,
    /// What a good piece weighs when cold.
    pub mass: Quantity,
    /// Loss in the oven, percent.
    pub bake_loss_percent: Ratio,
    /// Loss while cooling, percent.
    pub cool_loss_percent: Ratio,
}

/// Trays of one product; two products never share one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tray {
    /// Pieces on a full tray.
    pub pieces: i64,
    /// Products of one group bake together.
    pub group: Option<String>,
}

impl Tray {
    /// Trays for some pieces, the last of them maybe not full.
    #[must_use]
    pub fn holding(&self, pieces: i64) -> i64 {
        let full = self.pieces.max(1);
        pieces.saturating_add(full - 1) / full
    }
}

/// How a product is baked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Baking {
    /// In which oven.
    pub oven: Code,
    /// Heat from above.
    pub top: Celsius,
    /// Heat from below.
    pub bottom: Celsius,
    /// Steam, as the oven hand says it.
    pub steam: Option<String>,
    /// Minutes in the oven.
    pub minutes: i64,
    /// Minutes until it may be packed.
    pub cool_minutes: i64,
    /// Core temperature that the site's own plan asks for; blank until somebody sets it.
    pub core: Option<Celsius>,
    /// What is done when it comes out: wash, syrup, sugar.
    pub finish: Option<String>,
}

/// How pieces that were baked in part are finished on the day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParBaked {
    /// The steps from the cold place to the drop.
    pub route: Code,
    /// Least and most minutes from their making to the start of that route, if anybody set
    /// them.
    pub age: Option<(i64, i64)>,
}

/// Pieces of a product that were begun and made for a service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PiecesMade {
    /// Which product.
    pub product: Code,
    /// For which service date.
    pub service_date: Date,
    /// Pieces that were begun.
    pub pieces: i64,
    /// The name of their lot.
    pub lot: String,
}

/// How a product is made ahead of orders by a forecast, as the house switched it on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MadeAhead {
    /// For whom pieces are made that nobody has ordered yet.
    pub customer: Code,
    /// Local time at which they must be there.
    pub drop: Time,
    /// What a piece too few and a piece too many cost.
    pub costs: MissCosts,
}

/// How long good pieces are sold, as the house decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SaleLife {
    /// Days after the bake date; 0 is that day alone.
    pub days: i64,
    /// Whether nobody may use them later, whatever anybody decides.
    pub is_use_by: bool,
}

/// What is sold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Product {
    /// Its name; never that of an item or formula.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// The dough whose loads its pieces are divided from.
    pub dough: Option<Code>,
    /// Finished pieces not fit to send, percent of start pieces.
    pub reject_percent: Ratio,
    /// Pieces cut or probed each day.
    pub test_pieces: i64,
    /// Pieces made beyond what was asked.
    pub overs: Overs,
    /// Its trays.
    pub tray: Option<Tray>,
    /// Its route to a drop.
    pub route: Option<Code>,
    /// How it is baked.
    pub baking: Option<Baking>,
    /// Last moment for changes of an order for it, against the service date.
    pub cutoff: Option<At>,
    /// Pieces in one sale unit.
    pub sale_pack: i64,
    /// How long a frozen piece thaws before it can be sent, in minutes.
    pub thaw_minutes: i64,
    /// How pieces baked in part are finished, if it is kept so.
    pub par_baked: Option<ParBaked>,
    /// What one good piece is sold for, tax apart; not known if nobody said.
    pub price: Option<Money>,
    /// How long its pieces are sold; not known if nobody decided.
    pub sale_life: Option<SaleLife>,
    /// Its weight as baked, if it is defined so.
    pub baked: Option<Baked>,
    /// What one piece is made of, in order.
    pub make_up: Vec<MakeUp>,
    /// What its label says.
    pub label: ProductLabel,
    /// Whether it is made ahead of orders by a forecast, and for whom; off if not said.
    pub made_ahead: Option<MadeAhead>,
}
