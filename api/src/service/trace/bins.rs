//! Bins as events: what was filled in together, and when it was emptied.

use super::{
    LotMet,
    events::{EventKind, EventLot, TraceEvent},
};
use crate::{
    service::{Refusal, stock},
    store::{
        Tx,
        bins::{self, BinLotRow},
        instant,
        trace::{self as rows, TraceRow},
    },
};
use domain::movement::MovementKind;
use std::collections::BTreeMap;

/// Fillings of bins with some lots, and how those fillings ended.
///
/// A filling is named by the entry with which it began, so that every lot of it names the
/// same one.
///
/// # Errors
/// [`Refusal::Store`]
pub(super) fn events(tx: &mut Tx, site: &str, lots: &[LotMet]) -> Result<Vec<TraceEvent>, Refusal> {
    let ids: Vec<String> = lots.iter().map(|met| met.row.id.clone()).collect();
    let units: BTreeMap<&str, &str> =
        lots.iter().map(|met| (met.row.id.as_str(), met.row.unit.as_str())).collect();
    let mut events = Vec::new();
    for stay in bins::of_lots(tx, site, &ids)? {
        let Some(bin) = filling(tx, site, &stay)? else { continue };
        let unit = stock::unit_of(units.get(stay.lot.as_str()).copied().unwrap_or_default())?;
        for entry in fills(tx, site, &stay)? {
            let lot = EventLot { id: stay.lot.clone(), micro: entry.amount_micro, unit };
            let at = instant::read(&entry.happened_at)?;
            let kind = EventKind::Filled { bin: bin.clone() };
            events.push(TraceEvent {
                id: entry.id,
                kind,
                at,
                inputs: Vec::new(),
                outputs: vec![lot],
            });
        }
        if let Some(at) = &stay.emptied_at {
            let (at, kind) = (instant::read(at)?, EventKind::Emptied { bin: bin.clone() });
            events.push(TraceEvent { id: bin, kind, at, inputs: Vec::new(), outputs: Vec::new() });
        }
    }
    Ok(events)
}

/// The entry with which the filling of a stay began.
fn filling(tx: &mut Tx, site: &str, stay: &BinLotRow) -> Result<Option<String>, Refusal> {
    let until = stay.emptied_at.as_deref();
    let Some(first) = bins::first_of(tx, site, (&stay.place, until))? else { return Ok(None) };
    Ok(fills(tx, site, &first)?.into_iter().next().map(|entry| entry.id))
}

/// Entries that brought a lot into its bin during a stay, as they were written; what was taken
/// back did not happen.
fn fills(tx: &mut Tx, site: &str, stay: &BinLotRow) -> Result<Vec<TraceRow>, Refusal> {
    let entries = rows::of_lots(tx, site, std::slice::from_ref(&stay.lot))?;
    let taken_back: Vec<String> = entries.iter().filter_map(|row| row.reverses.clone()).collect();
    let brings = |row: &TraceRow| {
        let kind = MovementKind::parse(&row.kind);
        matches!(kind, Some(MovementKind::Move | MovementKind::Receive))
            && row.place == stay.place
            && row.amount_micro > 0
            && row.happened_at >= stay.entered_at
            && stay.emptied_at.as_ref().is_none_or(|emptied| row.happened_at <= *emptied)
            && !taken_back.contains(&row.id)
    };
    Ok(entries.into_iter().filter(brings).collect())
}
