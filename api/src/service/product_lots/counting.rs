//! What was counted of pieces: good ones are made, rejects are made and thrown away.

use super::making::{Counted, Maker, Pieces};
use crate::{
    document::Fault,
    service::{
        Refusal,
        ledger::{self, Correction, Posting},
        loads::used::{self, Floor},
        stock::{self, Waste, WasteRoute},
        yields::{self, Seen},
    },
    store::{
        Tx, balances, lots, lots::LotChange, lots::LotRow, movements, product_lots as rows,
        product_lots::ProductLotRow,
    },
};
use domain::{
    id::Code,
    lot::LotState,
    movement::MovementKind,
    quantity::{MICRO, Quantity, Unit},
    ratio::Overflow,
    yields::Observation,
};
use serde_json::{Value, json};

/// Whether the house knows the reasons.
pub(super) fn check(maker: &Maker<'_>, pieces: &Pieces, pointer: &str, faults: &mut Vec<Fault>) {
    let reasons = &maker.floor.bakery.site().waste_reasons;
    for (at, rejected) in pieces.counted.iter().flat_map(|counted| &counted.rejected).enumerate() {
        if !reasons.contains(&rejected.reason) {
            let words: Vec<_> = reasons.iter().map(Code::as_str).collect();
            let detail = format!(
                "`{}` is none of the house's reasons: {}",
                rejected.reason,
                words.join(", ")
            );
            let pointer = format!("{pointer}/rejected/{at}/reason");
            faults.push(Fault { pointer, kind: "unknown-code", detail });
        }
    }
}

/// Posts what came out: good pieces and rejects are made, rejects are waste; ids of the
/// entries, which a later count takes back.
pub(super) fn come_out(
    tx: &mut Tx,
    maker: &Maker<'_>,
    posting: &mut Posting,
    (row, pieces, started): (&LotRow, &Pieces, i64),
) -> Result<Vec<String>, Refusal> {
    let Floor { site, bakery, now, at } = maker.floor;
    let beyond = || used::beyond(Overflow);
    let Some(counted) = &pieces.counted else {
        let micro = started.checked_mul(MICRO).ok_or_else(beyond)?;
        posting.notes.push(format!("{}: {started} pieces, not counted yet", pieces.product));
        return Ok(vec![posting.post(tx, (&row.id, None), (MovementKind::Make, micro, None))?]);
    };
    let all = counted.all().ok_or_else(beyond)?;
    let micro = all.checked_mul(MICRO).ok_or_else(beyond)?;
    let mut entries = vec![posting.post(tx, (&row.id, None), (MovementKind::Make, micro, None))?];
    let missing = started - all + counted.extra;
    if missing > 0 {
        posting.notes.push(format!("{}: {missing} pieces are not counted", pieces.product));
    }
    for rejected in counted.rejected.iter().filter(|rejected| rejected.pieces > 0) {
        let micro = rejected.pieces.checked_mul(MICRO).ok_or_else(beyond)?;
        let waste = Waste {
            lot: Some(row.id.clone()),
            item: None,
            quantity: Quantity::from_micro(micro, Unit::Each).map_err(|_| beyond())?,
            reason: rejected.reason.clone(),
            place: None,
            batch: maker.load.map(|load| load.id.clone()),
            route: rejected.route,
            wasted_at: Some(at),
            who: Some(maker.who.clone()),
            note: None,
        };
        let wasted = stock::waste(tx, site, now, bakery, &waste)?;
        entries.extend(wasted.movement);
    }
    observe(tx, maker, pieces, (counted, all))?;
    Ok(entries)
}

/// What was counted teaches the rejects of the product.
fn observe(
    tx: &mut Tx,
    maker: &Maker<'_>,
    pieces: &Pieces,
    (counted, all): (&Counted, i64),
) -> Result<(), Refusal> {
    let Floor { site, bakery, now, at } = maker.floor;
    if all <= 0 {
        return Ok(());
    }
    let beyond = || used::beyond(Overflow);
    let load = maker.load.map_or_else(|| maker.about(pieces.product.as_str()), |l| l.id.clone());
    let observation = Observation {
        code: pieces.product.clone(),
        stage: yields::REJECT.to_owned(),
        load,
        in_micro: all.checked_mul(MICRO).ok_or_else(beyond)?,
        out_micro: (counted.good + counted.extra).checked_mul(MICRO).ok_or_else(beyond)?,
    };
    yields::observe(tx, site, now, bakery, &Seen { observation, at, who: Some(maker.who.clone()) })
}

/// What a step keeps of a lot that it made or counted.
pub(super) fn kept(
    row: &LotRow,
    (pieces, started): (&Pieces, i64),
    document: &str,
    entries: Vec<String>,
) -> Value {
    let counted = pieces.counted.as_ref().map(|counted| {
        let rejected = counted.rejected.iter().map(|one| {
            json!({"pieces": one.pieces, "reason": one.reason.as_str(), "route": one.route.word()})
        });
        json!({"good": counted.good, "extra": counted.extra,
            "rejected": rejected.collect::<Vec<_>>()})
    });
    json!({"product": pieces.product.as_str(), "lot": row.id, "name": row.name,
        "started": started, "document": document, "counted": counted, "entries": entries})
}

/// Counts lots of a load again: what an earlier count posted is taken back first.
///
/// `before` is what earlier steps kept of each lot, oldest first.
///
/// # Errors
/// As [`make`].
pub(in crate::service) fn count_again(
    tx: &mut Tx,
    maker: &Maker<'_>,
    (pieces, row): (&Pieces, &ProductLotRow),
    before: &[Value],
) -> Result<(Posting, Value), Refusal> {
    let Floor { site, bakery, now, .. } = maker.floor;
    let mut faults = Vec::new();
    check(maker, pieces, "", &mut faults);
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let correction = Correction {
        reason: "counted again".to_owned(),
        who: Some(maker.who.clone()),
        instead: None,
    };
    let earlier = before.iter().filter(|kept| kept["lot"] == row.lot.as_str());
    let entries = earlier.flat_map(|kept| kept["entries"].as_array().into_iter().flatten());
    for entry in entries.filter_map(Value::as_str) {
        if movements::reversal(tx, site, entry)?.is_none() {
            ledger::correct(tx, site, now, bakery, (entry, &correction))?;
        }
    }
    let lot = stock::row(tx, site, &row.lot)?;
    wake(tx, site, &lot)?;
    let about = maker.about(&row.product);
    let mut posting = maker.posting(row.document.clone(), about);
    let entries = come_out(tx, maker, &mut posting, (&lot, pieces, row.started))?;
    let kept = kept(&lot, (pieces, row.started), &row.document, entries);
    Ok((posting, kept))
}

/// A lot of which the earlier count had left nothing may be sent again.
fn wake(tx: &mut Tx, site: &str, lot: &LotRow) -> Result<(), Refusal> {
    if lot.state == LotState::Wasted.word() {
        let state = LotState::Released.word().to_owned();
        lots::change(tx, site, &lot.id, &LotChange { state, ..LotChange::from(lot) })?;
    }
    Ok(())
}

/// Throws away what is left of the lots of a load.
pub(in crate::service) fn waste_all(
    tx: &mut Tx,
    maker: &Maker<'_>,
    load: &str,
    reason: &Code,
) -> Result<(), Refusal> {
    let Floor { site, bakery, now, at } = maker.floor;
    for row in rows::of_load(tx, site, load)? {
        let left = balances::find(tx, site, &row.lot)?;
        let Ok(quantity) = Quantity::from_micro(left, Unit::Each) else { continue };
        if left <= 0 {
            continue;
        }
        let waste = Waste {
            lot: Some(row.lot),
            item: None,
            quantity,
            reason: reason.clone(),
            place: None,
            batch: Some(load.to_owned()),
            route: WasteRoute::Bin,
            wasted_at: Some(at),
            who: Some(maker.who.clone()),
            note: None,
        };
        stock::waste(tx, site, now, bakery, &waste)?;
    }
    Ok(())
}
