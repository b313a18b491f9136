//! What the pieces of a service date really cost, and who got them.

use super::{Entry, Ledger, ledger, minor};
use crate::{
    service::{Refusal, book, loads},
    state::State,
    store::{StoreError, Tx, product_lots, trace},
};
use domain::{
    figure::Figure,
    plan::cost::Cost,
    valuation::{Flow, Worth},
};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Some pieces or some dough, and what they cost.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Sum {
    /// Millionths of a piece or of the base unit.
    pub micro: i128,
    /// What they cost; what has no price is named by its number in the ledger.
    pub cost: Cost,
}

impl Sum {
    fn add(&mut self, micro: i128, cost: &Cost) {
        self.micro += micro;
        self.cost.add(cost, &Figure::whole(1));
    }
}

/// Who got pieces, or what else became of them.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Share {
    /// Sent to a customer for the date.
    Customer(String),
    /// Sent for the date without an order on record.
    NoOrder,
    /// Sent for the date out of what was made for other dates: they count below zero.
    FromOtherDates,
    /// Made for the date and sent for another.
    ForOtherDates,
    /// Went into other products.
    Taken,
    /// Thrown away after they were counted good.
    Wasted,
    /// Missing at counts; below zero if more was found.
    Counted,
    /// Rejected, where no piece of a lot came out good to carry it.
    Rejected,
    /// Still in the house.
    Left,
}

/// A load, by what names it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadName {
    /// Its id.
    pub id: String,
    /// What it makes.
    pub formula: String,
    /// Its number among the loads of its formula and date.
    pub number: i64,
}

/// What one service date really cost.
#[derive(Debug)]
pub struct ActualDay {
    /// The whole ledger.
    pub ledger: Ledger,
    /// Its loads.
    pub loads: Vec<LoadName>,
    /// Good pieces by product; rejected ones are in their cost.
    pub products: BTreeMap<String, Sum>,
    /// What its loads made, by formula, as it came out of the bowl.
    pub doughs: BTreeMap<String, Sum>,
    /// The same money by who got the pieces.
    pub shares: BTreeMap<Share, Sum>,
}

/// Whose an order was, and for when.
type Order = (Option<String>, Option<Date>);

/// Sums the ledger of a service date.
///
/// # Errors
/// [`Refusal`]
pub fn actual_day(state: &State, tx: &mut Tx, date: Date) -> Result<ActualDay, Refusal> {
    let ledger = ledger(state, tx)?;
    let loads = loads::list_from(tx, &state.site, date)?;
    let loads = loads.into_iter().filter(|load| load.service_date == date);
    let loads =
        loads.map(|load| LoadName { id: load.id, formula: load.formula, number: load.number });
    let loads: Vec<LoadName> = loads.collect();
    let rows = product_lots::of_date(tx, &state.site, &date.to_string())?;
    let made: BTreeSet<&str> = rows.iter().map(|row| row.lot.as_str()).collect();
    let lots = (0_u32..).zip(&ledger.lots);
    let own = lots.filter(|(_, lot)| made.contains(lot.id.as_str())).map(|(at, _)| at).collect();
    let orders = sent_orders(tx, &state.site, &ledger)?;
    let (products, shares) = pieces(&ledger, &own, (&orders, date));
    let doughs = doughs(&ledger, &loads);
    Ok(ActualDay { ledger, loads, products, doughs, shares })
}

/// The orders behind all that was sent, in the order in which the ledger names them.
fn sent_orders(tx: &mut Tx, site: &str, ledger: &Ledger) -> Result<Vec<Order>, StoreError> {
    let mut known: BTreeMap<String, Order> = BTreeMap::new();
    for (name, customer, date) in trace::orders_of(tx, site, &ledger.orders)? {
        let date = date.as_deref().map(book::date).transpose()?;
        known.insert(name, (customer, date));
    }
    Ok(ledger.orders.iter().map(|name| known.remove(name).unwrap_or_default()).collect())
}

/// What all pieces of each lot cost against its good ones, which carry the rejected; only of
/// lots with something good in them.
fn lifts(ledger: &Ledger) -> BTreeMap<u32, Figure> {
    let mut sums: BTreeMap<u32, (Worth, Worth)> = BTreeMap::new();
    for entry in &ledger.entries {
        let (all, good) = sums.entry(entry.lot).or_default();
        if entry.flow == Flow::Made {
            *all += entry.worth;
        }
        if entry.flow == Flow::Made || entry.rejected {
            *good += entry.worth;
        }
    }
    let lift = |(lot, (all, good)): (u32, (Worth, Worth))| {
        (good > 0).then(|| (lot, minor(all).over(&minor(good))))
    };
    sums.into_iter().filter_map(lift).collect()
}

/// What became of pieces by one entry; none if it made them or moved them about.
fn share(entry: &Entry, order: Option<&Order>, date: Date) -> Option<Share> {
    match entry.flow {
        Flow::Made | Flow::Moved => None,
        Flow::Used => Some(Share::Taken),
        Flow::Wasted => Some(Share::Wasted),
        Flow::Counted | Flow::Received | Flow::Returned => Some(Share::Counted),
        Flow::Sent => Some(match order {
            Some((Some(customer), Some(of))) if *of == date => Share::Customer(customer.clone()),
            Some((_, Some(of))) if *of != date => Share::ForOtherDates,
            _ => Share::NoOrder,
        }),
    }
}

/// Money of one service date while it is summed.
struct Sums<'a> {
    ledger: &'a Ledger,
    lifts: BTreeMap<u32, Figure>,
    products: BTreeMap<String, Sum>,
    shares: BTreeMap<Share, Sum>,
}

impl Sums<'_> {
    /// What a worth of a lot costs; `lifted` with its part of the rejected pieces.
    fn cost(&self, lot: u32, worth: Worth, lifted: bool) -> Cost {
        let missing = self.ledger.valuation.lots[lot as usize].missing.clone();
        let lift = self.lifts.get(&lot).filter(|_| lifted);
        let plain = minor(worth);
        Cost { minor: lift.map_or_else(|| plain.clone(), |lift| plain.times(lift)), missing }
    }

    fn give(&mut self, share: Share, lot: u32, (micro, worth): (i128, Worth)) {
        let cost = self.cost(lot, worth, true);
        self.shares.entry(share).or_default().add(micro, &cost);
    }

    /// Pieces that were made for the date: what came out, and what became of it.
    fn own(&mut self, entry: &Entry, share: Option<Share>) {
        let micro = i128::from(entry.amount_micro);
        let product = &self.ledger.lots[entry.lot as usize].item;
        if entry.flow == Flow::Made {
            let cost = self.cost(entry.lot, entry.worth, false);
            self.products.entry(product.clone()).or_default().add(micro, &cost);
        }
        if entry.rejected {
            self.products.entry(product.clone()).or_default().micro += micro;
            if !self.lifts.contains_key(&entry.lot) {
                self.give(Share::Rejected, entry.lot, (-micro, -entry.worth));
            }
        } else if let Some(share) = share {
            self.give(share, entry.lot, (-micro, -entry.worth));
        }
    }

    /// Pieces of another date that were sent for this one.
    fn other(&mut self, entry: &Entry, share: Share) {
        let micro = i128::from(entry.amount_micro);
        self.give(share, entry.lot, (-micro, -entry.worth));
        self.give(Share::FromOtherDates, entry.lot, (micro, entry.worth));
    }
}

type Pieces = (BTreeMap<String, Sum>, BTreeMap<Share, Sum>);

fn pieces(ledger: &Ledger, own: &BTreeSet<u32>, (orders, date): (&[Order], Date)) -> Pieces {
    let (products, shares) = (BTreeMap::new(), BTreeMap::new());
    let mut sums = Sums { ledger, lifts: lifts(ledger), products, shares };
    for entry in &ledger.entries {
        let order = entry.order.map(|at| &orders[at as usize]);
        let share = share(entry, order, date);
        if own.contains(&entry.lot) {
            sums.own(entry, share);
        } else if let Some(Share::Customer(customer)) = share {
            sums.other(entry, Share::Customer(customer));
        }
    }
    for &lot in own {
        let left = &ledger.valuation.lots[lot as usize];
        if (left.amount_micro, left.worth) != (0, 0) {
            sums.give(Share::Left, lot, (left.amount_micro, left.worth));
        }
    }
    (sums.products, sums.shares)
}

/// What the loads of a date made, by formula, before pieces are divided from it.
fn doughs(ledger: &Ledger, loads: &[LoadName]) -> BTreeMap<String, Sum> {
    let mut doughs: BTreeMap<String, Sum> = BTreeMap::new();
    for entry in ledger.entries.iter().filter(|entry| entry.flow == Flow::Made) {
        let Some(work) = entry.work.map(|at| &ledger.works[at as usize]) else { continue };
        let lot = &ledger.lots[entry.lot as usize];
        if loads.iter().any(|load| load.id == *work && load.formula == lot.item) {
            let missing = ledger.valuation.lots[entry.lot as usize].missing.clone();
            let cost = Cost { minor: minor(entry.worth), missing };
            let sum = doughs.entry(lot.item.clone()).or_default();
            sum.add(entry.amount_micro.into(), &cost);
        }
    }
    doughs
}
