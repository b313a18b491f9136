//! Loads files: a bakery document, or receipts and orders.

use super::{CommandError, FaultList, StorageArgs, say};
use crate::{
    clock::Clock,
    digest,
    document::{BakeryBody, Fault, Undecodable, decode},
    service::{
        Refusal,
        bakery::Put,
        load::{self, Loaded, NamedReceipt},
    },
    state::State,
    wire::{order::OrderBody, receipt::ReceiptBody},
    workbook::xlsx,
};
use clap::Args;
use serde::Deserialize;
use serde_json::Value;
use std::{collections::BTreeMap, path::PathBuf};

/// What to load, and where to.
#[derive(Debug, Args)]
pub(super) struct LoadArgs {
    /// JSON files, or workbooks (.xlsx) of the bakery, loaded in this order: the bakery first
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    storage: StorageArgs,
}

/// What happened, as a file holds it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct BookBody {
    #[serde(default)]
    receipts: Vec<Value>,
    #[serde(default)]
    orders: Vec<OrderBody>,
}

/// Loads each file whole or not at all, and says what became of it.
pub(super) fn load(args: LoadArgs) -> Result<(), CommandError> {
    let LoadArgs { files, storage } = args;
    let config = storage.without_server()?;
    let state = State::open(&config, Clock::System)?;
    for path in files {
        let text = match std::fs::read(&path) {
            Ok(text) => text,
            Err(source) => return Err(CommandError::Read { path, source }),
        };
        let became = if path.extension().is_some_and(|ending| ending == "xlsx") {
            load_workbook(&state, &text)
        } else {
            load_text(&state, &text)
        };
        match became {
            Ok(became) => say(&format!("{}: {became}", path.display()))?,
            Err(refusal) => {
                return Err(CommandError::File { path, faults: FaultList::from(refusal) });
            }
        }
    }
    Ok(())
}

/// Loads the sheets of a workbook into the bakery; returns what became of it in words.
fn load_workbook(state: &State, bytes: &[u8]) -> Result<String, Refusal> {
    let grids = xlsx::read(bytes).map_err(|detail| Refusal::stated("not-a-table", detail))?;
    Ok(said(load::workbook(state, &grids)?).to_owned())
}

const fn said(put: Put) -> &'static str {
    match put {
        Put::Created => "the bakery is loaded",
        Put::Changed => "the bakery is changed",
        Put::Unchanged => "the bakery was loaded already",
    }
}

/// Loads the text of one file; returns what became of it in words.
pub(super) fn load_text(state: &State, text: &[u8]) -> Result<String, Refusal> {
    let document: Value = decoded(text)?;
    if document.get("site").is_some() {
        let body: BakeryBody = decoded(text)?;
        return Ok(said(load::bakery(state, &body)?).to_owned());
    }
    let BookBody { receipts, orders } = decoded(text)?;
    let mut faults = Vec::new();
    let mut asked = Vec::with_capacity(orders.len());
    for (at, order) in orders.iter().enumerate() {
        match order.read() {
            Ok(order) => asked.push(order),
            Err(found) => faults.extend(placed("orders", at, found)),
        }
    }
    let receipts = named_receipts(&receipts, &mut faults);
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let mut became = Vec::new();
    if !receipts.is_empty() {
        became.push(counted("receipts", load::receipts(state, &receipts)?));
    }
    if !asked.is_empty() {
        became.push(counted("orders", load::orders(state, &asked)?));
    }
    Ok(if became.is_empty() { "nothing in it".to_owned() } else { became.join("; ") })
}

fn decoded<T: serde::de::DeserializeOwned>(text: &[u8]) -> Result<T, Refusal> {
    decode(text).map_err(|error| match error {
        Undecodable::NotJson(detail) => Refusal::stated("not-json", detail),
        Undecodable::Shape(fault) => Refusal::Body(vec![fault]),
    })
}

/// Receipts named by what they say and how often that was said before in the file, so
/// that a file can grow and be loaded again.
fn named_receipts(receipts: &[Value], faults: &mut Vec<Fault>) -> Vec<NamedReceipt> {
    let mut said: BTreeMap<String, usize> = BTreeMap::new();
    let mut named = Vec::with_capacity(receipts.len());
    for (at, receipt) in receipts.iter().enumerate() {
        let text = receipt.to_string();
        let times = said.entry(text.clone()).or_default();
        *times += 1;
        let name = format!("load {} {times}", digest::of([text.as_bytes()]));
        let read = match decode::<ReceiptBody>(text.as_bytes()) {
            Ok(body) => body.read(),
            Err(Undecodable::Shape(fault)) => Err(vec![fault]),
            Err(Undecodable::NotJson(detail)) => {
                Err(vec![Fault { pointer: String::new(), kind: "invalid-body", detail }])
            }
        };
        match read {
            Ok(receipt) => named.push(NamedReceipt { name, receipt }),
            Err(found) => faults.extend(placed("receipts", at, found)),
        }
    }
    named
}

/// Faults of one record as those of its file.
fn placed(list: &str, at: usize, faults: Vec<Fault>) -> impl Iterator<Item = Fault> {
    let place = format!("/{list}/{at}");
    faults
        .into_iter()
        .map(move |fault| Fault { pointer: format!("{place}{}", fault.pointer), ..fault })
}

fn counted(what: &str, loaded: Loaded) -> String {
    match loaded {
        Loaded { taken, known: 0 } => format!("{taken} {what} taken"),
        Loaded { taken, known } => format!("{taken} {what} taken, {known} were there already"),
    }
}
