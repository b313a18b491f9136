//! The pieces of a load: baked, packed, sent, counted back, or lost with it.

use super::{
    LoadHistory, Step, find,
    steps::{Passing, advance, record, same_request, use_up, waste_of},
};
use crate::{
    document::Fault,
    service::{
        Refusal,
        product_lots::{self, Maker, OrderGoods, Pieces},
    },
    state::State,
    store::{Tx, balances, product_lots as rows},
};
use domain::{bakery::Bakery, id::Code, load::LoadState};
use serde_json::{Value, json};

/// What a step says of the pieces of a load.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    /// Product by product; all that the load was to give if nothing is written.
    pub pieces: Vec<Pieces>,
    /// What each order gets; what waits, drop after drop, if nothing is written.
    pub goods: Vec<OrderGoods>,
}

/// A load was baked, packed or sent: what it gives becomes product lots, once, and leaves
/// the house when it is sent.
///
/// Dough that was never divided is used up with it.
///
/// # Errors
/// `load-step`; [`Refusal::Body`] names every fault.
pub fn bake(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, to, step): (&str, LoadState, &Step),
    outcome: &Outcome,
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, to, step), |tx, passing| {
        if passing.load.state == LoadState::Mixed {
            use_up(tx, passing, 0, None)?;
        }
        make_pieces(tx, passing, &outcome.pieces, true)?;
        if to != LoadState::Baked {
            check_labels(tx, passing)?;
        }
        if to == LoadState::Sent { send(tx, passing, &outcome.goods) } else { Ok(()) }
    })
}

/// A load failed: its dough and its pieces are waste.
///
/// # Errors
/// `load-step`; [`Refusal::Body`] if the reason is none of the house's.
pub fn lose(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
    reason: &Code,
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, LoadState::Lost, step), |tx, passing| {
        if passing.load.state == LoadState::Mixed
            && let Some(lot) = passing.load.lot.clone()
        {
            let left = balances::find(tx, &passing.state.site, &lot)?;
            waste_of(tx, passing, (&lot, left.max(0)), (reason, "/reason"))?;
        }
        let maker = maker(passing);
        product_lots::waste_all(tx, &maker, &passing.load.id, reason)
    })
}

/// Pieces of a load were counted back: the ledger gets what they differ from what it has.
///
/// A later count of a product replaces the earlier one; the same again changes nothing.
///
/// # Errors
/// `load-step` if nothing of it can have been baked; [`Refusal::Body`] names every fault.
pub fn count_back(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
    pieces: &[Pieces],
) -> Result<LoadHistory, Refusal> {
    let history = find(tx, &state.site, id)?;
    let last = history.events.iter().rev().find(|event| event.step == COUNT_BACK);
    if last.is_some_and(|last| same_request(&last.body, &step.sent)) {
        return Ok(history);
    }
    let to_count = history.load.state >= LoadState::Mixed && history.load.state.covers();
    if !to_count {
        let detail = format!(
            "load {} of {} is {}: there is nothing to count back yet",
            history.load.number,
            history.load.formula,
            history.load.state.word()
        );
        return Err(Refusal::stated("load-step", detail));
    }
    let now = state.now();
    let at = step.happened_at.filter(|at| *at <= now).unwrap_or(now);
    let mut passing = Passing::new((state, bakery), history, (at, now), &step.who);
    make_pieces(tx, &mut passing, pieces, false)?;
    record(tx, passing, COUNT_BACK, step)?;
    find(tx, &state.site, id)
}

/// The step under which counts of finished pieces are kept.
const COUNT_BACK: &str = "count-back";

fn maker<'a>(passing: &'a Passing<'_>) -> Maker<'a> {
    Maker {
        floor: passing.floor(),
        who: passing.who.clone(),
        load: Some(&passing.load),
        service_date: passing.load.service_date,
    }
}

/// Nothing is packed under a label that leaves something out.
fn check_labels(tx: &mut Tx, passing: &Passing<'_>) -> Result<(), Refusal> {
    let site = &passing.state.site;
    for row in rows::of_load(tx, site, &passing.load.id)? {
        product_lots::stop_if_changed(tx, site, passing.bakery, &row.lot)?;
    }
    Ok(())
}

/// Makes the lots that are not there yet, and counts those again that are.
///
/// With `all` also products are made of which nobody wrote anything, as the load was to give.
fn make_pieces(
    tx: &mut Tx,
    passing: &mut Passing<'_>,
    said: &[Pieces],
    all: bool,
) -> Result<(), Refusal> {
    let known = rows::of_load(tx, &passing.state.site, &passing.load.id)?;
    let planned = |code: &str| {
        let own = passing.load.body.pieces.iter().find(|(product, _)| product == code);
        own.map_or(0, |(_, pieces)| *pieces)
    };
    let mut new: Vec<(Pieces, i64, String)> = Vec::new();
    let mut again = Vec::new();
    for (at, pieces) in said.iter().enumerate() {
        let code = pieces.product.as_str();
        match known.iter().find(|row| row.product == code) {
            Some(row) if pieces.counted.is_some() => again.push((pieces, row)),
            Some(_) => {}
            None => {
                let started = pieces.started.unwrap_or_else(|| planned(code));
                new.push((pieces.clone(), started, format!("/products/{at}")));
            }
        }
    }
    let unsaid = passing.load.body.pieces.iter().filter(|(product, pieces)| {
        all && *pieces > 0
            && !said.iter().any(|one| one.product.as_str() == product)
            && !known.iter().any(|row| row.product == *product)
    });
    let mut gone = Vec::new();
    for (product, started) in unsaid {
        let code = crate::service::book::code(product)?;
        if passing.bakery.index().product(product).is_none() {
            gone.push(format!("{product} is no product any more: nothing of it is in the book"));
            continue;
        }
        let pieces = Pieces { product: code, started: None, counted: None, used: Vec::new() };
        new.push((pieces, *started, String::new()));
    }
    check_twice(said)?;
    let maker = maker(passing);
    let (mut posting, mut lots) = product_lots::make(tx, &maker, &new)?;
    for (pieces, row) in again {
        let (counted, kept) =
            product_lots::count_again(tx, &maker, (pieces, row), &passing.before)?;
        posting.movements.extend(counted.movements);
        posting.notes.extend(counted.notes);
        lots.push(kept);
    }
    posting.notes.extend(gone);
    passing.posted_by(posting);
    for kept in &lots {
        let lot = kept["lot"].as_str().unwrap_or_default();
        if let Some(words) =
            product_lots::label_words(tx, &passing.state.site, passing.bakery, lot)?
        {
            passing.note(words);
        }
    }
    if !lots.is_empty() {
        passing.posted.insert("product_lots".to_owned(), Value::Array(lots));
    }
    Ok(())
}

/// A product stands on a sheet once.
fn check_twice(said: &[Pieces]) -> Result<(), Refusal> {
    let mut faults = Vec::new();
    for (at, one) in said.iter().enumerate() {
        if said[..at].iter().any(|other| other.product == one.product) {
            faults.push(Fault {
                pointer: format!("/products/{at}/product"),
                kind: "field-mismatch",
                detail: format!("`{}` stands twice: write its counts together", one.product),
            });
        }
    }
    if faults.is_empty() { Ok(()) } else { Err(Refusal::Body(faults)) }
}

/// Sends what the load gave.
fn send(tx: &mut Tx, passing: &mut Passing<'_>, goods: &[OrderGoods]) -> Result<(), Refusal> {
    let mut posting = passing.posting(None);
    // An order, and not the load, is what these entries are for.
    posting.load = None;
    let of = (passing.load.id.as_str(), passing.load.service_date, goods);
    let (lines, notes) = product_lots::send_load(tx, passing.floor(), posting, of)?;
    let sent = lines.iter().map(|line| {
        json!({"order_ref": line.order_ref, "product": line.product, "lot": line.lot,
            "pieces": line.pieces, "movement": line.movement})
    });
    passing.posted.insert("sent".to_owned(), Value::Array(sent.collect()));
    for note in notes {
        passing.note(note);
    }
    Ok(())
}
