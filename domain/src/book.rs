//! What happened: orders taken, lots in the house, loads released, plans overridden.

use crate::{
    bakery::SwapError,
    decision::Cap,
    id::Code,
    load::HeldLoad,
    lot::Lot,
    order::{OrderChange, OrderLine},
    overrides::Override,
    product::PiecesMade,
    sign_off::SignOff,
};
use jiff::{Timestamp, civil::Date};

/// Everything that changes from hour to hour, as a plan needs it.
///
/// The order of its rows never changes an answer.
#[derive(Debug, Clone, Default)]
pub struct Book {
    /// Order lines that are held now.
    pub orders: Vec<OrderLine>,
    /// Service dates that have an order, even if all its lines are cancelled.
    pub service_dates: Vec<Date>,
    /// Of these, dates whose standing orders may still change: their orders are not in yet.
    pub open_dates: Vec<Date>,
    /// What is made ahead of orders, as par and forecast say it; what orders leave of it
    /// stands among the orders.
    pub ahead: Vec<OrderLine>,
    /// Lots in the house or on their way.
    pub lots: Vec<Lot>,
    /// When each item was last counted. Planned needs since then are not in its figures
    /// yet, even if their time has passed; those of items never counted are.
    pub counted: Vec<(Code, Timestamp)>,
    /// Loads that were released, by service date, formula and number; lost ones too.
    pub held: Vec<HeldLoad>,
    /// Pieces that were made for service dates of the plan: what went onto or into them is
    /// in the ledger.
    pub made: Vec<PiecesMade>,
    /// What people set by hand, at most one of a kind for a date and code.
    pub overrides: Vec<Override>,
    /// What was decided where there is too little; applied to the orders already.
    pub caps: Vec<Cap>,
    /// Substitutes in use, as signed for.
    pub sign_offs: Vec<SignOff>,
    /// Sign-offs that the bakery as it is now cannot have, with the reason.
    pub lapsed: Vec<(SignOff, SwapError)>,
}

impl Book {
    /// Changes the order lines; service dates stay as they are.
    pub fn change(&mut self, change: &OrderChange) {
        for gone in &change.gone {
            if let Some(at) = self.orders.iter().position(|line| line == gone) {
                self.orders.swap_remove(at);
            }
        }
        self.orders.extend_from_slice(&change.come);
        crate::demand::make_ahead(self);
    }

    /// The moment for which the figures of an item stand: its last count, or `now`.
    #[must_use]
    pub fn stands_at(&self, item: &Code, now: Timestamp) -> Timestamp {
        let counts = self.counted.iter().filter(|(counted, _)| counted == item);
        counts.map(|&(_, at)| at).max().unwrap_or(now).min(now)
    }
}
