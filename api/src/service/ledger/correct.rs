//! Corrections: a counter-entry takes a wrong entry back; nothing is overwritten.

use super::{Entry, enter, entries::held_movement};
use crate::{
    document::Fault,
    service::{Refusal, ledger::MovementHeld, stock},
    store::{Tx, instant, lots, lots::LotChange, movements as rows, movements::MovementRow},
};
use domain::{
    bakery::Bakery,
    lot::LotState,
    movement::{Direction, MovementKind},
    quantity::Quantity,
};
use jiff::Timestamp;

/// What was wrong with an entry.
#[derive(Debug, Clone)]
pub struct Correction {
    /// Why it is taken back.
    pub reason: String,
    /// Who takes it back.
    pub who: Option<String>,
    /// What it should have said, without sign; nothing at all if not said.
    pub instead: Option<Quantity>,
}

/// Takes an entry back at the moment it happened, and writes what it should have said.
///
/// Both halves of a move are taken back together. Returns the new entries.
///
/// # Errors
/// [`Refusal::Unknown`]; `cannot-correct` if it was taken back already, is itself a
/// correction, or moved nothing.
pub fn correct(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, correction): (&str, &Correction),
) -> Result<Vec<MovementHeld>, Refusal> {
    let unknown = || Refusal::Unknown { noun: "movement", code: id.to_owned() };
    let wrong = rows::find(tx, site, id)?.ok_or_else(unknown)?;
    let kind = correctable(&wrong)?;
    if let Some(by) = rows::reversal(tx, site, id)? {
        let detail = format!("`{id}` was taken back by `{}` already: nothing is left to do", by.id);
        return Err(Refusal::stated("cannot-correct", detail));
    }
    let unit = stock::unit_of(&stock::row(tx, site, &wrong.lot)?.unit)?;
    let halves = match (&wrong.document, kind) {
        (Some(document), MovementKind::Move) => rows::of_document(tx, site, document)?,
        _ => vec![wrong.clone()],
    };
    let instead = instead(tx, site, bakery, &wrong, kind, correction)?;
    let mut written = Vec::new();
    for half in halves.iter().filter(|half| half.kind == wrong.kind) {
        written.push(take_back(tx, site, now, half, correction)?);
    }
    if let Some(amount_micro) = instead {
        let happened_at = instant::read(&wrong.happened_at)?;
        let right = Entry {
            who: correction.who.as_deref(),
            // It says what the wrong entry should have said, so it keeps its reason.
            reason: wrong.reason.as_deref(),
            load: wrong.load.as_deref(),
            document: wrong.document.as_deref(),
            place: Some(&wrong.place),
            ..Entry::new(&wrong.lot, kind, amount_micro, happened_at)
        };
        written.push(enter(tx, site, now, right)?);
    }
    wake(tx, site, &wrong.lot)?;
    let cause = format!("correction of a {} entry", wrong.kind);
    stock::revise(tx, site, now, &cause)?;
    let mut held = Vec::with_capacity(written.len());
    for id in written {
        let row = rows::find(tx, site, &id)?.ok_or_else(unknown)?;
        held.push(held_movement(row, unit, &bakery.site().time_zone)?);
    }
    Ok(held)
}

fn correctable(wrong: &MovementRow) -> Result<MovementKind, Refusal> {
    let refuse = |detail: String| Err(Refusal::stated("cannot-correct", detail));
    let kind = MovementKind::parse(&wrong.kind);
    match kind {
        Some(MovementKind::Correct) => refuse(format!(
            "`{}` takes an entry back: post that entry again instead of correcting the correction",
            wrong.id
        )),
        Some(kind) if kind.direction() != Direction::Still => Ok(kind),
        _ => refuse(format!(
            "a `{}` entry moved nothing: change the lot's state instead",
            wrong.kind
        )),
    }
}

/// What the entry should have said, with its sign.
fn instead(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    wrong: &MovementRow,
    kind: MovementKind,
    correction: &Correction,
) -> Result<Option<i64>, Refusal> {
    let Some(quantity) = correction.instead else { return Ok(None) };
    if matches!(kind, MovementKind::Move | MovementKind::Count) {
        return Err(Refusal::Body(vec![Fault {
            pointer: "/instead".to_owned(),
            kind: "field-mismatch",
            detail: format!(
                "a {} is taken back whole: leave instead out, then post it again",
                kind.word()
            ),
        }]));
    }
    let row = stock::row(tx, site, &wrong.lot)?;
    let micro = stock::in_unit_of(bakery, &row, quantity, "/instead")?;
    Ok(Some(if kind.direction() == Direction::Out { -micro } else { micro }))
}

fn take_back(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    wrong: &MovementRow,
    correction: &Correction,
) -> Result<String, Refusal> {
    let back = wrong.amount_micro.checked_neg().ok_or_else(|| {
        Refusal::stated("out-of-range", "the entry is too large to be taken back".to_owned())
    })?;
    let entry = Entry {
        who: correction.who.as_deref(),
        reason: Some(&correction.reason),
        load: wrong.load.as_deref(),
        document: wrong.document.as_deref(),
        place: Some(&wrong.place),
        reverses: Some(&wrong.id),
        ..Entry::new(&wrong.lot, MovementKind::Correct, back, instant::read(&wrong.happened_at)?)
    };
    enter(tx, site, now, entry)
}

/// A lot that was gone and is not: a person looks at it before it is used.
fn wake(tx: &mut Tx, site: &str, id: &str) -> Result<(), Refusal> {
    let row = stock::row(tx, site, id)?;
    let gone = [LotState::Wasted.word(), LotState::Returned.word()].contains(&row.state.as_str());
    if gone && crate::store::balances::find(tx, site, id)? > 0 {
        let change = LotChange {
            state: LotState::Hold.word().to_owned(),
            hold_reason: Some("an entry was taken back: look before it is used".to_owned()),
            ..LotChange::from(&row)
        };
        lots::change(tx, site, id, &change)?;
    }
    Ok(())
}
