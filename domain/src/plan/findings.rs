//! What a person should know of a plan.

use super::{CannotSet, ClashLever, NeedUser, NoFit, Plan, Spot};
use crate::{bakery::SwapError, id::Code, overrides::OverrideKind, ratio::Ratio};
use jiff::{Timestamp, civil::Date};

/// Something that a person should know, which stops nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Finding {
    /// A route fits no staffed hours.
    NoTime {
        /// The batch or the pieces that have no time.
        of: NeedUser,
        /// For which service date.
        service_date: Date,
        /// The drop it was wanted for, if there is one.
        drop: Option<Timestamp>,
        /// Why.
        no_fit: NoFit,
    },
    /// A product's orders say no drop, so that nobody knows when it must be ready.
    NoDrop {
        /// Position of the product.
        product: u32,
        /// For which service date.
        service_date: Date,
    },
    /// The products on one dough have no start in common: it is mixed several times.
    Split {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// Positions of the products of each mix.
        mixes: Vec<Vec<u32>>,
    },
    /// A station has no place for something at any of its times.
    Clash {
        /// The batch or the pieces.
        of: NeedUser,
        /// For which service date.
        service_date: Date,
        /// The station.
        spot: Spot,
        /// Fewest minutes by which its start would have to give; none if nothing helps.
        minutes: Option<i64>,
        /// What a person may choose from.
        levers: Vec<ClashLever>,
    },
    /// A load is under its mixer's minimum and nobody decided.
    UnderMinimum {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
    },
    /// A batch would take more loads than anybody mixes: it is left out of the plan.
    TooManyLoads {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
    },
    /// Released loads give more than is asked.
    Surplus {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// How much, in micrograms.
        ug: Ratio,
    },
    /// Released loads give too little for the overs, and enough for all orders.
    OversUsed {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// How much of it was for overs, in micrograms.
        ug: Ratio,
    },
    /// A person decided to do without.
    Dropped {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// How much is not made, in micrograms.
        ug: Ratio,
    },
    /// A person decided that less of a product is made than is asked.
    Decided {
        /// Position of the product.
        product: u32,
        /// For which service date.
        service_date: Date,
        /// Pieces asked by those who get less.
        asked: i64,
        /// Pieces that they get.
        kept: i64,
        /// Who decided, and why.
        by: String,
    },
    /// A substitute is used, as somebody signed for.
    Substituted {
        /// Its name.
        substitute: Code,
        /// For which service date.
        service_date: Date,
        /// The formulas and products in which it is used.
        used_in: Vec<Code>,
        /// Why the bakery cannot have it any more; none if it is used.
        lapsed: Option<SwapError>,
        /// Who signed, and why.
        by: String,
    },
    /// A formula changed between the release of a load and the draft of another.
    FormulaChanged {
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// Numbers of the loads that keep the version before.
        loads: Vec<i64>,
    },
    /// What was set by hand cannot be: the plan goes on without it.
    OverrideImpossible {
        /// For which service date.
        service_date: Date,
        /// What was set.
        kind: OverrideKind,
        /// Of which product or formula.
        code: Code,
        /// Why it cannot be.
        reason: CannotSet,
    },
    /// A topping is too little for any scale.
    ToppingRefused {
        /// Position of the product.
        product: u32,
        /// Position of the item.
        item: u32,
        /// For which service date.
        service_date: Date,
    },
    /// Something past its use-by date by then is in goods that are baked later.
    BakedAfterUseBy {
        /// Position of the item.
        item: u32,
        /// The name on the pack.
        lot: String,
        /// What takes it.
        user: NeedUser,
        /// When it is taken.
        at: Timestamp,
        /// For which service date.
        service_date: Date,
    },
    /// An order names a product or customer that is no longer known.
    UnknownInOrder {
        /// The product.
        product: Code,
        /// The customer.
        customer: Code,
    },
}

impl Plan {
    /// Puts findings in the order in which a whole plan notes them.
    pub(super) fn order_findings(&mut self) {
        self.sort_findings();
        // What is about no date stays in order, but that toppings come after orders and
        // before lots, by date and product.
        self.findings.sort_by_key(|finding| match finding {
            Finding::ToppingRefused { service_date, product, .. } => (1, *service_date, *product),
            Finding::BakedAfterUseBy { .. } => (2, Date::MIN, 0),
            _ => (0, Date::MIN, 0),
        });
    }

    /// By kind, date and what they are about; what is about no date comes last.
    pub(super) fn sort_findings(&mut self) {
        self.findings.sort_by_key(|finding| match finding {
            Finding::NoTime { service_date, of, .. } => (0, *service_date, Some(*of)),
            Finding::UnderMinimum { service_date, item } => {
                (1, *service_date, Some(NeedUser::Formula(*item)))
            }
            Finding::TooManyLoads { service_date, item } => {
                (2, *service_date, Some(NeedUser::Formula(*item)))
            }
            Finding::NoDrop { service_date, product } => {
                (3, *service_date, Some(NeedUser::Product(*product)))
            }
            Finding::Split { service_date, item, .. } => {
                (4, *service_date, Some(NeedUser::Formula(*item)))
            }
            Finding::Clash { service_date, of, .. } => (5, *service_date, Some(*of)),
            Finding::Surplus { service_date, item, .. }
            | Finding::OversUsed { service_date, item, .. }
            | Finding::Dropped { service_date, item, .. }
            | Finding::FormulaChanged { service_date, item, .. } => {
                (6, *service_date, Some(NeedUser::Formula(*item)))
            }
            Finding::Decided { service_date, product, .. } => {
                (5, *service_date, Some(NeedUser::Product(*product)))
            }
            Finding::Substituted { service_date, .. } => (5, *service_date, None),
            Finding::OverrideImpossible { .. }
            | Finding::BakedAfterUseBy { .. }
            | Finding::ToppingRefused { .. }
            | Finding::UnknownInOrder { .. } => (7, Date::MIN, None),
        });
    }
}
