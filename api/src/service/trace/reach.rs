//! What a hold reaches: what was planned, made and sent with the lot.

use super::{Planned, Traced, planned, trace};
use crate::{
    service::{Refusal, stock},
    state::State,
    store::{Tx, bins},
};
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
    let (forwards, mut notes) = match trace(tx, &state.site, bakery, (lot, Direction::Forwards)) {
        Ok(forwards) => (Some(forwards), Vec::new()),
        Err(Refusal::Store(error)) => return Err(error.into()),
        Err(other) => {
            (None, vec![format!("what was made and sent with it was not traced: {other}")])
        }
    };
    notes.extend(together(state, tx, bakery, lot)?);
    let reached = forwards.as_ref().map_or(&[][..], |forwards| &forwards.lots);
    let planned = planned(state, tx, (lot, reached))?;
    Ok(Reached { planned, forwards, notes })
}

/// What lies in one bin with a lot, in words: nothing of that bin may be used.
fn together(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    lot: &str,
) -> Result<Vec<String>, Refusal> {
    let stays = bins::of_lots(tx, &state.site, &[lot.to_owned()])?;
    let mut notes = Vec::new();
    for stay in stays.iter().filter(|stay| stay.emptied_at.is_none()) {
        let bin = stock::bin(tx, &state.site, state.now(), bakery, &stay.place)?;
        let others = bin.lots.iter().filter(|(other, ..)| other.id != lot);
        let others: Vec<&str> = others.map(|(other, ..)| other.name.as_str()).collect();
        let with = if others.is_empty() {
            String::new()
        } else {
            format!(", together with {}", others.join(", "))
        };
        notes.push(format!(
            "it lies in {}{with}: nothing of that bin is counted on while the lot is on hold",
            stay.place
        ));
    }
    Ok(notes)
}
