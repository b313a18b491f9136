//! What happened around a lot as events: it came in, went into something, left the house.

use super::{
    bins,
    documents::Read,
    gather::{EntryMet, Graph, Key},
};
use crate::{
    service::{Refusal, stock},
    store::{Tx, orders},
};
use domain::{
    bakery::Bakery,
    movement::MovementKind,
    quantity::Unit,
    trace::{Direction, Part, Passage},
};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

/// A lot in an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventLot {
    /// Its id.
    pub id: String,
    /// How much of it, in millionths of its base unit.
    pub micro: i64,
    /// The base unit.
    pub unit: Unit,
}

/// What happened to lots.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EventKind {
    /// They came in.
    Came {
        /// Whether somebody else sent them.
        bought: bool,
    },
    /// They went into others.
    Made {
        /// The load or document, if it has a UUID.
        load: Option<String>,
    },
    /// They were filled into a bin, where they stay together until it is emptied.
    Filled {
        /// The filling: the entry with which it began.
        bin: String,
    },
    /// What was filled in together is no longer there.
    Emptied {
        /// The filling: the entry with which it began.
        bin: String,
    },
    /// They left the house.
    Sent {
        /// The order, by our own name for it: a UUID.
        order: Option<String>,
    },
}

/// Something that happened around a lot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TraceEvent {
    /// A UUID that names it, of the ledger entry or load behind it.
    pub id: String,
    /// What happened.
    pub kind: EventKind,
    /// When.
    pub at: Timestamp,
    /// What came in or went in.
    pub inputs: Vec<EventLot>,
    /// What came out, or left.
    pub outputs: Vec<EventLot>,
}

/// What a lot in events is called.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct EventLotName {
    /// Its id.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// The item or product.
    pub item: String,
    /// Last local date of use, and whether it is a use-by.
    pub last: Option<(String, bool)>,
}

/// Events around a lot, by time, and what their lots are called.
///
/// # Errors
/// As [`super::trace`].
pub fn events(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    lot: &str,
) -> Result<(Vec<TraceEvent>, Vec<EventLotName>), Refusal> {
    let mut found: BTreeMap<String, TraceEvent> = BTreeMap::new();
    let mut names = BTreeSet::new();
    for direction in [Direction::Back, Direction::Forwards] {
        let graph = Graph::around(tx, site, bakery, (lot, direction))?;
        for (passage, key) in graph.passages.iter().zip(&graph.of) {
            let event = made(&graph, passage, key)?;
            found.entry(event.id.clone()).or_insert(event);
        }
        for met in &graph.lots {
            let one = |entry: &EntryMet| -> Result<EventLot, Refusal> {
                let unit = stock::unit_of(&met.row.unit)?;
                Ok(EventLot { id: met.row.id.clone(), micro: entry.micro, unit })
            };
            for entry in &met.received {
                let kind = EventKind::Came { bought: met.row.supplier.is_some() };
                let (id, at, outputs) = (entry.movement.clone(), entry.at, vec![one(entry)?]);
                let event = TraceEvent { id, kind, at, inputs: Vec::new(), outputs };
                found.entry(event.id.clone()).or_insert(event);
            }
            for entry in &met.sent {
                let name = entry.document.as_deref().and_then(|text| text.strip_prefix("order:"));
                let order = match name {
                    Some(name) => orders::find(tx, site, name)?.map(|order| order.order_id),
                    None => None,
                };
                let kind = EventKind::Sent { order };
                let (id, at, outputs) = (entry.movement.clone(), entry.at, vec![one(entry)?]);
                let event = TraceEvent { id, kind, at, inputs: Vec::new(), outputs };
                found.entry(event.id.clone()).or_insert(event);
            }
        }
        for event in bins::events(tx, site, &graph.lots)? {
            let key = match &event.kind {
                EventKind::Emptied { .. } => format!("{} emptied", event.id),
                _ => format!("{} filled", event.id),
            };
            found.entry(key).or_insert(event);
        }
        names.extend(graph.lots.iter().map(name_of));
    }
    let mut events: Vec<TraceEvent> = found.into_values().collect();
    events.sort_by(|a, b| (a.at, &a.id).cmp(&(b.at, &b.id)));
    let used: BTreeSet<&str> = events
        .iter()
        .flat_map(|event| event.inputs.iter().chain(&event.outputs))
        .map(|lot| lot.id.as_str())
        .collect();
    let names = names.into_iter().filter(|name| used.contains(name.id.as_str())).collect();
    Ok((events, names))
}

fn name_of(met: &super::LotMet) -> EventLotName {
    let use_by = met.row.use_by.clone().map(|date| (date, true));
    EventLotName {
        id: met.row.id.clone(),
        name: met.row.name.clone(),
        item: met.row.item.clone(),
        last: use_by.or_else(|| met.row.best_before.clone().map(|date| (date, false))),
    }
}

fn made(graph: &Graph<'_>, passage: &Passage, key: &Key) -> Result<TraceEvent, Refusal> {
    let lots = |parts: &[Part]| -> Result<Vec<EventLot>, Refusal> {
        let one = |part: &Part| {
            let row = &graph.lots[part.lot as usize].row;
            let unit = stock::unit_of(&row.unit)?;
            Ok(EventLot { id: row.id.clone(), micro: part.micro, unit })
        };
        parts.iter().map(one).collect()
    };
    let (inputs, outputs) = (lots(&passage.inputs)?, lots(&passage.outputs)?);
    let load = match key {
        Key::Load(id) | Key::Past(id) => Some(id.clone()),
        Key::Document(name) => name.split_once(':').map(|(_, id)| id.to_owned()),
        Key::Entry(_) => None,
    };
    let read = graph.read.get(key);
    let entry =
        read.and_then(|read| first_entry(read, &outputs).or_else(|| first_entry(read, &inputs)));
    let id = entry.or_else(|| load.clone()).unwrap_or_default();
    Ok(TraceEvent { id, kind: EventKind::Made { load }, at: passage.at, inputs, outputs })
}

/// The ledger entry that made the first of some lots, or took of it.
fn first_entry(read: &Read, lots: &[EventLot]) -> Option<String> {
    let first = lots.first()?;
    let moves = |kind: &str| {
        !matches!(MovementKind::parse(kind), Some(MovementKind::Waste | MovementKind::Send) | None)
    };
    let found = read.rows.iter().find(|row| row.lot == first.id && moves(&row.kind));
    found.map(|row| row.id.clone())
}
