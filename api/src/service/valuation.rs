//! The stock ledger in money: what came in, where it went, and what each load really cost.

mod actual;

pub use actual::{ActualDay, LoadName, Share, Sum, actual_day};

use super::{
    Refusal, bakery,
    book::{code, date},
    loads::LoadBody,
    plan::{Morning, refused},
};
use crate::{
    state::State,
    store::{
        StoreError, Tx, instant, loads as load_rows, lots as lot_rows, lots::LotRow,
        movements as rows, movements::MovementRow,
    },
};
use domain::{
    bakery::Bakery,
    calendar,
    figure::Figure,
    movement::MovementKind,
    plan::cost::{Costs, planned_costs},
    price::price_of_received,
    quantity::MICRO,
    ratio::Ratio,
    valuation::{Flow, Left, LotPrice, Valuation, ValuedEntry, ValuedLot, WORTH, Worth, value},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

/// The ledger of a shop in money.
#[derive(Debug)]
pub struct Ledger {
    /// Reference data, for names and the clock.
    pub bakery: Arc<Bakery>,
    /// The moment of asking.
    pub now: Timestamp,
    /// Its lots, by id.
    pub lots: Vec<LotRow>,
    /// Ids of what took and made things: loads, or documents where no load was named.
    pub works: Vec<String>,
    /// Its entries in the order in which they were written.
    pub entries: Vec<Entry>,
    /// Names of the orders that something was sent for.
    pub orders: Vec<String>,
    /// What is left of each lot and work.
    pub valuation: Valuation,
    /// Codes of items and products, by the numbers that stand for them in the valuation.
    pub codes: Vec<String>,
}

/// One entry in money.
#[derive(Debug, Clone, Copy)]
pub struct Entry {
    /// Position of its lot.
    pub lot: u32,
    /// Whether the lot was made here.
    pub made: bool,
    /// Which way it carries value.
    pub flow: Flow,
    /// What it was for, by position.
    pub work: Option<u32>,
    /// The load that it names, by position among the works.
    pub load: Option<u32>,
    /// What it adds to the lot, in millionths of its base unit.
    pub amount_micro: i64,
    /// What that is worth, in millionths of a minor unit.
    pub worth: Worth,
    /// The order that it was sent for, by position.
    pub order: Option<u32>,
    /// Whether it threw away pieces as they were counted: good ones carry their cost.
    pub rejected: bool,
    /// When it happened.
    pub at: Timestamp,
}

impl Ledger {
    /// Codes of what has no price, of some part of the ledger.
    #[must_use]
    pub fn missing(&self, left: &Left) -> Vec<String> {
        left.missing.iter().map(|&item| self.codes[item as usize].clone()).collect()
    }
}

/// Minor units of a worth.
#[must_use]
pub fn minor(worth: Worth) -> Figure {
    Figure::from(Ratio::whole(worth)).over(&Figure::from(Ratio::whole(WORTH)))
}

/// Values the whole ledger of a shop.
///
/// # Errors
/// [`Refusal`]
pub fn ledger(state: &State, tx: &mut Tx) -> Result<Ledger, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let lots = lot_rows::list_all(tx, &state.site)?;
    let movements = rows::list(tx, &state.site, None, "", i64::MAX)?;
    let loads = load_rows::list_from(tx, &state.site, "")?;
    let mut reading = Reading::new(&bakery, &lots, &movements);
    let valued_lots: Vec<ValuedLot> =
        lots.iter().map(|row| reading.lot(row)).collect::<Result<_, _>>()?;
    let entries: Vec<ValuedEntry> =
        movements.iter().map(|row| reading.entry(row)).collect::<Result<_, _>>()?;
    let mut gaps = Vec::new();
    for load in loads {
        let Some(&work) = reading.works.get(&load.id) else { continue };
        let body: LoadBody =
            serde_json::from_str(&load.body).map_err(|_| StoreError::Corrupt("load"))?;
        gaps.extend(reading.gaps(work, &body, &movements));
    }
    let valuation = value(&valued_lots, reading.works.len(), &entries, &gaps).map_err(refused)?;
    let made_at = reading.made_at(&movements);
    let mut order_names = BTreeMap::new();
    let mut read = |((entry, worth), row): ((&ValuedEntry, &Worth), &MovementRow)| {
        let meant = reading.meant(row);
        let order = meant.document.as_deref().and_then(|text| text.strip_prefix("order:"));
        Ok(Entry {
            lot: entry.lot,
            made: valued_lots[entry.lot as usize].price == LotPrice::Made,
            flow: entry.flow,
            work: entry.work,
            load: meant.load.as_ref().and_then(|load| reading.works.get(load)).copied(),
            amount_micro: entry.amount_micro,
            worth: *worth,
            order: order.map(|name| Reading::number(&mut order_names, name)),
            rejected: entry.flow == Flow::Wasted && made_at.contains(&moment(meant)),
            at: instant::read(&row.happened_at)?,
        })
    };
    let all = entries.iter().zip(&valuation.entries).zip(&movements);
    let entries = all.map(&mut read).collect::<Result<_, StoreError>>()?;
    let Reading { works, codes, .. } = reading;
    let (works, codes, orders) = (in_order(works), in_order(codes), in_order(order_names));
    Ok(Ledger { bakery, now: state.now(), lots, works, entries, orders, valuation, codes })
}

/// A lot, when something happened to it, and when that was written.
type Moment<'a> = (&'a str, &'a str, &'a str);

fn moment(row: &MovementRow) -> Moment<'_> {
    (&row.lot, &row.happened_at, &row.recorded_at)
}

/// What a bought lot cost for a millionth of its base unit, in minor units: by its receipt, else
/// by the list of its day; none if neither says, or if it was made here.
///
/// # Errors
/// [`Refusal`]
pub(super) fn cost_of_lot(bakery: &Bakery, row: &LotRow) -> Result<Option<Ratio>, Refusal> {
    match stated(row) {
        Some(price) => Ok(Some(price)),
        None if row.made_at.is_some() => Ok(None),
        None => listed(bakery, row),
    }
}

/// What a lot cost by its receipt, for a millionth of its base unit.
fn stated(row: &LotRow) -> Option<Ratio> {
    Ratio::new(row.price_minor?.into(), row.price_per_micro?.into()).ok()
}

/// The price of the day on which a lot came, where its receipt said none.
fn listed(bakery: &Bakery, row: &LotRow) -> Result<Option<Ratio>, Refusal> {
    let Some(item) = bakery.index().item(&row.item) else { return Ok(None) };
    let item = bakery.item(item);
    if item.free {
        return Ok(Some(Ratio::ZERO));
    }
    let on = date(&row.received)?;
    let supplier = row.supplier.as_deref().map(code).transpose()?;
    let packs = &bakery.lists().packs;
    price_of_received(item, packs, supplier.as_ref(), (on, None)).map_err(refused)
}

/// What everything of a morning costs by the lots that its plan proposes.
///
/// # Errors
/// [`Refusal`]
pub fn planned(tx: &mut Tx, site: &str, morning: &Morning) -> Result<Costs, Refusal> {
    let mut prices: BTreeMap<String, Ratio> = BTreeMap::new();
    for row in lot_rows::list_all(tx, site)? {
        let price = match stated(&row) {
            Some(price) => Some(price),
            None => listed(&morning.bakery, &row)?,
        };
        prices.extend(price.map(|price| (row.id, price)));
    }
    let lots = &morning.book.lots;
    let of_lot = |at: u32| prices.get(&lots.get(at as usize)?.id).copied();
    Ok(planned_costs(&morning.bakery, &morning.plan, &of_lot))
}

/// Names by the number that each was given.
fn in_order(numbered: BTreeMap<String, u32>) -> Vec<String> {
    let mut names: Vec<(u32, String)> = numbered.into_iter().map(|(name, at)| (at, name)).collect();
    names.sort_unstable();
    names.into_iter().map(|(_, name)| name).collect()
}

/// Rows while they become a ledger in money.
struct Reading<'a> {
    bakery: &'a Bakery,
    lot_of: BTreeMap<&'a str, u32>,
    lots: &'a [LotRow],
    by_id: BTreeMap<&'a str, &'a MovementRow>,
    /// Lots that were made here.
    made: BTreeSet<&'a str>,
    works: BTreeMap<String, u32>,
    codes: BTreeMap<String, u32>,
    /// Moments of writing.
    written: BTreeMap<String, u32>,
}

impl<'a> Reading<'a> {
    fn new(bakery: &'a Bakery, lots: &'a [LotRow], movements: &'a [MovementRow]) -> Self {
        let make = MovementKind::Make.word();
        let made = movements.iter().filter(|row| row.kind == make).map(|row| row.lot.as_str());
        Self {
            bakery,
            lot_of: (0_u32..).zip(lots).map(|(at, row)| (row.id.as_str(), at)).collect(),
            lots,
            by_id: movements.iter().map(|row| (row.id.as_str(), row)).collect(),
            made: made.collect(),
            works: BTreeMap::new(),
            codes: BTreeMap::new(),
            written: BTreeMap::new(),
        }
    }

    fn number(names: &mut BTreeMap<String, u32>, name: &str) -> u32 {
        if let Some(&known) = names.get(name) {
            return known;
        }
        let next = u32::try_from(names.len()).unwrap_or(u32::MAX);
        names.insert(name.to_owned(), next);
        next
    }

    fn lot(&mut self, row: &LotRow) -> Result<ValuedLot, Refusal> {
        let item = Self::number(&mut self.codes, &row.item);
        let price = match stated(row) {
            Some(price) => LotPrice::Paid(price),
            None if self.made.contains(row.id.as_str()) => LotPrice::Made,
            None => listed(self.bakery, row)?.map_or(LotPrice::Unknown, LotPrice::Paid),
        };
        Ok(ValuedLot { item, price })
    }

    /// What an entry stands for: one that takes another back goes the way of that other.
    fn meant<'r>(&self, row: &'r MovementRow) -> &'r MovementRow
    where
        'a: 'r,
    {
        row.reverses.as_deref().and_then(|id| self.by_id.get(id).copied()).unwrap_or(row)
    }

    /// Moments at which lots were made. What of a lot is thrown away just then was rejected as
    /// it was counted.
    fn made_at(&self, movements: &'a [MovementRow]) -> BTreeSet<Moment<'a>> {
        let make = MovementKind::Make.word();
        movements.iter().filter(|row| row.kind == make).map(moment).collect()
    }

    fn entry(&mut self, row: &MovementRow) -> Result<ValuedEntry, Refusal> {
        let meant = self.meant(row);
        let kind = MovementKind::parse(&meant.kind).ok_or(StoreError::Corrupt("kind"))?;
        let flow = flow(kind);
        let lot = *self.lot_of.get(row.lot.as_str()).ok_or(StoreError::Corrupt("lot"))?;
        let load = meant.load.as_deref().map(|load| Self::number(&mut self.works, load));
        let making = meant.document.as_deref().filter(|name| name.starts_with("making:"));
        let (work, part_of) = match (flow, making, load) {
            // What lies on pieces is theirs alone; of the dough of their load they have a part.
            (Flow::Used, Some(making), _) => (Some(Self::number(&mut self.works, making)), None),
            (Flow::Made, Some(making), _) => (Some(Self::number(&mut self.works, making)), load),
            (Flow::Used | Flow::Made, None, Some(load)) => (Some(load), None),
            (Flow::Used | Flow::Made, None, None) => {
                // Nobody said what for: it is in work all the same.
                let document = meant.document.as_deref().unwrap_or_default();
                (Some(Self::number(&mut self.works, document)), None)
            }
            (Flow::Wasted, _, _) => (load, None),
            _ => (None, None),
        };
        let weight = self.weight(&self.lots[lot as usize].item, row.amount_micro);
        let written = Self::number(&mut self.written, &row.recorded_at);
        let amount_micro = row.amount_micro;
        Ok(ValuedEntry { lot, flow, amount_micro, work, part_of, weight, written })
    }

    /// How much of a dough goes into what was made: pieces count by what they are scaled at.
    fn weight(&self, item: &str, amount_micro: i64) -> i64 {
        let scaled = self.bakery.index().product(item).and_then(|product| {
            let recipes = self.bakery.recipes(Date::MAX);
            let dough = recipes.dough_of(product)?;
            recipes.make_up_of(product).iter().find_map(|line| match *line {
                domain::bakery::CompiledMakeUp::Mass { item, ug, .. } if item == dough => Some(ug),
                _ => None,
            })
        });
        let weight = scaled.and_then(|ug| {
            let grams = ug.over(Ratio::whole(MICRO.into())).ok()?;
            let pieces = Ratio::new(amount_micro.into(), MICRO.into()).ok()?;
            i64::try_from(grams.times(pieces).ok()?.times(Ratio::whole(1000)).ok()?.floor()).ok()
        });
        weight.unwrap_or(amount_micro).abs()
    }

    /// Items on a load's page that cost something and that no entry of it names.
    fn gaps(&mut self, work: u32, body: &LoadBody, movements: &[MovementRow]) -> Vec<(u32, u32)> {
        let taken: BTreeSet<&str> = movements
            .iter()
            .filter(|row| row.load.as_ref().is_some_and(|load| self.works.get(load) == Some(&work)))
            .filter_map(|row| self.lot_of.get(row.lot.as_str()))
            .map(|&lot| self.lots[lot as usize].item.as_str())
            .collect();
        let index = self.bakery.index();
        let mut gaps = Vec::new();
        for line in &body.lines {
            let Some(item) = index.item(&line.item) else { continue };
            let free = self.bakery.item(item).free;
            let fruit = index.fruit_of(item).map(|fruit| self.bakery.item(fruit).code.as_str());
            let covered = taken.contains(line.item.as_str())
                || fruit.is_some_and(|fruit| taken.contains(fruit));
            if !free && !covered && line.micro > 0 {
                gaps.push((work, Self::number(&mut self.codes, &line.item)));
            }
        }
        gaps
    }
}

const fn flow(kind: MovementKind) -> Flow {
    match kind {
        MovementKind::Receive => Flow::Received,
        MovementKind::Make => Flow::Made,
        MovementKind::Weigh | MovementKind::Use => Flow::Used,
        MovementKind::Waste => Flow::Wasted,
        MovementKind::Count => Flow::Counted,
        MovementKind::Send => Flow::Sent,
        MovementKind::Return => Flow::Returned,
        MovementKind::Move
        | MovementKind::Correct
        | MovementKind::Freeze
        | MovementKind::Thaw
        | MovementKind::Hold
        | MovementKind::Release
        | MovementKind::Open
        | MovementKind::Accept
        | MovementKind::Empty => Flow::Moved,
    }
}

/// Where money was, came from and went to between two local dates, both included; in
/// millionths of a minor unit.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct MoneyFlow {
    /// In bought lots before the first date.
    pub left_before: Worth,
    /// In made lots and in work before it.
    pub made_before: Worth,
    /// Came in.
    pub received: Worth,
    /// Went from bought lots into work.
    pub issued: Worth,
    /// Thrown away, bought and made.
    pub wasted: Worth,
    /// Left for customers.
    pub sent: Worth,
    /// Went back to suppliers.
    pub returned: Worth,
    /// Missing at counts; below zero if more was found.
    pub counted: Worth,
    /// In bought lots after the last date.
    pub left: Worth,
    /// In made lots after it.
    pub left_made: Worth,
    /// Put into work, and not made into anything that is in the book.
    pub in_work: Worth,
    /// Items without a price, which are in none of the sums.
    pub missing: Vec<String>,
}

/// Sums a ledger between two local dates, both included.
///
/// # Errors
/// [`Refusal`] beyond all calendars or bounds.
pub fn money_flow(ledger: &Ledger, (from, to): (Date, Date)) -> Result<MoneyFlow, Refusal> {
    let zone = &ledger.bakery.site().time_zone;
    let start = |date| calendar::instant(zone, date, Time::midnight()).map_err(refused);
    let (first, after) = (start(from)?, start(calendar::add_days(to, 1).map_err(refused)?)?);
    let mut sums = MoneyFlow::default();
    let mut missing: BTreeSet<u32> = BTreeSet::new();
    for entry in ledger.entries.iter().filter(|entry| entry.at < after) {
        let Entry { made, flow, worth, .. } = *entry;
        missing.extend(&ledger.valuation.lots[entry.lot as usize].missing);
        *(if made { &mut sums.left_made } else { &mut sums.left }) += worth;
        if matches!(flow, Flow::Used | Flow::Made) {
            sums.in_work -= worth;
        }
        if entry.at < first {
            *(if made { &mut sums.made_before } else { &mut sums.left_before }) += worth;
            if matches!(flow, Flow::Used | Flow::Made) {
                sums.made_before -= worth;
            }
            continue;
        }
        match flow {
            Flow::Received => sums.received += worth,
            Flow::Wasted => sums.wasted -= worth,
            Flow::Sent => sums.sent -= worth,
            Flow::Returned => sums.returned -= worth,
            Flow::Counted => sums.counted -= worth,
            Flow::Used if !made => sums.issued -= worth,
            Flow::Used | Flow::Made | Flow::Moved => {}
        }
    }
    sums.missing = missing.iter().map(|&item| ledger.codes[item as usize].clone()).collect();
    Ok(sums)
}
