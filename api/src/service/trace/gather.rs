//! Reads the ledger around a lot, generation by generation, into what the domain walks.

use super::{
    documents::{self, Read},
    weights::Weights,
};
use crate::{
    service::Refusal,
    store::{StoreError, Tx, instant, lots::LotRow, past_loads, trace as rows, trace::TraceRow},
};
use domain::{
    bakery::Bakery,
    mass_balance::MassBalance,
    movement::MovementKind,
    ratio::Ratio,
    trace::{Direction, LOTS_MAX, Passage, Posting},
};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

/// A lot that was met, with what its own entries say.
#[derive(Debug, Clone)]
pub struct LotMet {
    /// The lot.
    pub row: LotRow,
    /// All that ever came into it, in millionths of its base unit.
    pub came_micro: i64,
    /// Where its mass went; what is left is the sum of its entries.
    pub mass: MassBalance,
    /// What came in of it from outside.
    pub received: Vec<EntryMet>,
    /// What left the house of it.
    pub sent: Vec<EntryMet>,
    /// The documents that it went into, or came from.
    pub(super) keys: Vec<Key>,
    weight: Option<Ratio>,
}

/// An entry of a lot that came in or left the house.
#[derive(Debug, Clone)]
pub struct EntryMet {
    /// Id of the ledger entry.
    pub movement: String,
    /// The document behind it.
    pub document: Option<String>,
    /// How much, in millionths of its base unit.
    pub micro: i64,
    /// When.
    pub at: Timestamp,
}

/// What groups entries that belong together.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Key {
    /// A load, by its id.
    Load(String),
    /// A load of the past, by its id.
    Past(String),
    /// Another document, by its name.
    Document(String),
    /// An entry that names no document, by its id.
    Entry(String),
}

impl Key {
    fn of(row: &TraceRow) -> Self {
        match (&row.load, &row.document) {
            (Some(load), _) => Self::Load(load.clone()),
            (None, Some(document)) => Self::Document(document.clone()),
            (None, None) => Self::Entry(row.id.clone()),
        }
    }
}

/// Everything around a lot that a trace may meet.
pub struct Graph<'a> {
    pub(super) bakery: &'a Bakery,
    /// Lots by their number.
    pub lots: Vec<LotMet>,
    /// The ways between them.
    pub passages: Vec<Passage>,
    /// The document of each passage.
    pub of: Vec<Key>,
    numbers: BTreeMap<String, u32>,
    documents: BTreeMap<Key, Vec<u32>>,
    weights: Weights,
    /// What was read of each document.
    pub read: BTreeMap<Key, Read>,
}

impl<'a> Graph<'a> {
    /// Reads everything that a lot went into or came from.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]; `too-many` beyond what one trace meets.
    pub fn around(
        tx: &mut Tx,
        site: &str,
        bakery: &'a Bakery,
        (lot, direction): (&str, Direction),
    ) -> Result<Self, Refusal> {
        let mut graph = Self {
            bakery,
            lots: Vec::new(),
            passages: Vec::new(),
            of: Vec::new(),
            numbers: BTreeMap::new(),
            documents: BTreeMap::new(),
            weights: Weights::default(),
            read: BTreeMap::new(),
        };
        graph.meet(tx, site, &BTreeSet::from([lot.to_owned()]))?;
        let mut seen = BTreeSet::new();
        let mut frontier = vec![graph.number(lot)?];
        seen.extend(frontier.iter().copied());
        while !frontier.is_empty() {
            graph.read_lots(tx, site, &frontier, direction)?;
            graph.read_documents(tx, site, &frontier)?;
            let mut next = Vec::new();
            for &lot in &frontier {
                for found in graph.beyond(lot, direction) {
                    if seen.insert(found) {
                        next.push(found);
                    }
                }
            }
            frontier = next;
        }
        Ok(graph)
    }

    /// The number of a lot that was met.
    ///
    /// # Errors
    /// [`Refusal::Unknown`]
    pub fn number(&self, lot: &str) -> Result<u32, Refusal> {
        let unknown = || Refusal::Unknown { noun: "lot", code: lot.to_owned() };
        self.numbers.get(lot).copied().ok_or_else(unknown)
    }

    /// Numbers lots that nobody met before.
    pub(super) fn meet(
        &mut self,
        tx: &mut Tx,
        site: &str,
        lots: &BTreeSet<String>,
    ) -> Result<(), Refusal> {
        let new: Vec<String> =
            lots.iter().filter(|lot| !self.numbers.contains_key(*lot)).cloned().collect();
        for row in rows::lots_of(tx, site, &new)? {
            let weight = self.weights.of(self.bakery, &row)?;
            let number = u32::try_from(self.lots.len()).unwrap_or(u32::MAX);
            if self.lots.len() >= LOTS_MAX {
                let detail = format!(
                    "more than {LOTS_MAX} lots hang together with this one: ask for a lot further \
                     on, or read the ledger by lot"
                );
                return Err(Refusal::stated("too-many", detail));
            }
            self.numbers.insert(row.id.clone(), number);
            self.lots.push(LotMet {
                row,
                came_micro: 0,
                mass: MassBalance::default(),
                received: Vec::new(),
                sent: Vec::new(),
                keys: Vec::new(),
                weight,
            });
        }
        Ok(())
    }

    /// Reads all entries of some lots: where their mass went, and which documents are behind.
    fn read_lots(
        &mut self,
        tx: &mut Tx,
        site: &str,
        frontier: &[u32],
        direction: Direction,
    ) -> Result<(), Refusal> {
        let ids: Vec<String> =
            frontier.iter().map(|&at| self.lots[at as usize].row.id.clone()).collect();
        for row in standing(rows::of_lots(tx, site, &ids)?) {
            let number = self.number(&row.lot)?;
            let posting = self.posting(number, &row)?;
            let lot = &mut self.lots[number as usize];
            lot.mass.enter(posting.kind, row.amount_micro);
            lot.mass.left_micro = lot.mass.left_micro.saturating_add(row.amount_micro);
            if posting.comes_out() {
                lot.came_micro = lot.came_micro.saturating_add(row.amount_micro);
            }
            let list = match posting.kind {
                MovementKind::Send => Some(&mut lot.sent),
                MovementKind::Receive => Some(&mut lot.received),
                _ => None,
            };
            if let Some(list) = list {
                let (movement, document) = (row.id.clone(), row.document.clone());
                let micro = row.amount_micro.saturating_abs();
                list.push(EntryMet { movement, document, micro, at: posting.at });
            }
            let goes_on = match direction {
                Direction::Forwards => posting.goes_in(),
                Direction::Back => posting.comes_out(),
            };
            if goes_on {
                let key = Key::of(&row);
                lot.keys.push(key.clone());
                if matches!(key, Key::Entry(_)) {
                    self.read.entry(key).or_default().rows.push(row);
                }
            }
        }
        let wanted = match direction {
            Direction::Forwards => documents::USE,
            Direction::Back => documents::MAKE,
        };
        for line in past_loads::lines_of_lots(tx, site, &ids)? {
            let Some(lot) = &line.lot else { continue };
            let number = self.number(lot)?;
            let lot = &mut self.lots[number as usize];
            if line.kind == documents::MAKE {
                lot.came_micro = lot.came_micro.saturating_add(line.amount_micro);
            }
            if line.kind == wanted {
                lot.keys.push(Key::Past(line.past_load));
            }
        }
        for &at in frontier {
            let lot = &mut self.lots[at as usize];
            // What was made here came in by its receipt only if nobody wrote its making down.
            if lot.came_micro == 0 {
                lot.came_micro = lot.mass.came_micro;
            }
            lot.keys.sort_unstable();
            lot.keys.dedup();
        }
        Ok(())
    }

    /// Reads the documents behind some lots, and the lots that these name.
    fn read_documents(&mut self, tx: &mut Tx, site: &str, frontier: &[u32]) -> Result<(), Refusal> {
        let keys = frontier.iter().flat_map(|&at| &self.lots[at as usize].keys);
        let new: BTreeSet<Key> =
            keys.filter(|key| !self.documents.contains_key(key)).cloned().collect();
        for (key, read) in documents::read(tx, site, &new)? {
            let alone = self.read.remove(&key);
            let read = alone.unwrap_or(read);
            let lots = read.rows.iter().map(|row| row.lot.clone());
            let past = read.lines.iter().filter_map(|line| line.lot.clone());
            self.meet(tx, site, &lots.chain(past).collect())?;
            let passages = read.passages(self)?;
            let first = u32::try_from(self.passages.len()).unwrap_or(u32::MAX);
            let after = first.saturating_add(u32::try_from(passages.len()).unwrap_or(u32::MAX));
            self.of.extend(passages.iter().map(|_| key.clone()));
            self.passages.extend(passages);
            self.documents.insert(key.clone(), (first..after).collect());
            self.read.insert(key, read);
        }
        Ok(())
    }

    /// The lots one passage further.
    fn beyond(&self, lot: u32, direction: Direction) -> Vec<u32> {
        let keys = self.lots[lot as usize].keys.iter();
        let passages = keys.filter_map(|key| self.documents.get(key)).flatten();
        let mut found = Vec::new();
        for &at in passages {
            let passage = &self.passages[at as usize];
            let (from, to) = match direction {
                Direction::Forwards => (&passage.inputs, &passage.outputs),
                Direction::Back => (&passage.outputs, &passage.inputs),
            };
            if from.iter().any(|part| part.lot == lot) {
                found.extend(to.iter().map(|part| part.lot));
            }
        }
        found
    }

    /// An entry as the domain reads it.
    pub(super) fn posting(&self, lot: u32, row: &TraceRow) -> Result<Posting, StoreError> {
        let kind = MovementKind::parse(&row.kind).ok_or(StoreError::Corrupt("movement"))?;
        Ok(Posting {
            lot,
            kind,
            micro: row.amount_micro,
            weight: self.lots[lot as usize].weight,
            at: instant::read(&row.happened_at)?,
            certain: true,
        })
    }

    /// Micrograms in a millionth of a lot's base unit.
    pub(super) fn weight(&self, lot: u32) -> Option<Ratio> {
        self.lots[lot as usize].weight
    }
}

/// Entries that still stand: what was taken back never happened.
pub(super) fn standing(rows: Vec<TraceRow>) -> Vec<TraceRow> {
    let back: BTreeSet<String> = rows.iter().filter_map(|row| row.reverses.clone()).collect();
    if back.is_empty() {
        return rows;
    }
    let stands = |row: &TraceRow| row.reverses.is_none() && !back.contains(&row.id);
    rows.into_iter().filter(stands).collect()
}
