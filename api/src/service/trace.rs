//! Traces over the stock ledger, both ways: what a lot went into, and what it came from.

mod bins;
mod documents;
mod events;
mod gather;
mod planned;
mod reach;
mod recall;
mod recipients;
mod weights;

pub use events::{EventKind, EventLot, EventLotName, TraceEvent, events};
pub use gather::LotMet;
pub use planned::{Planned, PlannedUse, ShortBy, held_lots, planned};
pub use reach::{Reached, reach};
pub use recall::{Recall, recall};
pub use recipients::Recipient;

use super::{Refusal, book::date, plan::refused, stock};
use crate::store::{StoreError, Tx, trace as rows};
use documents::Read;
use domain::{
    bakery::Bakery,
    mass_balance::MassBalance,
    quantity::Unit,
    trace::{Direction, Part, PassageKind, Share, TraceInput, trace as walk},
};
use gather::{Graph, Key};
use jiff::{Timestamp, civil::Date};
use std::collections::BTreeMap;

/// A lot that a trace met.
#[derive(Debug, Clone)]
pub struct TracedLot {
    /// Its id.
    pub id: String,
    /// The name on the pack.
    pub name: String,
    /// The item or product.
    pub item: String,
    /// The base unit.
    pub unit: Unit,
    /// Who sent it, if it was bought.
    pub supplier: Option<String>,
    /// Local date on which it came or was made.
    pub received: Date,
    /// The word of its state, as it is stored.
    pub state: String,
    /// What is left at each place, in millionths of its base unit.
    pub left: Vec<(String, i64)>,
    /// Where its mass went.
    pub mass: MassBalance,
    /// How far it is.
    pub reach: Reach,
}

/// How far something is from the lot that is asked for.
#[derive(Debug, Clone)]
pub struct Reach {
    /// Loads and product lots passed, the shortest way.
    pub generation: u32,
    /// Its share.
    pub share: Share,
    /// Whether the share is known.
    pub known: bool,
    /// Whether the book says so; else it is only possible.
    pub certain: bool,
}

/// What a passage was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StepOf {
    /// A load of this book.
    Load {
        /// Its id.
        id: String,
        /// Code of its formula.
        formula: String,
        /// For which service date.
        service_date: Date,
        /// Its number.
        number: i64,
        /// The word of its state.
        state: String,
        /// Pieces that it was to give.
        pieces: Vec<(String, i64)>,
    },
    /// A load of the past.
    Past {
        /// Its id.
        id: String,
        /// What it was called.
        name: String,
        /// Code of its formula.
        formula: String,
    },
    /// Pieces that were made.
    Pieces {
        /// The document of their making.
        document: String,
    },
    /// A part that became a lot of its own.
    Split {
        /// The document of the move.
        document: String,
    },
    /// Something else that used it up.
    Other {
        /// The document, if there is one.
        document: Option<String>,
    },
}

/// A passage that a trace met.
#[derive(Debug, Clone)]
pub struct TracedStep {
    /// What it was.
    pub of: StepOf,
    /// When.
    pub at: Timestamp,
    /// How far it is.
    pub reach: Reach,
    /// What went in, of the lots that the trace met.
    pub took: Vec<TracedPart>,
    /// What came out, of the lots that the trace met.
    pub gave: Vec<TracedPart>,
}

impl TracedStep {
    /// Id of the load, else the document, if there is one.
    #[must_use]
    pub fn id(&self) -> Option<&str> {
        match &self.of {
            StepOf::Load { id, .. } | StepOf::Past { id, .. } => Some(id),
            StepOf::Pieces { document } | StepOf::Split { document } => Some(document),
            StepOf::Other { document } => document.as_deref(),
        }
    }
}

/// A lot at one end of a passage.
#[derive(Debug, Clone)]
pub struct TracedPart {
    /// Position among the lots of the trace.
    pub lot: usize,
    /// How much, in millionths of its base unit.
    pub micro: i64,
    /// Whether the book says so.
    pub certain: bool,
}

/// All that a lot went into, or came from.
#[derive(Debug, Clone)]
pub struct Traced {
    /// Which way.
    pub direction: Direction,
    /// Lots by generation; the lot itself first.
    pub lots: Vec<TracedLot>,
    /// Passages by generation, then time.
    pub steps: Vec<TracedStep>,
    /// Who got something of it; only forwards.
    pub recipients: Vec<Recipient>,
    /// Whether lots feed each other in a ring.
    pub ring: bool,
}

/// Traces a lot, one way.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such lot; `too-many` beyond what one trace meets.
pub fn trace(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    (lot, direction): (&str, Direction),
) -> Result<Traced, Refusal> {
    let graph = Graph::around(tx, site, bakery, (lot, direction))?;
    let came_micro: Vec<i64> = graph.lots.iter().map(|lot| lot.came_micro).collect();
    let origin = graph.number(lot)?;
    let input =
        TraceInput { passages: &graph.passages, came_micro: &came_micro, origin, direction };
    let found = walk(input).map_err(refused)?;
    let mut left = left_of(tx, site, &graph)?;
    let mut position = vec![None; graph.lots.len()];
    let mut lots = Vec::with_capacity(found.lots.len());
    for (at, reached) in found.lots.iter().enumerate() {
        position[reached.lot as usize] = Some(at);
        let domain::trace::ReachedLot { lot, generation, share, known, certain } = reached.clone();
        let reach = Reach { generation, share, known, certain };
        lots.push(traced_lot(&graph.lots[lot as usize], &mut left, reach)?);
    }
    let mut steps = Vec::with_capacity(found.passages.len());
    for reached in &found.passages {
        let domain::trace::ReachedPassage { passage, generation, share, known, certain } =
            reached.clone();
        let reach = Reach { generation, share, known, certain };
        steps.push(traced_step(&graph, passage as usize, reach, &position)?);
    }
    let recipients = match direction {
        Direction::Forwards => recipients::find(tx, site, &graph, (&lots, &steps, &position))?,
        Direction::Back => Vec::new(),
    };
    Ok(Traced { direction, lots, steps, recipients, ring: found.ring })
}

fn traced_lot(
    met: &LotMet,
    left: &mut BTreeMap<String, Vec<(String, i64)>>,
    reach: Reach,
) -> Result<TracedLot, Refusal> {
    let row = &met.row;
    Ok(TracedLot {
        id: row.id.clone(),
        name: row.name.clone(),
        item: row.item.clone(),
        unit: stock::unit_of(&row.unit)?,
        supplier: row.supplier.clone(),
        received: date(&row.received)?,
        state: row.state.clone(),
        left: left.remove(&row.id).unwrap_or_default(),
        mass: met.mass,
        reach,
    })
}

/// What is left of the lots of which something is, by lot and place.
fn left_of(
    tx: &mut Tx,
    site: &str,
    graph: &Graph<'_>,
) -> Result<BTreeMap<String, Vec<(String, i64)>>, StoreError> {
    let some = graph.lots.iter().filter(|met| met.mass.left_micro != 0);
    let ids: Vec<String> = some.map(|met| met.row.id.clone()).collect();
    let mut left: BTreeMap<String, Vec<(String, i64)>> = BTreeMap::new();
    for row in rows::balances_of(tx, site, &ids)?.into_iter().filter(|row| row.balance_micro != 0) {
        left.entry(row.lot).or_default().push((row.place, row.balance_micro));
    }
    Ok(left)
}

fn traced_step(
    graph: &Graph<'_>,
    passage: usize,
    reach: Reach,
    position: &[Option<usize>],
) -> Result<TracedStep, Refusal> {
    let (found, key) = (&graph.passages[passage], &graph.of[passage]);
    let parts = |parts: &[Part]| -> Vec<TracedPart> {
        let met = parts.iter().filter_map(|part| {
            let lot = position[part.lot as usize]?;
            Some(TracedPart { lot, micro: part.micro, certain: part.certain })
        });
        met.collect()
    };
    let of = step_of(graph, key, found)?;
    Ok(TracedStep {
        of,
        at: found.at,
        reach,
        took: parts(&found.inputs),
        gave: parts(&found.outputs),
    })
}

fn step_of(
    graph: &Graph<'_>,
    key: &Key,
    found: &domain::trace::Passage,
) -> Result<StepOf, Refusal> {
    let read = graph.read.get(key);
    let pieces = found.outputs.iter().any(|part| {
        graph.bakery.index().product(&graph.lots[part.lot as usize].row.item).is_some()
    });
    let document = |read: &Read| {
        let made = read.rows.iter().find(|row| {
            let lot = graph.number(&row.lot).ok();
            found.outputs.iter().any(|part| Some(part.lot) == lot) && row.document.is_some()
        });
        made.and_then(|row| row.document.clone())
    };
    Ok(match (key, read) {
        (Key::Load(_), Some(read)) if pieces && document(read).is_some() => {
            StepOf::Pieces { document: document(read).unwrap_or_default() }
        }
        (Key::Load(id), Some(Read { load: Some(load), .. })) => {
            let body: super::loads::LoadBody =
                serde_json::from_str(&load.body).map_err(|_| StoreError::Corrupt("load"))?;
            StepOf::Load {
                id: id.clone(),
                formula: load.formula.clone(),
                service_date: date(&load.service_date)?,
                number: load.number,
                state: load.state.clone(),
                pieces: body.pieces,
            }
        }
        (Key::Past(id), Some(Read { past: Some(past), .. })) => {
            StepOf::Past { id: id.clone(), name: past.name.clone(), formula: past.formula.clone() }
        }
        (Key::Document(name), _) if found.kind == PassageKind::Split => {
            StepOf::Split { document: name.clone() }
        }
        (Key::Document(name), _) if pieces => StepOf::Pieces { document: name.clone() },
        (Key::Document(name) | Key::Load(name), _) => {
            StepOf::Other { document: Some(name.clone()) }
        }
        _ => StepOf::Other { document: None },
    })
}
