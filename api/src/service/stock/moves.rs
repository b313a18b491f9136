//! Moves: some of a lot goes from one place to another. What leaves a freezer starts to thaw.

use super::{
    LotHeld, bins, fault, find_lot, held, in_unit_of, lots::thawing, moment, revise, unknown,
};
use crate::{
    clock,
    service::{
        Refusal, book,
        ledger::{self, Entry},
        plan::refused,
    },
    store::{
        Tx, balances, bins as bin_rows, instant, lots as rows,
        lots::{LotChange, LotRow},
    },
};
use domain::{
    bakery::Bakery,
    equipment::PlaceKind,
    id::Code,
    lot::LotState,
    movement::MovementKind,
    quantity::{Quantity, micro_decimal},
    ratio::Ratio,
    shelf_life::thawed_until,
};
use jiff::Timestamp;

/// Some of a lot went to another place.
#[derive(Debug, Clone)]
pub struct Move {
    /// Id of the lot.
    pub lot: String,
    /// Where it went.
    pub to: Code,
    /// Where it lay; where most of the lot lies if not said.
    pub from: Option<Code>,
    /// How much; all that lay there if not said.
    pub quantity: Option<Quantity>,
    /// When; now if not said.
    pub moved_at: Option<Timestamp>,
    /// Who carried it.
    pub who: Option<String>,
    /// Why.
    pub reason: Option<String>,
}

/// What a move came to.
#[derive(Debug, Clone)]
pub struct Moved {
    /// The document that both entries carry.
    pub document: String,
    /// Ids of the entries: out of the one place, into the other.
    pub movements: [String; 2],
    /// How much, in millionths of the base unit.
    pub amount_micro: i64,
    /// The lot after it: of a part that thaws, that part.
    pub lot: LotHeld,
}

/// Moves some of a lot, or all that lies at a place: two entries that sum to nothing.
///
/// A part that leaves a freezer becomes a lot of the same name and dates, because it thaws
/// and the rest does not.
///
/// # Errors
/// [`Refusal::Unknown`]; [`Refusal::Body`] names every fault.
pub fn place_lot(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    asked: &Move,
) -> Result<Moved, Refusal> {
    let Move { lot, to, from, quantity, moved_at, who, reason } = asked;
    let row = held::row(tx, site, lot)?;
    let at = moment(now, *moved_at, "/moved_at")?;
    let from = from_place(bakery, &row, to, from.as_ref())?;
    let held_there = balances::of_lot(tx, site, lot)?;
    let lies = |row: &&balances::BalanceRow| row.place == from;
    let there = held_there.iter().find(lies).map_or(0, |row| row.balance_micro);
    let amount_micro = match quantity {
        Some(quantity) => in_unit_of(bakery, &row, *quantity, "/quantity")?,
        None => there,
    };
    if amount_micro <= 0 {
        let detail = format!("nothing of lot {} moves: say more than nothing", row.name);
        return Err(fault("/quantity", "out-of-range", detail));
    }
    let way = (from.as_str(), to.as_str());
    let thaws = match thaw(bakery, &row, way, (now, at), "/to")? {
        Some(change) => {
            if amount_micro > there {
                let detail = format!(
                    "{from} holds {} of lot {} by the book: move no more than that, or count it \
                     first",
                    micro_decimal(Ratio::whole(there.into())),
                    row.name
                );
                return Err(fault("/quantity", "out-of-range", detail));
            }
            let rest = held_there.iter().map(|row| row.balance_micro).sum::<i64>() - amount_micro;
            Some(apart(tx, site, now, &row, (change, rest))?)
        }
        None => None,
    };
    let there_now = thaws.as_deref().unwrap_or(lot);
    let ways = ((lot.as_str(), from.as_str()), (there_now, to.as_str()));
    let said = (who.as_deref(), reason.as_deref());
    let (document, movements) = carry(tx, site, now, bakery, ways, (amount_micro, at), said)?;
    for lot in std::collections::BTreeSet::from([lot.as_str(), there_now]) {
        settle(tx, site, lot)?;
    }
    let cause = format!("move of {}, lot {}, to {to}", row.item, row.name);
    revise(tx, site, now, &cause)?;
    let held = find_lot(tx, site, bakery, there_now)?;
    Ok(Moved { document, movements, amount_micro, lot: held })
}

/// Two entries that sum to nothing: out of the one lot and place, into the other; what comes
/// into a bin lies there with the others. Returns their document and their ids.
pub(super) fn carry(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (from, to): ((&str, &str), (&str, &str)),
    (amount_micro, at): (i64, Timestamp),
    (who, reason): (Option<&str>, Option<&str>),
) -> Result<(String, [String; 2]), Refusal> {
    let document = format!("move:{}", clock::new_id(now));
    let half = |(lot, place), amount_micro| Entry {
        who,
        reason,
        document: Some(&document),
        place: Some(place),
        ..Entry::new(lot, MovementKind::Move, amount_micro, at)
    };
    let out = ledger::enter(tx, site, now, half(from, -amount_micro))?;
    let into = ledger::enter(tx, site, now, half(to, amount_micro))?;
    let (lot, place) = to;
    if bins::is_bin(bakery, place) {
        bin_rows::fill(tx, site, (place, lot), &instant::text(at))?;
    }
    Ok((document, [out, into]))
}

/// The place that a lot leaves: as said, else where most of it lies.
fn from_place(
    bakery: &Bakery,
    row: &LotRow,
    to: &Code,
    from: Option<&Code>,
) -> Result<String, Refusal> {
    let places = [("/to", Some(to)), ("/from", from)];
    let missing = places.into_iter().filter_map(|(pointer, code)| {
        let code = code.filter(|code| bakery.index().place(code.as_str()).is_none())?;
        Some(unknown(pointer, "place", code))
    });
    let missing: Vec<_> = missing.collect();
    if !missing.is_empty() {
        return Err(Refusal::Body(missing));
    }
    let from = match from {
        Some(from) => from.to_string(),
        None => row.place.clone().unwrap_or_default(),
    };
    if from == to.as_str() {
        return Err(fault("/to", "field-mismatch", format!("it lies in `{to}` already")));
    }
    Ok(from)
}

/// How a lot changes that leaves a freezer for another place; none if it does not.
///
/// # Errors
/// A fault at `pointer` if it would be frozen a second time; as [`thawing`].
pub(super) fn thaw(
    bakery: &Bakery,
    row: &LotRow,
    (from, to): (&str, &str),
    (now, at): (Timestamp, Timestamp),
    pointer: &str,
) -> Result<Option<LotChange>, Refusal> {
    let is_freezer = |code: &str| {
        let place = bakery.index().place(code);
        place.is_some_and(|at| bakery.lists().places[at as usize].kind == PlaceKind::Freezer)
    };
    if row.thaw_started.is_some() {
        if is_freezer(to) {
            let detail = format!("lot {} was thawed once: no second freezing", row.name);
            return Err(fault(pointer, "field-mismatch", detail));
        }
        return Ok(None);
    }
    let there = Some(from.to_owned()).filter(|from| !from.is_empty());
    let lot = book::lot(LotRow { place: there, ..row.clone() }, 0)?;
    if is_freezer(to) || !bakery.is_frozen(&lot) {
        return Ok(None);
    }
    if lot.state == LotState::Frozen {
        return thawing(bakery, row, (now, at), None).map(Some);
    }
    // What came frozen keeps the date that is printed on it, and no longer than it keeps once
    // thawed, where the item says how long that is.
    let item = bakery.index().item(&row.item).map(|position| bakery.item(position));
    let life = item.and_then(|item| item.thawed_life_minutes);
    let zone = &bakery.site().time_zone;
    let until = life.map(|life| thawed_until(zone, at, life, None)).transpose();
    Ok(Some(LotChange {
        thaw_started: Some(instant::text(at)),
        thawed_until: until.map_err(refused)?.map(instant::text),
        ..LotChange::from(row)
    }))
}

/// The lot that thaws: all of it if nothing stays, else a new one for the part that moves.
fn apart(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    row: &LotRow,
    (change, rest): (LotChange, i64),
) -> Result<String, Refusal> {
    let id = if rest == 0 {
        row.id.clone()
    } else {
        let id = clock::new_id(now).to_string();
        rows::insert(tx, &LotRow { id: id.clone(), place: None, ..row.clone() })?;
        id
    };
    rows::change(tx, site, &id, &change)?;
    Ok(id)
}

/// Notes where most of a lot lies; where it lay wins a tie.
pub(super) fn settle(tx: &mut Tx, site: &str, lot: &str) -> Result<(), Refusal> {
    let row = held::row(tx, site, lot)?;
    let balances = balances::of_lot(tx, site, lot)?;
    let stays = |place: &str| row.place.as_deref().unwrap_or_default() == place;
    let most = balances.iter().max_by_key(|row| (row.balance_micro, stays(&row.place)));
    let place = most.map(|row| row.place.clone()).filter(|place| !place.is_empty());
    if place.is_some() && place != row.place {
        rows::change(tx, site, lot, &LotChange { place, ..LotChange::from(&row) })?;
    }
    Ok(())
}
