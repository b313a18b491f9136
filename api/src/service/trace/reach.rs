//! What a hold reaches: what was planned, made and sent with the lot.

use super::{Planned, Traced, planned, trace};
use crate::{service::Refusal, state::State, store::Tx};
use domain::{bakery::Bakery, trace::Direction};

/// What was planned, made and sent with a lot.
#[derive(Debug, Clone)]
pub struct Reached {
    /// What is still to come of it.
    pub planned: Planned,
    /// What it went into; none if that could not be traced.
    pub forwards: Option<Traced>,
    /// What could not be said.
    pub notes: Vec<String>,
}

/// Finds what a lot reaches; nothing but a broken store may stop a hold.
///
/// # Errors
/// [`Refusal::Store`]
pub fn reach(state: &State, tx: &mut Tx, bakery: &Bakery, lot: &str) -> Result<Reached, Refusal> {
    let (forwards, notes) = match trace(tx, &state.site, bakery, (lot, Direction::Forwards)) {
        Ok(forwards) => (Some(forwards), Vec::new()),
        Err(Refusal::Store(error)) => return Err(error.into()),
        Err(other) => {
            (None, vec![format!("what was made and sent with it was not traced: {other}")])
        }
    };
    let reached = forwards.as_ref().map_or(&[][..], |forwards| &forwards.lots);
    let planned = planned(state, tx, (lot, reached))?;
    Ok(Reached { planned, forwards, notes })
}
