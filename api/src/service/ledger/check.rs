//! Proves the ledger: balances are sums, the chain is whole, every lot's masses add up.

use super::chain::{self, PAGE};
use crate::{
    service::{Refusal, bakery},
    state::State,
    store::{
        StoreError, Tx, balances, lots, lots::LotRow, movements as rows, movements::MovementRow,
    },
};
use domain::{
    mass_balance::MassBalance,
    movement::{Direction, MovementKind},
    quantity::micro_decimal,
    ratio::Ratio,
};
use std::collections::BTreeMap;

/// What was proved, and what could not be.
#[derive(Debug, Clone, Default)]
pub struct Checked {
    /// Entries of the chain that were read.
    pub entries: i64,
    /// Entries from before the chain; its first link covers them.
    pub entries_before: i64,
    /// Lots that were balanced.
    pub lots: i64,
    /// Hash of the last entry: who notes it can prove later that nothing was cut off.
    pub last_hash: Option<String>,
    /// What each lot came to, by id.
    pub balances: BTreeMap<String, MassBalance>,
    /// What is wrong, in the order in which it was found.
    pub findings: Vec<Finding>,
}

/// One thing that is wrong, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// A stable word.
    pub kind: &'static str,
    /// The lot, entry or noun that it is about.
    pub about: String,
    /// In plain words, with what to do next.
    pub detail: String,
}

/// Proves everything that the ledger promises, as one read sees it.
///
/// # Errors
/// [`Refusal::Store`]; what is wrong with the data is a finding, never an error.
pub fn check(state: &State, tx: &mut Tx) -> Result<Checked, Refusal> {
    let site = &state.site;
    let mut checked = Checked::default();
    let mut seen = Seen::default();
    let genesis = chain::genesis(tx, site)?;
    walk_before(tx, site, &mut seen, &mut checked)?;
    walk_chain(tx, site, genesis, &mut seen, &mut checked)?;
    let lots = lots::list_all(tx, site)?.into_iter();
    let lots: BTreeMap<String, LotRow> = lots.map(|lot| (lot.id.clone(), lot)).collect();
    compare_balances(tx, site, &lots, &seen, &mut checked)?;
    balance_masses(tx, site, &lots, &seen, &mut checked)?;
    match bakery::load(state, tx) {
        Ok(_) | Err(Refusal::NoBakery) => {}
        Err(Refusal::Store(error)) => return Err(error.into()),
        Err(other) => checked.find(
            "bakery-broken",
            "bakery",
            format!("the bakery document does not compile ({other}): put a mended one"),
        ),
    }
    Ok(checked)
}

impl Checked {
    fn find(&mut self, kind: &'static str, about: &str, detail: String) {
        self.findings.push(Finding { kind, about: about.to_owned(), detail });
    }
}

/// What was read of the ledger so far.
#[derive(Default)]
struct Seen {
    sums: BTreeMap<(String, String), i128>,
    masses: BTreeMap<String, MassBalance>,
    /// Lot, kind and amount of entries that others may take back.
    entries: BTreeMap<String, (String, MovementKind, i64)>,
    moves: BTreeMap<String, i128>,
}

fn walk_before(
    tx: &mut Tx,
    site: &str,
    seen: &mut Seen,
    checked: &mut Checked,
) -> Result<(), StoreError> {
    let mut after = String::new();
    loop {
        let page = rows::before_chain(tx, site, &after, PAGE)?;
        let Some(last) = page.last() else { return Ok(()) };
        after.clone_from(&last.id);
        for row in &page {
            checked.entries_before += 1;
            read(row, seen, checked);
        }
    }
}

fn walk_chain(
    tx: &mut Tx,
    site: &str,
    genesis: String,
    seen: &mut Seen,
    checked: &mut Checked,
) -> Result<(), StoreError> {
    let (mut number, mut before) = (0, genesis);
    loop {
        let page = rows::chain(tx, site, number, PAGE)?;
        if page.is_empty() {
            break;
        }
        for row in &page {
            if row.sequence != number + 1 {
                let detail = format!(
                    "entries {} to {} of the chain are missing: restore them from a backup",
                    number + 1,
                    row.sequence - 1
                );
                checked.find("sequence-gap", &row.id, detail);
            }
            if row.previous_hash != before && row.sequence == number + 1 {
                let detail = format!(
                    "entry {} does not follow from the one before it: one of the two, or what \
                     lay between them, was changed; compare both with a backup",
                    row.sequence
                );
                checked.find("chain-broken", &row.id, detail);
            }
            if chain::hash(row)? != row.hash {
                let detail = format!(
                    "entry {} is not what was written (its hash differs): compare it with a \
                     backup, then correct it by a counter-entry",
                    row.sequence
                );
                checked.find("entry-changed", &row.id, detail);
            }
            (number, before) = (row.sequence, row.hash.clone());
            checked.entries += 1;
            read(row, seen, checked);
        }
    }
    let head = rows::head(tx, site)?;
    let last = (number > 0).then_some((number, before));
    if head != last {
        let noted = head.map_or(0, |(sequence, _)| sequence);
        let detail = format!(
            "the chain ends at entry {number} and should end at entry {noted}: its end was cut \
             off or changed; restore it from a backup"
        );
        checked.find("chain-cut", site, detail);
    }
    checked.last_hash = last.map(|(_, hash)| hash);
    Ok(())
}

/// Adds one entry to what was seen, and looks at it by itself.
fn read(row: &MovementRow, seen: &mut Seen, checked: &mut Checked) {
    let sum = seen.sums.entry((row.lot.clone(), row.place.clone())).or_default();
    *sum += i128::from(row.amount_micro);
    let Some(kind) = MovementKind::parse(&row.kind) else {
        let detail = format!("`{}` is no kind of entry: compare it with a backup", row.kind);
        return checked.find("unknown-kind", &row.id, detail);
    };
    if !kind.may_add(row.amount_micro) {
        let detail = format!(
            "a `{}` entry adds {} millionths: compare it with a backup, then correct it",
            row.kind, row.amount_micro
        );
        checked.find("wrong-direction", &row.id, detail);
    }
    let told = if kind == MovementKind::Correct { taken_back(row, seen, checked) } else { kind };
    if told == MovementKind::Move {
        let document = row.document.clone().unwrap_or_else(|| row.id.clone());
        *seen.moves.entry(document).or_default() += i128::from(row.amount_micro);
    }
    let mass = seen.masses.entry(row.lot.clone()).or_default();
    mass.enter(told, row.amount_micro);
    remember(row, kind, seen);
}

fn remember(row: &MovementRow, kind: MovementKind, seen: &mut Seen) {
    if kind.direction() != Direction::Still {
        seen.entries.insert(row.id.clone(), (row.lot.clone(), kind, row.amount_micro));
    }
}

/// The kind that a correction takes back; it must undo exactly one entry of its lot.
fn taken_back(row: &MovementRow, seen: &Seen, checked: &mut Checked) -> MovementKind {
    let wrong = row.reverses.as_ref().and_then(|id| seen.entries.get(id));
    match wrong {
        Some((lot, kind, amount))
            if *lot == row.lot && amount.checked_neg() == Some(row.amount_micro) =>
        {
            *kind
        }
        _ => {
            let detail = "a correction does not undo the entry that it names: compare both with a \
                          backup"
                .to_owned();
            checked.find("correction-open", &row.id, detail);
            MovementKind::Correct
        }
    }
}

/// A lot in words, and its unit.
fn named(lots: &BTreeMap<String, LotRow>, id: &str) -> (String, String) {
    match lots.get(id) {
        Some(lot) => (format!("lot {} of {}", lot.name, lot.item), lot.unit.clone()),
        None => (format!("lot {id}"), "of its unit".to_owned()),
    }
}

fn compare_balances(
    tx: &mut Tx,
    site: &str,
    lots: &BTreeMap<String, LotRow>,
    seen: &Seen,
    checked: &mut Checked,
) -> Result<(), StoreError> {
    let mut cached = BTreeMap::new();
    for row in balances::list_all(tx, site)? {
        cached.insert((row.lot, row.place), i128::from(row.balance_micro));
    }
    let keys = cached.keys().chain(seen.sums.keys()).collect::<std::collections::BTreeSet<_>>();
    for key in keys {
        let (held, sum) = (cached.get(key).copied(), seen.sums.get(key).copied());
        if held.unwrap_or(0) != sum.unwrap_or(0) {
            let (lot, place) = key;
            let (name, unit) = named(lots, lot);
            let place = if place.is_empty() { "no place" } else { place };
            let detail = format!(
                "{name} at {place}: the balance says {} {unit} and its entries sum to {} {unit}: \
                 if no entry was changed, the balance is wrong; restore it from a backup and \
                 count the lot",
                micro_decimal(Ratio::whole(held.unwrap_or(0))),
                micro_decimal(Ratio::whole(sum.unwrap_or(0)))
            );
            checked.find("balance-differs", lot, detail);
        }
    }
    for (document, sum) in seen.moves.iter().filter(|(_, sum)| **sum != 0) {
        let detail = format!(
            "the two ends of the move `{document}` differ by {sum} millionths: correct one of them"
        );
        checked.find("move-uneven", document, detail);
    }
    Ok(())
}

fn balance_masses(
    tx: &mut Tx,
    site: &str,
    lots: &BTreeMap<String, LotRow>,
    seen: &Seen,
    checked: &mut Checked,
) -> Result<(), StoreError> {
    let mut masses = seen.masses.clone();
    for row in balances::list_all(tx, site)? {
        let left = &mut masses.entry(row.lot).or_default().left_micro;
        *left = left.saturating_add(row.balance_micro);
    }
    for lot in lots.values() {
        checked.lots += 1;
        let mass = masses.entry(lot.id.clone()).or_default();
        let gap = mass.gap_micro();
        if gap != 0 {
            let (name, unit) = named(lots, &lot.id);
            let side = if gap > 0 { "is missing from" } else { "is too much in" };
            let detail = format!(
                "{name}: {} {unit} {side} what was used, wasted, returned, sent and is left, \
                 against what came and what counts found; count it",
                micro_decimal(Ratio::whole(gap.abs()))
            );
            checked.find("mass-balance", &lot.id, detail);
        }
    }
    checked.balances = masses;
    Ok(())
}
