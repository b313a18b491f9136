//! Packs of a lot: one is opened apart from the rest, and an empty sack is closed.

use super::{
    Act, LotHeld, fault, find_lot, held, in_unit_of,
    lots::{legal, open},
    moment,
    moves::{carry, settle, thaw},
    revise,
};
use crate::{
    clock,
    service::{
        Refusal,
        book::state_of,
        ledger::{self, Entry},
    },
    store::{Tx, balances, lots as rows, lots::LotRow},
};
use domain::{bakery::Bakery, id::Code, lot::LotState, movement::MovementKind, quantity::Quantity};
use jiff::Timestamp;

/// What is left in a sack when it is empty went over the scale, a gram at a time.
///
/// # Source
/// The trade rules, part 4: a part-used sack is closed by "sack empty", and the residual goes
/// to weighing loss.
const SACK_EMPTY: &str = "weighing loss";

/// A pack is opened.
#[derive(Debug, Clone, Default)]
pub struct Opening {
    /// Who, when and why.
    pub act: Act,
    /// What the pack holds, by estimate; the whole lot is opened if not said.
    pub quantity: Option<Quantity>,
    /// Where the open pack stands from then on; where it lay if not said.
    pub place: Option<Code>,
}

/// Opens a pack of a lot: it becomes a lot of the same name and dates, whose opened life
/// counts, while the sealed rest keeps its own. One that leaves a freezer as it is opened
/// thaws from that moment on, as by a move.
///
/// # Errors
/// As opening and thawing it each have; [`Refusal::Body`] names the fault.
///
/// # Source
/// The trade rules, part 4: part-used sacks are sub-lots with an estimated quantity; a lot is
/// usable until the first of opened plus opened life and thaw start plus thawed life.
pub fn open_pack(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, opening): (&str, &Opening),
) -> Result<LotHeld, Refusal> {
    let Opening { act, quantity, place } = opening;
    let row = held::row(tx, site, id)?;
    let Some(quantity) = quantity else {
        return open(tx, site, now, bakery, (id, act));
    };
    let at = moment(now, act.at, "/at")?;
    let amount = in_unit_of(bakery, &row, *quantity, "/quantity")?;
    let from = row.place.clone().unwrap_or_default();
    let lies = balances::of_lot(tx, site, id)?;
    let there = lies.iter().find(|row| row.place == from).map_or(0, |row| row.balance_micro);
    if amount <= 0 || amount > there {
        let detail = format!(
            "a pack of lot {} holds more than nothing and no more than what lies in `{from}`: \
             weigh it, or count the lot first",
            row.name
        );
        return Err(fault("/quantity", "out-of-range", detail));
    }
    let unknown = place.as_ref().filter(|code| bakery.index().place(code.as_str()).is_none());
    if let Some(code) = unknown {
        return Err(Refusal::Body(vec![super::unknown("/place", "place", code)]));
    }
    let whole = lies.iter().map(|row| row.balance_micro).sum::<i64>() == amount;
    let to = place.as_ref().map_or(from.as_str(), Code::as_str);
    let thaws = match to == from {
        true => None,
        false => thaw(bakery, &row, (&from, to), (now, at), "/place")?,
    };
    let pack = if whole { id.to_owned() } else { apart(tx, now, &row, thaws.is_some())? };
    if let Some(change) = &thaws {
        rows::change(tx, site, &pack, change)?;
    }
    if !whole || to != from {
        let ways = ((id, from.as_str()), (pack.as_str(), to));
        let said = (act.who.as_deref(), act.reason.as_deref());
        carry(tx, site, now, bakery, ways, (amount, at), said)?;
    }
    for lot in std::collections::BTreeSet::from([id, pack.as_str()]) {
        settle(tx, site, lot)?;
    }
    open(tx, site, now, bakery, (&pack, act))
}

/// A lot of the same name and dates, with nothing in it yet.
fn apart(tx: &mut Tx, now: Timestamp, row: &LotRow, thaws: bool) -> Result<String, Refusal> {
    let state = state_of(&row.state)?;
    let sealed = if state == LotState::Open { LotState::Released } else { state };
    if !sealed.is_usable() && !thaws {
        legal(row, state, LotState::Open)?;
    }
    let id = clock::new_id(now).to_string();
    let new = LotRow {
        id: id.clone(),
        place: None,
        state: sealed.word().to_owned(),
        opened_at: None,
        ..row.clone()
    };
    rows::insert(tx, &new)?;
    Ok(id)
}

/// A sack is empty: what the book still has of it was lost on the scale, and what the book
/// lacks was never there.
///
/// # Errors
/// [`Refusal::Unknown`]; `wrong-state` if it is on hold.
pub fn empty_pack(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, act): (&str, &Act),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let at = moment(now, act.at, "/at")?;
    let state = state_of(&row.state)?;
    legal(&row, state, LotState::UsedUp)?;
    for there in balances::of_lot(tx, site, id)? {
        let left = there.balance_micro;
        let (kind, reason) = match left {
            0 => continue,
            1.. => (MovementKind::Waste, Some(SACK_EMPTY)),
            _ => (MovementKind::Count, act.reason.as_deref()),
        };
        let entry = Entry {
            who: act.who.as_deref(),
            reason,
            place: Some(&there.place),
            ..Entry::new(id, kind, -left, at)
        };
        ledger::enter(tx, site, now, entry)?;
    }
    let entry = Entry {
        who: act.who.as_deref(),
        reason: act.reason.as_deref(),
        ..Entry::new(id, MovementKind::Empty, 0, at)
    };
    ledger::enter(tx, site, now, entry)?;
    revise(tx, site, now, &format!("pack of {}, lot {}, is empty", row.item, row.name))?;
    find_lot(tx, site, bakery, id)
}
