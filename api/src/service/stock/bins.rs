//! Bins: topped up before they are empty, they hold a set of lots until they are emptied.

use super::{Act, LotHeld, fault, find_lot, in_unit_of, moment, revise, row};
use crate::{
    service::{
        Refusal,
        ledger::{self, Entry},
    },
    store::{StoreError, Tx, balances, bins as rows, instant},
};
use domain::{
    bakery::Bakery, equipment::PlaceKind, lot::LotState, movement::MovementKind, quantity::Quantity,
};
use jiff::Timestamp;
use std::collections::BTreeSet;

/// A bin with every lot that what is drawn from it may come from.
#[derive(Debug, Clone)]
pub struct BinHeld {
    /// The bin.
    pub place: String,
    /// Each lot, what of it lies there by the book, and since when, by filling.
    pub lots: Vec<(LotHeld, i64, Timestamp)>,
}

/// Something was drawn from a bin.
#[derive(Debug, Clone)]
pub struct Draw {
    /// How much.
    pub quantity: Quantity,
    /// When; now if not said.
    pub drawn_at: Option<Timestamp>,
    /// Id of the load that it was for.
    pub load: Option<String>,
    /// Who drew it.
    pub who: Option<String>,
}

/// Whether a place is a bin.
pub(in crate::service) fn is_bin(bakery: &Bakery, place: &str) -> bool {
    bakery
        .lists()
        .places
        .iter()
        .any(|found| found.code.as_str() == place && found.kind == PlaceKind::Bin)
}

/// Bins of which nothing may be used: a lot in them must not be, and nobody can tell it from
/// the others.
///
/// # Errors
/// [`StoreError`]
///
/// # Source
/// The trade rules, part 4: a bin carries a set of lots until it is emptied.
pub(in crate::service) fn held_bins(
    tx: &mut Tx,
    site: &str,
) -> Result<BTreeSet<String>, StoreError> {
    let states: Vec<&str> = LotState::ALL
        .into_iter()
        .filter(|state| state.is_kept_back() && *state != LotState::UsedUp)
        .map(LotState::word)
        .collect();
    Ok(rows::with_lots_in(tx, site, &states)?.into_iter().collect())
}

/// What lies together in a bin.
///
/// # Errors
/// [`Refusal::Unknown`] if the place is no bin.
pub fn bin(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    place: &str,
) -> Result<BinHeld, Refusal> {
    if !is_bin(bakery, place) {
        return Err(Refusal::Unknown { noun: "bin", code: place.to_owned() });
    }
    let mut lots = Vec::new();
    for row in rows::at(tx, site, place, &instant::text(now))? {
        let there = balances::of_lot(tx, site, &row.lot)?;
        let there = there.iter().find(|row| row.place == place).map_or(0, |row| row.balance_micro);
        let lot = find_lot(tx, site, bakery, &row.lot)?;
        lots.push((lot, there, instant::read(&row.entered_at)?));
    }
    Ok(BinHeld { place: place.to_owned(), lots })
}

/// Empties a bin: what the book still had there is a variance, and its lots are done with it.
///
/// # Errors
/// [`Refusal::Unknown`] if the place is no bin.
pub fn empty(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (place, act): (&str, &Act),
) -> Result<BinHeld, Refusal> {
    let at = moment(now, act.at, "/at")?;
    let held = bin(tx, site, at, bakery, place)?;
    for (lot, there, _) in &held.lots {
        let entry = |kind, amount_micro| Entry {
            who: act.who.as_deref(),
            reason: act.reason.as_deref().or(Some("bin emptied")),
            place: Some(place),
            ..Entry::new(&lot.id, kind, amount_micro, at)
        };
        if *there != 0 {
            ledger::enter(tx, site, now, entry(MovementKind::Count, -there))?;
        }
        ledger::enter(tx, site, now, entry(MovementKind::Empty, 0))?;
    }
    rows::empty(tx, site, place, (&instant::text(at), act.who.as_deref()))?;
    revise(tx, site, now, &format!("bin {place} emptied"))?;
    bin(tx, site, now, bakery, place)
}

/// Draws from a bin: one entry for each of its lots, in proportion to what lies there, so
/// that a trace never loses one. Returns the ids of the entries and the bin after them.
///
/// # Errors
/// [`Refusal::Unknown`] if the place is no bin; [`Refusal::Body`] names the fault.
///
/// # Source
/// The trade rules, part 4, places; shares by largest remainder, part 2.5.
pub fn draw(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (place, draw): (&str, &Draw),
) -> Result<(Vec<String>, BinHeld), Refusal> {
    let at = moment(now, draw.drawn_at, "/drawn_at")?;
    let held = bin(tx, site, at, bakery, place)?;
    let Some((first, ..)) = held.lots.first() else {
        let detail = format!("nothing is in `{place}`: move a lot into it first");
        return Err(fault("/quantity", "out-of-range", detail));
    };
    let amount = in_unit_of(bakery, &row(tx, site, &first.id)?, draw.quantity, "/quantity")?;
    if amount <= 0 {
        return Err(fault("/quantity/amount", "out-of-range", "say more than nothing"));
    }
    if let Some((lot, ..)) = held.lots.iter().find(|(lot, ..)| lot.unit != first.unit) {
        let detail = format!("lot {} is kept in another unit than the rest of the bin", lot.name);
        return Err(fault("/quantity/unit", "unit-mismatch", detail));
    }
    let mut written = Vec::new();
    for (lot, share) in drawn(&held, amount) {
        let entry = Entry {
            who: draw.who.as_deref(),
            load: draw.load.as_deref(),
            place: Some(place),
            ..Entry::new(&lot, MovementKind::Weigh, -share, at)
        };
        written.push(ledger::enter(tx, site, now, entry)?);
    }
    revise(tx, site, now, &format!("draw from bin {place}"))?;
    Ok((written, bin(tx, site, now, bakery, place)?))
}

/// What is drawn of each lot of a bin, 0 included, so that a trace never drops one.
pub(in crate::service) fn drawn(held: &BinHeld, amount: i64) -> Vec<(String, i64)> {
    let there: Vec<i64> = held.lots.iter().map(|(_, there, _)| (*there).max(0)).collect();
    let lots = held.lots.iter().map(|(lot, ..)| lot.id.clone());
    lots.zip(shares(&there, amount)).collect()
}

/// An amount divided in proportion by largest remainder; all of it on the first if there is
/// nothing to go by. Ties go by order.
fn shares(there: &[i64], amount: i64) -> Vec<i64> {
    let all: i128 = there.iter().map(|&one| i128::from(one)).sum();
    if all == 0 {
        let mut shares = vec![0; there.len()];
        if let Some(first) = shares.first_mut() {
            *first = amount;
        }
        return shares;
    }
    let exact = |one: i64| i128::from(amount) * i128::from(one);
    let floor = |one: i64| i64::try_from(exact(one).div_euclid(all)).unwrap_or(0);
    let mut shares: Vec<i64> = there.iter().map(|&one| floor(one)).collect();
    let mut order: Vec<usize> = (0..there.len()).collect();
    order.sort_by_key(|&at| (std::cmp::Reverse(exact(there[at]).rem_euclid(all)), at));
    let spare = amount - shares.iter().sum::<i64>();
    for &at in order.iter().take(usize::try_from(spare).unwrap_or(0)) {
        shares[at] += 1;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_draw_is_shared_to_the_last_millionth_and_never_drops_a_lot() {
        assert_eq!(shares(&[100, 200, 300], 100), [17, 33, 50]);
        assert_eq!(shares(&[1, 1, 1], 2), [1, 1, 0]);
        assert_eq!(shares(&[0, 0], 5), [5, 0]);
        assert_eq!(shares(&[10, 0], 4), [4, 0]);
    }
}
