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
use std::collections::{BTreeMap, BTreeSet};

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
    let stays = bins::of_lots(tx, site, &ids)?;
    let met: BTreeSet<String> = stays.iter().map(|stay| stay.lot.clone()).collect();
    let mut entries = Entries::read(tx, site, &met.into_iter().collect::<Vec<_>>())?;
    let mut events = Vec::new();
    for stay in stays {
        let Some(bin) = entries.filling(tx, site, &stay)? else { continue };
        let unit = stock::unit_of(units.get(stay.lot.as_str()).copied().unwrap_or_default())?;
        for entry in entries.fills(&stay) {
            let lot = EventLot { id: stay.lot.clone(), micro: entry.amount_micro, unit };
            let at = instant::read(&entry.happened_at)?;
            let kind = EventKind::Filled { bin: bin.clone() };
            events.push(TraceEvent {
                id: entry.id.clone(),
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

/// Entries by lot, as they were written; those of each lot are read once.
struct Entries(BTreeMap<String, Vec<TraceRow>>);

impl Entries {
    fn read(tx: &mut Tx, site: &str, lots: &[String]) -> Result<Self, Refusal> {
        let mut by_lot: BTreeMap<String, Vec<TraceRow>> = BTreeMap::new();
        for row in rows::of_lots(tx, site, lots)? {
            by_lot.entry(row.lot.clone()).or_default().push(row);
        }
        Ok(Self(by_lot))
    }

    /// The entry with which the filling of a stay began.
    fn filling(
        &mut self,
        tx: &mut Tx,
        site: &str,
        stay: &BinLotRow,
    ) -> Result<Option<String>, Refusal> {
        let until = stay.emptied_at.as_deref();
        let Some(first) = bins::first_of(tx, site, (&stay.place, until))? else { return Ok(None) };
        if !self.0.contains_key(&first.lot) {
            let Self(more) = Self::read(tx, site, std::slice::from_ref(&first.lot))?;
            self.0.extend(more);
        }
        Ok(self.fills(&first).first().map(|entry| entry.id.clone()))
    }

    /// Entries that brought a lot into its bin during a stay; what was taken back did not happen.
    fn fills(&self, stay: &BinLotRow) -> Vec<&TraceRow> {
        let entries = self.0.get(&stay.lot).map_or(&[][..], Vec::as_slice);
        let is_taken_back =
            |id: &str| entries.iter().any(|row| row.reverses.as_deref() == Some(id));
        let brings = |row: &&TraceRow| {
            let kind = MovementKind::parse(&row.kind);
            matches!(kind, Some(MovementKind::Move | MovementKind::Receive))
                && row.place == stay.place
                && row.amount_micro > 0
                && row.happened_at >= stay.entered_at
                && stay.emptied_at.as_ref().is_none_or(|emptied| row.happened_at <= *emptied)
                && !is_taken_back(&row.id)
        };
        entries.iter().filter(brings).collect()
    }
}
