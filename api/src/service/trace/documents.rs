//! Documents behind entries: loads, loads of the past, moves, and pieces that were made.

use super::{
    gather::{Graph, Key, standing},
    weights,
};
use crate::{
    service::{Refusal, loads::LoadBody, plan::refused},
    store::{
        StoreError, Tx, instant,
        loads::LoadRow,
        past_loads::{self, PastLoadLineRow, PastLoadRow},
        trace as rows,
        trace::TraceRow,
    },
};
use domain::{
    movement::MovementKind,
    quantity::Unit,
    ratio::{Overflow, Ratio},
    trace::{Document, Making, Part, Passage, PassageKind, Posting, passages},
};
use std::collections::{BTreeMap, BTreeSet};

/// The word of what went into a load of the past.
pub const USE: &str = "use";
/// The word of what came out of it.
pub const MAKE: &str = "make";
/// The word of what left the house.
pub const SEND: &str = "send";

/// What was read of one document.
#[derive(Debug, Clone, Default)]
pub struct Read {
    /// Its entries that stand.
    pub rows: Vec<TraceRow>,
    /// The load that it is.
    pub load: Option<LoadRow>,
    /// The load of the past that it is.
    pub past: Option<PastLoadRow>,
    /// Lines of the load of the past.
    pub lines: Vec<PastLoadLineRow>,
}

/// Reads documents, each whole.
pub fn read(tx: &mut Tx, site: &str, keys: &BTreeSet<Key>) -> Result<Vec<(Key, Read)>, StoreError> {
    let (mut loads, mut pasts, mut documents) = (Vec::new(), Vec::new(), Vec::new());
    for key in keys {
        match key {
            Key::Load(id) => loads.push(id.clone()),
            Key::Past(id) => pasts.push(id.clone()),
            Key::Document(name) => documents.push(name.clone()),
            Key::Entry(_) => {}
        }
    }
    let mut found: BTreeMap<Key, Read> =
        keys.iter().map(|key| (key.clone(), Read::default())).collect();
    for row in rows::loads_of(tx, site, &loads)? {
        let key = Key::Load(row.id.clone());
        found.entry(key).or_default().load = Some(row);
    }
    for row in rows::of_loads(tx, site, &loads)? {
        let load = row.load.clone().unwrap_or_default();
        found.entry(Key::Load(load)).or_default().rows.push(row);
    }
    for row in rows::of_documents(tx, site, &documents)?.into_iter().filter(|r| r.load.is_none()) {
        let document = row.document.clone().unwrap_or_default();
        found.entry(Key::Document(document)).or_default().rows.push(row);
    }
    for row in past_loads::of_ids(tx, site, &pasts)? {
        let key = Key::Past(row.id.clone());
        found.entry(key).or_default().past = Some(row);
    }
    for line in past_loads::lines_of(tx, site, &pasts)? {
        found.entry(Key::Past(line.past_load.clone())).or_default().lines.push(line);
    }
    for read in found.values_mut() {
        read.rows = standing(std::mem::take(&mut read.rows));
    }
    Ok(found.into_iter().collect())
}

impl Read {
    /// The passages of the document.
    ///
    /// # Errors
    /// [`Refusal`] if its masses are beyond exact arithmetic.
    pub fn passages(&self, graph: &Graph<'_>) -> Result<Vec<Passage>, Refusal> {
        if self.past.is_some() {
            return Ok(self.past_passage(graph)?.into_iter().collect());
        }
        let mut own = Vec::new();
        let mut makings: BTreeMap<&str, Vec<Posting>> = BTreeMap::new();
        let mut tracked = BTreeSet::new();
        for row in &self.rows {
            let lot = graph.number(&row.lot)?;
            let posting = graph.posting(lot, row)?;
            match row.document.as_deref().filter(|_| self.load.is_some()) {
                Some(document) if posting.goes_in() || posting.comes_out() => {
                    makings.entry(document).or_default().push(posting);
                }
                Some(_) => {}
                None => {
                    if posting.goes_in() {
                        tracked.insert(graph.lots[lot as usize].row.item.as_str());
                    }
                    own.push(posting);
                }
            }
        }
        self.cut_fruit(graph, &mut own)?;
        let makings = self.makings(graph, makings)?;
        let untracked_ug = self.untracked(graph, &tracked)?;
        passages(&Document { own, untracked_ug, makings }).map_err(refused)
    }

    /// Pieces of a load, each with its part of the dough: by what their pieces ask for.
    fn makings(
        &self,
        graph: &Graph<'_>,
        documents: BTreeMap<&str, Vec<Posting>>,
    ) -> Result<Vec<Making>, Refusal> {
        let dough = self.load.as_ref().map_or("", |load| load.formula.as_str());
        let mut parts = Vec::new();
        let mut all = Ratio::ZERO;
        for postings in documents.into_values() {
            let mut part = Ratio::ZERO;
            for made in postings.iter().filter(|one| one.comes_out()) {
                let product = &graph.lots[made.lot as usize].row.item;
                let each = weights::taken_ug(graph.bakery, product, dough).map_err(refused)?;
                let each = each.unwrap_or(Ratio::ONE);
                let pieces = Ratio::whole(made.micro.into());
                part = each.times(pieces).and_then(|more| part.plus(more)).map_err(refused)?;
            }
            all = all.plus(part).map_err(refused)?;
            parts.push((postings, part));
        }
        let share = |part: Ratio| if all.is_positive() { part.over(all) } else { Ok(Ratio::ONE) };
        let making = |(postings, part)| Ok(Making { postings, part: share(part)? });
        parts.into_iter().map(making).collect::<Result<_, Overflow>>().map_err(refused)
    }

    /// Whole fruits leave the stock, and what is cut of them goes in: they weigh that much.
    fn cut_fruit(&self, graph: &Graph<'_>, own: &mut [Posting]) -> Result<(), Refusal> {
        let Some(body) = self.body()? else { return Ok(()) };
        let bakery = graph.bakery;
        let mut cut: BTreeMap<u32, Ratio> = BTreeMap::new();
        for line in &body.lines {
            let item = bakery.index().item(&line.item);
            let Some(fruit) = item.and_then(|item| bakery.index().fruit_of(item)) else { continue };
            let sum = cut.entry(fruit).or_default();
            *sum = sum.plus(Ratio::whole(line.micro.into())).map_err(refused)?;
        }
        for (fruit, mass) in cut {
            let code = &bakery.item(fruit).code;
            let of_fruit = |one: &Posting| {
                one.goes_in() && graph.lots[one.lot as usize].row.item == code.as_str()
            };
            let all: i128 =
                own.iter().filter(|one| of_fruit(one)).map(|one| -i128::from(one.micro)).sum();
            let weight = if all > 0 { mass.over(Ratio::whole(all)).ok() } else { None };
            for one in own.iter_mut().filter(|one| of_fruit(one)) {
                one.weight = weight;
            }
        }
        Ok(())
    }

    /// What the load was released with.
    fn body(&self) -> Result<Option<LoadBody>, StoreError> {
        let read = |load: &LoadRow| serde_json::from_str(&load.body);
        self.load.as_ref().map(read).transpose().map_err(|_| StoreError::Corrupt("load"))
    }

    /// What went into a load and is in no lot, such as water.
    fn untracked(&self, graph: &Graph<'_>, tracked: &BTreeSet<&str>) -> Result<Ratio, Refusal> {
        let Some(body) = self.body()? else { return Ok(Ratio::ZERO) };
        let bakery = graph.bakery;
        let mut sum = Ratio::ZERO;
        for line in &body.lines {
            let item = bakery.index().item(&line.item);
            let fruit = item.and_then(|item| bakery.index().fruit_of(item));
            let fruit = fruit.map(|fruit| bakery.item(fruit).code.as_str());
            let drawn = fruit.unwrap_or(&line.item);
            if tracked.contains(drawn) || tracked.contains(line.item.as_str()) {
                continue;
            }
            let unit = if line.counted { Unit::Each } else { Unit::Gram };
            let mass = weights::mass_ug(bakery, &line.item, (line.micro, unit)).map_err(refused)?;
            sum = sum.plus(mass.unwrap_or(Ratio::ZERO)).map_err(refused)?;
        }
        Ok(sum)
    }

    fn past_passage(&self, graph: &Graph<'_>) -> Result<Option<Passage>, Refusal> {
        let Some(past) = &self.past else { return Ok(None) };
        let mut passage = Passage {
            kind: PassageKind::Made,
            at: instant::read(&past.made_at)?,
            inputs: Vec::new(),
            outputs: Vec::new(),
            untracked_ug: Ratio::ZERO,
        };
        for line in &self.lines {
            let micro = line.amount_micro;
            let Some(lot) = &line.lot else {
                let unit = crate::service::stock::unit_of(&line.unit)?;
                let mass = weights::mass_ug(graph.bakery, &line.item, (micro, unit));
                let mass = mass.map_err(refused)?.unwrap_or(Ratio::ZERO);
                passage.untracked_ug = passage.untracked_ug.plus(mass).map_err(refused)?;
                continue;
            };
            let lot = graph.number(lot)?;
            let mass_ug = graph.weight(lot).map(|weight| weight.times(Ratio::whole(micro.into())));
            let mass_ug = mass_ug.transpose().map_err(refused)?;
            let part = Part { lot, micro, mass_ug, certain: micro > 0 };
            match line.kind.as_str() {
                USE => passage.inputs.push(part),
                MAKE => passage.outputs.push(part),
                _ => {}
            }
        }
        Ok(Some(passage))
    }
}

/// Products of which a document gave pieces that are lots of their own.
pub fn pieces_of(graph: &Graph<'_>, read: &Read) -> BTreeSet<String> {
    let made = |row: &&TraceRow| MovementKind::parse(&row.kind) == Some(MovementKind::Make);
    let items = read.rows.iter().filter(made).filter_map(|row| {
        let lot = graph.number(&row.lot).ok()?;
        Some(graph.lots[lot as usize].row.item.clone())
    });
    items.filter(|item| graph.bakery.index().product(item).is_some()).collect()
}
