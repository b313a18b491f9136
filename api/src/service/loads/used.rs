//! Lots that were used: as the hand wrote them, else first expired first.

use crate::{
    clock,
    service::{
        Refusal,
        ledger::Posting,
        stock::{self, BinHeld, LotHeld},
    },
    store::{StoreError, Tx, balances, instant, lots as rows, lots::LotRow},
};
use domain::{
    bakery::Bakery,
    item::Item,
    lot::LotState,
    movement::MovementKind,
    quantity::{Quantity, Unit},
    ratio::{Overflow, Ratio},
};
use jiff::Timestamp;

/// Where and when something is used.
#[derive(Debug, Clone, Copy)]
pub(in crate::service) struct Floor<'a> {
    /// The shop.
    pub(in crate::service) site: &'a str,
    /// Its reference data.
    pub(in crate::service) bakery: &'a Bakery,
    /// When it is written down.
    pub(in crate::service) now: Timestamp,
    /// When it happened.
    pub(in crate::service) at: Timestamp,
}

/// A lot that the hand wrote.
#[derive(Debug, Clone)]
pub struct UsedLot {
    /// Its name or id, or the code of a bin.
    pub lot: String,
    /// How much of it, as it was weighed; all that the others leave if not said.
    pub amount: Option<Quantity>,
    /// Whether it may be a lot that nobody entered.
    pub new: bool,
}

/// A lot that the hand wrote, as it is known.
#[derive(Debug)]
pub(in crate::service) struct Named {
    /// Its id; none if it is a bin.
    pub(in crate::service) source: Source,
    /// What was weighed or counted of it, in millionths.
    pub(in crate::service) amount: Option<i64>,
    /// The lot is to be made: nobody entered it.
    pub(in crate::service) new: Option<LotRow>,
}

/// What something is taken from.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::service) enum Source {
    /// One lot, by its id.
    Lot(String),
    /// All lots since a bin was emptied, by its code.
    Bin(String),
}

/// What is taken from a lot or bin.
#[derive(Debug)]
pub(in crate::service) struct Taken {
    /// All of it, in millionths of the base unit.
    pub(in crate::service) micro: i64,
    /// How much of that is lost on the way.
    pub(in crate::service) loss_micro: i64,
    /// The lot is to be made: nobody entered it.
    pub(in crate::service) new: Option<LotRow>,
}

/// Posts what is taken: the use and what is lost on the way, over all lots of a bin.
pub(in crate::service) fn post(
    tx: &mut Tx,
    floor: Floor<'_>,
    posting: &mut Posting,
    (source, taken): (&Source, &Taken),
    (kind, loss): (MovementKind, &str),
) -> Result<(), Refusal> {
    if let Some(row) = &taken.new {
        rows::insert(tx, row)?;
        posting.notes.push(format!("lot {} was not entered: receive or count it", row.name));
    }
    let there = There::look(tx, floor, source)?;
    warn_of_holds(tx, floor, posting, &there)?;
    let used = taken.micro - taken.loss_micro;
    for (lot, amount) in there.parts(used) {
        // In a bin a lot of which the book has nothing left may still be in the draw.
        if amount != 0 || there.place().is_some() {
            posting.post(tx, (&lot, there.place()), (kind, -amount, None))?;
        }
    }
    if taken.loss_micro == 0 {
        return Ok(());
    }
    // A bin has less in it by now.
    let there = There::look(tx, floor, source)?;
    for (lot, amount) in there.parts(taken.loss_micro) {
        if amount != 0 {
            posting.post(tx, (&lot, there.place()), (MovementKind::Waste, -amount, Some(loss)))?;
        }
    }
    Ok(())
}

/// What something is taken from, as it is at the moment.
enum There<'a> {
    Lot(&'a str),
    Bin(BinHeld),
}

impl<'a> There<'a> {
    fn look(tx: &mut Tx, floor: Floor<'_>, source: &'a Source) -> Result<Self, Refusal> {
        Ok(match source {
            Source::Lot(lot) => Self::Lot(lot),
            Source::Bin(place) => {
                Self::Bin(stock::bin(tx, floor.site, floor.at, floor.bakery, place)?)
            }
        })
    }

    /// An amount as it comes out of the lots.
    fn parts(&self, amount: i64) -> Vec<(String, i64)> {
        match self {
            Self::Lot(lot) => vec![((*lot).to_owned(), amount)],
            Self::Bin(bin) => stock::drawn(bin, amount),
        }
    }

    /// The bin.
    fn place(&self) -> Option<&str> {
        match self {
            Self::Lot(_) => None,
            Self::Bin(bin) => Some(&bin.place),
        }
    }
}

/// Says that something on hold was used: the lot, or one that lies with others in a bin.
fn warn_of_holds(
    tx: &mut Tx,
    floor: Floor<'_>,
    posting: &mut Posting,
    there: &There<'_>,
) -> Result<(), Refusal> {
    let mut warn = |name: &str, item: &str, reason: Option<&String>| {
        if let Some(reason) = reason {
            let note = format!("LABEL: lot {name} of {item} is on hold and was used: {reason}");
            posting.notes.push(note);
        }
    };
    match there {
        There::Lot(lot) => {
            if let Some(row) = rows::find(tx, floor.site, lot)? {
                warn(&row.name, &row.item, row.hold_reason.as_ref());
            }
        }
        There::Bin(bin) => {
            for (lot, ..) in &bin.lots {
                warn(&lot.name, &lot.item, lot.hold_reason.as_ref());
            }
        }
    }
    Ok(())
}

/// What a lot is taken from: the bin that it lies in, together with all that is in there.
pub(in crate::service) fn source_of(
    tx: &mut Tx,
    floor: Floor<'_>,
    lot: &str,
) -> Result<Source, StoreError> {
    let place = rows::find(tx, floor.site, lot)?.and_then(|row| row.place);
    Ok(match place.filter(|place| stock::is_bin(floor.bakery, place)) {
        Some(place) => Source::Bin(place),
        None => Source::Lot(lot.to_owned()),
    })
}

pub(in crate::service) fn beyond(_: Overflow) -> Refusal {
    Refusal::stated("out-of-range", "an amount is beyond all bounds: correct it")
}

/// How much of what leaves stock is lost while weighing.
pub(in crate::service) fn weighing_loss(item: Option<&Item>, micro: i64) -> Result<i64, Refusal> {
    let Some(item) = item.filter(|item| !item.weighing_loss_percent.is_zero()) else {
        return Ok(0);
    };
    let kept = item.weighing_loss_percent.left_after_percent().map_err(beyond)?;
    let used = Ratio::whole(micro.into()).times(kept).and_then(Ratio::round_half_up);
    let used = i64::try_from(used.map_err(beyond)?).map_err(|_| beyond(Overflow))?;
    Ok(micro - used)
}

/// What leaves stock over the written lots: by what was weighed of each, the rest from those
/// without an amount.
pub(in crate::service) fn shared(
    item: Option<&Item>,
    (micro, weighed): (i64, i64),
    lots: Vec<Named>,
) -> Result<Vec<(Source, Taken)>, Refusal> {
    let stated: i64 = lots.iter().filter_map(|named| named.amount).sum();
    let open = lots.iter().filter(|named| named.amount.is_none()).count();
    let mut left = micro;
    let mut taken = Vec::with_capacity(lots.len());
    let last = lots.len() - 1;
    // Without an open lot the stated amounts are shares of all that was weighed.
    let all = if open == 0 { stated } else { weighed }.max(1);
    for (at, Named { source, amount, new }) in lots.into_iter().enumerate() {
        let part = match amount {
            Some(amount) if open > 0 || at < last => share(micro, amount, all)?.min(left),
            _ => left,
        };
        left -= part;
        let loss_micro = weighing_loss(item, part)?;
        taken.push((source, Taken { micro: part, loss_micro, new }));
    }
    Ok(taken)
}

pub(in crate::service) fn share(micro: i64, part: i64, all: i64) -> Result<i64, Refusal> {
    let exact = Ratio::whole(micro.into())
        .times(Ratio::whole(part.into()))
        .and_then(|found| found.over(Ratio::whole(all.into())))
        .and_then(Ratio::round_half_up)
        .map_err(beyond)?;
    i64::try_from(exact).map_err(|_| beyond(Overflow))
}

/// The lot that the hand wrote: by id, by the name on its pack, or the code of its bin.
///
/// The inner error says in words why there is none.
pub(in crate::service) fn lot_of(
    tx: &mut Tx,
    floor: Floor<'_>,
    item: &str,
    used: &UsedLot,
) -> Result<Result<(Source, Option<LotRow>), String>, Refusal> {
    let known = rows::list(tx, floor.site, Some(item), "", i64::MAX)?;
    let is = |row: &LotRow| Ok(Ok((Source::Lot(row.id.clone()), None)));
    if let Some(row) = known.iter().find(|row| row.id == used.lot) {
        return is(row);
    }
    let named: Vec<&LotRow> = known.iter().filter(|row| row.name == used.lot).collect();
    Ok(match named.as_slice() {
        [row] => return is(row),
        [] if stock::is_bin(floor.bakery, &used.lot) => return in_bin(tx, floor, item, &used.lot),
        [] if used.new => {
            let row = new_lot(floor, item, &used.lot)?;
            Ok((Source::Lot(row.id.clone()), Some(row)))
        }
        [] => {
            let names: Vec<&str> = known.iter().map(|row| row.name.as_str()).collect();
            Err(format!(
                "there is no lot `{}` of {item}; known: {}. Write it as it stands on the pack, or \
                 add \"new\": true if nobody entered it",
                used.lot,
                names.join(", ")
            ))
        }
        several if is_one_lot(several) => {
            // Opened or thawed apart: the open one first, as hands do.
            let out = first_out(tx, floor, item)?;
            let first = out.iter().find(|lot| several.iter().any(|row| row.id == lot.id));
            let id = first.map_or_else(|| several[0].id.clone(), |lot| lot.id.clone());
            Ok((Source::Lot(id), None))
        }
        several => {
            let ids: Vec<&str> = several.iter().map(|row| row.id.as_str()).collect();
            Err(format!(
                "several lots of {item} are named `{}`: write an id of {}",
                used.lot,
                ids.join(", ")
            ))
        }
    })
}

/// Whether rows are parts of one lot: of one origin, and dated alike.
fn is_one_lot(rows: &[&LotRow]) -> bool {
    let origin = |row: &LotRow| {
        (
            (row.received.clone(), row.supplier.clone(), row.made_at.clone()),
            (row.use_by.clone(), row.best_before.clone(), row.baked.clone()),
        )
    };
    rows.windows(2).all(|pair| origin(pair[0]) == origin(pair[1]))
}

/// A bin, if it holds the item.
fn in_bin(
    tx: &mut Tx,
    floor: Floor<'_>,
    item: &str,
    place: &str,
) -> Result<Result<(Source, Option<LotRow>), String>, Refusal> {
    let bin = stock::bin(tx, floor.site, floor.at, floor.bakery, place)?;
    Ok(if bin.lots.iter().any(|(lot, ..)| lot.item == item) {
        Ok((Source::Bin(place.to_owned()), None))
    } else {
        Err(format!("nothing of {item} lies in bin `{place}`: move a lot into it first"))
    })
}

/// A lot that the hand used and nobody entered: its balance goes below zero until it is counted.
fn new_lot(floor: Floor<'_>, item: &str, name: &str) -> Result<LotRow, StoreError> {
    let index = floor.bakery.index();
    let unit = match (index.item(item), index.product(item)) {
        (Some(item), _) => floor.bakery.item(item).base_unit,
        (None, Some(_)) => Unit::Each,
        (None, None) => return Err(StoreError::Corrupt("load")),
    };
    let zone = &floor.bakery.site().time_zone;
    let id = clock::new_id(floor.now).to_string();
    let of = (name, item, unit.symbol());
    let received = zone.to_datetime(floor.at).date().to_string();
    Ok(LotRow::new(floor.site, id, of, received))
}

/// Lots of an item that may be used at the moment and of which the book has something, first
/// expired first, then open before sealed, then oldest, then by name.
///
/// # Source
/// The trade rules, part 4, FEFO.
pub(in crate::service) fn first_out(
    tx: &mut Tx,
    floor: Floor<'_>,
    item: &str,
) -> Result<Vec<LotHeld>, Refusal> {
    let mut found = Vec::new();
    let held_bins = stock::held_bins(tx, floor.site)?;
    let in_held_bin =
        |lot: &LotHeld| lot.place.as_ref().is_some_and(|place| held_bins.contains(place));
    for row in rows::list(tx, floor.site, Some(item), "", i64::MAX)? {
        let balances = balances::of_lot(tx, floor.site, &row.id)?;
        let lot = stock::held_lot(row, balances, floor.bakery)?;
        let in_date = lot.until.is_none_or(|(until, _)| until >= floor.at);
        if lot.state.is_usable() && lot.balance_micro > 0 && in_date && !in_held_bin(&lot) {
            found.push(lot);
        }
    }
    found.sort_by_key(|lot| {
        let until = lot.until.map_or(Timestamp::MAX, |(until, _)| until);
        let sealed = lot.opened_at.is_none();
        (until, sealed, lot.received, lot.name.clone(), instant_key(lot), lot.id.clone())
    });
    Ok(found)
}

fn instant_key(lot: &LotHeld) -> Option<String> {
    lot.made_at.map(instant::text)
}

/// Where nothing was proposed: the first lot of the item that has something, else the newest.
pub(in crate::service) fn any_lot(
    tx: &mut Tx,
    floor: Floor<'_>,
    item: &str,
) -> Result<Option<String>, Refusal> {
    if let Some(lot) = first_out(tx, floor, item)?.into_iter().next() {
        return Ok(Some(lot.id));
    }
    let known = rows::list(tx, floor.site, Some(item), "", i64::MAX)?;
    let usable = |row: &&LotRow| LotState::parse(&row.state).is_some_and(LotState::is_usable);
    Ok(known.iter().rfind(usable).map(|row| row.id.clone()))
}
