//! All that is known of a lot, for whoever must call it back.

use super::{Planned, Traced, planned, trace};
use crate::{
    service::{
        Refusal,
        stock::{self, LotHeld},
    },
    state::State,
    store::Tx,
};
use domain::{bakery::Bakery, mass_balance::MassBalance, trace::Direction};

/// All that is known of a lot: what it came from, what it went into, who got it, what is left.
#[derive(Debug, Clone)]
pub struct Recall {
    /// The lot.
    pub lot: LotHeld,
    /// What it came from.
    pub back: Traced,
    /// What it went into.
    pub forwards: Traced,
    /// What is still to come of it.
    pub planned: Planned,
    /// Where its mass went, with that of its parts that are lots of their own.
    pub mass: MassBalance,
}

/// Reads all that is known of a lot.
///
/// # Errors
/// As [`trace`].
pub fn recall(state: &State, tx: &mut Tx, bakery: &Bakery, lot: &str) -> Result<Recall, Refusal> {
    let site = &state.site;
    let held = stock::find_lot(tx, site, bakery, lot)?;
    let back = trace(tx, site, bakery, (lot, Direction::Back))?;
    let forwards = trace(tx, site, bakery, (lot, Direction::Forwards))?;
    let planned = planned(state, tx, (lot, &forwards.lots))?;
    let mut mass = MassBalance::default();
    // Parts that were carried away are of generation 0, as the lot itself.
    for part in forwards.lots.iter().take_while(|part| part.reach.generation == 0) {
        mass.add(&part.mass);
    }
    Ok(Recall { lot: held, back, forwards, planned, mass })
}
