//! The bakery as tables: tried out, put, and read.

use super::{
    Refusal,
    bakery::{self, Put},
    reference::Precondition,
};
use crate::{
    document::{BakeryBody, Fault, Undecodable, decode},
    state::State,
    store::StoreError,
    workbook::{self, Grid},
};
use serde_json::Value;
use std::collections::BTreeMap;

/// What tables would make of the bakery.
#[derive(Debug)]
pub struct Trial {
    /// Every fault, by table, row and column; then nothing can be put.
    pub faults: Vec<Fault>,
    /// What would change, list by list; empty if there are faults.
    pub changes: Vec<Change>,
    /// The document, if there are no faults.
    document: Option<BakeryBody>,
    /// The entity tag of the bakery that it was compared with.
    held: Option<String>,
}

/// What changes in one list of the bakery document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The list.
    pub list: String,
    /// Names of records that come.
    pub added: Vec<String>,
    /// Names of records that become others.
    pub changed: Vec<String>,
    /// Names of records that go.
    pub removed: Vec<String>,
}

/// The bakery as tables, with the entity tag of its document.
///
/// # Errors
/// [`Refusal::NoBakery`]
pub fn tables(state: &State) -> Result<(Vec<Grid>, String), Refusal> {
    let document = state.store.read(|tx| bakery::document(tx, &state.site))?;
    Ok((workbook::grids(&value(&document)?), bakery::etag(&document)?))
}

/// What tables would make of the bakery; writes nothing.
///
/// # Errors
/// The store's.
pub fn try_out(state: &State, sent: &[Grid]) -> Result<Trial, Refusal> {
    let held = state.store.read(|tx| bakery::held(tx, &state.site))?;
    let before = held.as_ref().map(value).transpose()?;
    let tag = held.as_ref().map(bakery::etag).transpose()?;
    let none = |faults| Trial { faults, changes: Vec::new(), document: None, held: tag.clone() };
    let made = match workbook::assemble(sent, before.as_ref()) {
        Ok(made) => made,
        Err(faults) => return Ok(none(faults)),
    };
    let located =
        |faults: Vec<Fault>| faults.into_iter().map(|fault| made.located(fault)).collect();
    let document: BakeryBody = match decode(made.document.to_string().as_bytes()) {
        Ok(document) => document,
        Err(Undecodable::Shape(fault)) => return Ok(none(located(vec![fault]))),
        Err(Undecodable::NotJson(_)) => return Err(StoreError::Corrupt("tables").into()),
    };
    if let Err(faults) = document.compile() {
        return Ok(none(located(faults)));
    }
    let changes = changes(before.as_ref().unwrap_or(&Value::Null), &value(&document)?);
    Ok(Trial { faults: Vec::new(), changes, document: Some(document), held: tag })
}

/// Puts the tables that were sent into the bakery, all of them or none.
///
/// # Errors
/// [`Refusal::Bakery`] with every fault by its cell; `precondition-required`,
/// `precondition-failed`, also if somebody else put a bakery in between.
pub fn put(
    state: &State,
    sent: &[Grid],
    precondition: &Precondition,
) -> Result<(Put, Trial), Refusal> {
    let trial = try_out(state, sent)?;
    precondition.check("the bakery", trial.held.as_deref())?;
    let Some(document) = &trial.document else { return Err(Refusal::Bakery(trial.faults)) };
    // The rest of the document was read a moment ago: it must still be that.
    let unmoved = match &trial.held {
        Some(held) => Precondition::Tags(vec![held.clone()]),
        None => Precondition::None,
    };
    Ok((bakery::put(state, document, &unmoved)?, trial))
}

fn value(document: &BakeryBody) -> Result<Value, StoreError> {
    serde_json::to_value(document).map_err(|_| StoreError::Corrupt("bakery"))
}

/// The differences of two documents, list by list, records by name.
fn changes(before: &Value, now: &Value) -> Vec<Change> {
    let lists = workbook::layout().iter().filter(|table| table.parent.is_none());
    let compared = lists.map(|table| {
        let (before, now) = (records(before, &table.name), records(now, &table.name));
        let names = |keep: &dyn Fn(&String, &&Value) -> bool, of: &BTreeMap<String, &Value>| {
            let kept = of.iter().filter(|(name, record)| keep(name, record));
            kept.map(|(name, _)| name.clone()).collect::<Vec<_>>()
        };
        let differs =
            |name: &String, record: &&Value| before.get(name).is_some_and(|old| old != record);
        Change {
            list: table.name.clone(),
            added: names(&|name, _| !before.contains_key(name), &now),
            changed: names(&differs, &now),
            removed: names(&|name, _| !now.contains_key(name), &before),
        }
    });
    let moved = |change: &Change| {
        !(change.added.is_empty() && change.changed.is_empty() && change.removed.is_empty())
    };
    compared.filter(moved).collect()
}

fn records<'a>(document: &'a Value, list: &str) -> BTreeMap<String, &'a Value> {
    let Some(value) = document.get(list) else { return BTreeMap::new() };
    let records = value.as_array().map_or(std::slice::from_ref(value), Vec::as_slice);
    records.iter().map(|record| (workbook::grid::key(record), record)).collect()
}
