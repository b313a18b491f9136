//! The book as a plan needs it: orders that are held, and lots with their balance.

use super::{
    Refusal, decisions, forecasts, loads,
    orders::{CounterPar, OrderState, settled_slots},
    overrides,
    plan::refused,
    sign_offs,
    stock::held_bins,
    supplier_orders::{Expected, OverdueOrder, expected},
};
use crate::{
    document::{parse_date, parse_time},
    store::{
        StoreError, Tx, balances,
        balances::BalanceRow,
        instant, lots,
        lots::LotRow,
        movements,
        orders::{self, HeldLineRow, OrderVersionRow},
        product_lots::{self, ProductLotRow},
    },
};
use domain::{
    bakery::Bakery,
    book::Book,
    demand::{Standing, make_ahead, pars, standing},
    id::Code,
    load::LoadState,
    lot::{Lot, LotState, LotUse},
    order::OrderLine,
    product::PiecesMade,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::{
    cmp::Ordering,
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

/// What a plan is made from, read in one transaction.
pub(super) struct Whole {
    /// The bakery with the substitutes that are signed for.
    pub(super) bakery: Arc<Bakery>,
    /// What happened, with goods that are on their way.
    pub(super) book: Book,
    /// Supplier orders that should have come by now.
    pub(super) overdue: Vec<OverdueOrder>,
}

/// Everything that a plan up to a last date is made from.
///
/// # Errors
/// [`Refusal`] beyond all calendars, or [`Refusal::Store`].
pub(super) fn whole(
    (tx, site): (&mut Tx, &str),
    bakery: &Arc<Bakery>,
    (now, until): (Timestamp, Date),
) -> Result<Whole, Refusal> {
    let mut book = read(tx, site, bakery, (now, until))?;
    let Expected { lots, overdue } = expected(tx, site, bakery, now)?;
    book.lots.extend(lots);
    let bakery = signed(Arc::clone(bakery), &mut book);
    Ok(Whole { bakery, book, overdue })
}

/// The bakery with the substitutes that are signed for; what it cannot have any more lapses.
fn signed(mut bakery: Arc<Bakery>, book: &mut Book) -> Arc<Bakery> {
    for one in std::mem::take(&mut book.sign_offs) {
        match bakery.with_sign_offs(std::slice::from_ref(&one)) {
            Ok(with_it) => {
                bakery = Arc::new(with_it);
                book.sign_offs.push(one);
            }
            Err(error) => book.lapsed.push((one, error)),
        }
    }
    bakery
}

/// An order that a person is to settle: it came after its cutoff and is counted, or a
/// standing order covers its drop and it is not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskingOrder {
    /// The sender's name for it.
    pub order_ref: String,
    /// For which local date.
    pub service_date: Date,
    /// What became of it: `taken-late-asking` or `held-duplicate`.
    pub state: OrderState,
}

/// States of orders that a person is to settle, as they are listed.
const ASKING: [OrderState; 2] = [OrderState::TakenLateAsking, OrderState::HeldDuplicate];

impl AskingOrder {
    /// The order in which they are listed: by state, service date and name.
    pub(super) fn by_state_and_date(&self, other: &Self) -> Ordering {
        let rank = |one: &Self| ASKING.iter().position(|state| *state == one.state);
        (rank(self), self.service_date, &self.order_ref).cmp(&(
            rank(other),
            other.service_date,
            &other.order_ref,
        ))
    }
}

/// A held version as an order that a person is to settle; none if there is nothing to settle.
///
/// # Errors
/// [`StoreError`] if the row holds what nobody wrote.
pub(super) fn asking(version: &OrderVersionRow) -> Result<Option<AskingOrder>, StoreError> {
    let state = ASKING.into_iter().find(|state| state.word() == version.state);
    let (Some(state), Some(text)) = (state, &version.service_date) else { return Ok(None) };
    let (order_ref, service_date) = (version.order_ref.clone(), date(text)?);
    Ok(Some(AskingOrder { order_ref, service_date, state }))
}

/// Orders from a date on that a person is to settle, by state, service date and name.
///
/// # Errors
/// [`StoreError`]
pub(super) fn asking_orders(
    tx: &mut Tx,
    site: &str,
    from: Date,
) -> Result<Vec<AskingOrder>, StoreError> {
    let from = from.to_string();
    let mut asking = Vec::new();
    for of in ASKING {
        for (order_ref, service_date) in orders::in_state(tx, site, of.word(), &from)? {
            if let Some(text) = service_date {
                asking.push(AskingOrder { order_ref, service_date: date(&text)?, state: of });
            }
        }
    }
    Ok(asking)
}

/// What happened: orders of service dates from today on, standing orders of those up to a
/// last one, all lots.
///
/// # Errors
/// [`Refusal`] beyond all calendars, or [`Refusal::Store`].
pub(super) fn read(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    (now, until): (Timestamp, Date),
) -> Result<Book, Refusal> {
    let from_date = bakery.site().time_zone.to_datetime(now).date();
    let from = from_date.to_string();
    let mut held = posted(tx, site, &from)?;
    let settled = match bakery.lists().standing_orders.is_empty() {
        true => BTreeSet::new(),
        false => settled_slots(tx, site, (from_date, until))?,
    };
    let Standing { lines, open_dates } =
        standing(bakery, &settled, (from_date, until), now).map_err(refused)?;
    let mut service_dates = service_dates(tx, site, from_date)?;
    let mut ahead = pars(bakery, (from_date, until)).map_err(refused)?;
    ahead.extend(forecasts::made_ahead((tx, site), bakery, (now, until))?);
    service_dates.extend(lines.iter().chain(&ahead).map(|line| line.service_date));
    service_dates.sort_unstable();
    service_dates.dedup();
    held.extend(lines);
    let released = loads::list_from(tx, site, from_date)?;
    let pieces = product_lots::list_from(tx, site, &from)?;
    let Stock { lots, counted, made } = stock(tx, site, &released, pieces)?;
    let mut book = Book {
        orders: held,
        service_dates,
        open_dates,
        ahead,
        lots,
        counted,
        made,
        held: released.iter().map(loads::held).collect::<Result<_, _>>()?,
        overrides: overrides::held_from(tx, site, from_date)?,
        caps: Vec::new(),
        sign_offs: sign_offs::in_use(tx, site, from_date)?,
        lapsed: Vec::new(),
    };
    // What was decided is of orders with all that is made ahead of them.
    make_ahead(&mut book);
    book.caps = decisions::caps_from(tx, site, from_date)?;
    // Whoever must not be sent it is not, whatever was decided before.
    for one in &book.sign_offs {
        for cap in one.caps(&book.orders) {
            book.caps.retain(|held| !held.is_of_same_lines(&cap));
            book.caps.push(cap);
        }
    }
    domain::decision::apply(&mut book);
    Ok(book)
}

/// The lines of posted orders that are held, from a date on.
///
/// # Errors
/// [`StoreError`]
pub(super) fn posted(tx: &mut Tx, site: &str, from: &str) -> Result<Vec<OrderLine>, StoreError> {
    let mut held = Vec::new();
    for row in orders::held_lines(tx, site, from)? {
        held.push(order_line(row)?);
    }
    Ok(held)
}

/// What lies in the house, as a plan sees it.
struct Stock {
    lots: Vec<Lot>,
    /// When each item was last counted.
    counted: Vec<(Code, Timestamp)>,
    /// Pieces of planned dates that were made.
    made: Vec<PiecesMade>,
}

/// Lots as their places hold them, when each item was last counted, and what was made.
///
/// What released loads and the pieces made of them cover already is left out.
fn stock(
    tx: &mut Tx,
    site: &str,
    released: &[loads::Load],
    pieces: Vec<ProductLotRow>,
) -> Result<Stock, StoreError> {
    let mut left: BTreeMap<String, Vec<BalanceRow>> = BTreeMap::new();
    for row in balances::list_all(tx, site)? {
        left.entry(row.lot.clone()).or_default().push(row);
    }
    let mut stock = Vec::new();
    let counts = movements::last_counts(tx, site)?;
    let mut counted = Vec::with_capacity(counts.len());
    let mut names: BTreeMap<String, String> = BTreeMap::new();
    let held_bins = held_bins(tx, site)?;
    let spoken_for = |row: &LotRow| {
        let dough = |load: &loads::Load| {
            load.state == LoadState::Mixed && load.lot.as_deref() == Some(&row.id)
        };
        // Pieces cover the orders that their load covers; in a freezer they wait for others.
        let frozen = row.frozen_at.is_some();
        let made = |made: &ProductLotRow| made.lot == row.id && !frozen;
        released.iter().any(dough) || pieces.iter().any(made)
    };
    for row in lots::list_all(tx, site)? {
        // The dough of a load that a plan still counts covers its batch already.
        if spoken_for(&row) {
            names.insert(row.id, row.name);
            continue;
        }
        if let Some(at) = counts.get(&row.id) {
            counted.push((code(&row.item)?, instant::read(at)?));
        }
        for (place, balance_micro) in by_place(&row, left.remove(&row.id).unwrap_or_default())? {
            // An open pack lies where most of its lot lies.
            let opened_at = row.opened_at.clone().filter(|_| place == row.place);
            let row = LotRow { place, opened_at, ..row.clone() };
            let mut lot = lot(row, balance_micro)?;
            // What lies in a bin with a lot on hold cannot be told from it.
            if lot.place.as_ref().is_some_and(|place| held_bins.contains(place.as_str())) {
                lot.state = LotState::Hold;
            }
            stock.push(lot);
        }
    }
    let mut name_of = |row: ProductLotRow| {
        let name = names.remove(&row.lot).unwrap_or_default();
        made(row, name)
    };
    let made = pieces.into_iter().map(&mut name_of).collect::<Result<_, _>>()?;
    Ok(Stock { lots: stock, counted, made })
}

/// Service dates from a date on that have an order.
///
/// # Errors
/// [`StoreError`]
pub(super) fn service_dates(tx: &mut Tx, site: &str, from: Date) -> Result<Vec<Date>, StoreError> {
    let dates = orders::service_dates(tx, site, &from.to_string())?;
    dates.iter().map(|text| date(text)).collect()
}

/// An order line as a plan sees it.
///
/// # Errors
/// [`StoreError`] if the row holds what nobody wrote.
pub(super) fn order_line(row: HeldLineRow) -> Result<OrderLine, StoreError> {
    // A cancellation that came first has no customer, and no lines either.
    let (Some(customer), Some(service_date)) = (row.customer, row.service_date) else {
        return Err(StoreError::Corrupt("order"));
    };
    Ok(OrderLine {
        customer: code(&customer)?,
        service_date: date(&service_date)?,
        product: code(&row.product)?,
        pieces: row.quantity_taken,
        drop: row.drop_time.as_deref().map(drop_time).transpose()?,
        taken_at: Some(instant::read(&row.taken_at)?),
        wanted: CounterPar::wanted(CounterPar::read(row.counter_par.as_deref())?),
    })
}

fn made(row: ProductLotRow, lot: String) -> Result<PiecesMade, StoreError> {
    let ProductLotRow { product, service_date, started, .. } = row;
    let (product, service_date) = (code(&product)?, date(&service_date)?);
    Ok(PiecesMade { product, service_date, pieces: started, lot })
}

/// A lot as its places hold it, without what is used up: it feeds nothing.
///
/// A place that was overdrawn is made good by the others, so that less than nothing at one
/// place never makes more at another; a negative balance is shown to be counted.
fn by_place(
    row: &LotRow,
    balances: Vec<BalanceRow>,
) -> Result<Vec<(Option<String>, i64)>, StoreError> {
    let mut amounts = balances.iter().map(|row| row.balance_micro);
    let all = amounts.try_fold(0_i64, i64::checked_add).ok_or(StoreError::Corrupt("balance"))?;
    if balances.iter().any(|row| row.balance_micro < 0) {
        return Ok(if all == 0 { Vec::new() } else { vec![(row.place.clone(), all)] });
    }
    let place = |place: String| if place.is_empty() { row.place.clone() } else { Some(place) };
    let there = balances.into_iter().filter(|row| row.balance_micro != 0);
    Ok(there.map(|row| (place(row.place), row.balance_micro)).collect())
}

/// A lot as a plan sees it, from its row and balance.
///
/// # Errors
/// [`StoreError`] if the row holds what nobody wrote.
pub(super) fn lot(row: LotRow, balance_micro: i64) -> Result<Lot, StoreError> {
    let state = state_of(&row.state)?;
    let at = |text: &Option<String>| instant_option(text.as_deref());
    // A freezer stops every date; the days that were left count from the thaw.
    let stopped = row.frozen_days_left.is_some();
    let stated = at(&row.usable_until)?.filter(|_| !stopped);
    let thawed = at(&row.thawed_until)?;
    // What a named person accepted past its best-before date is usable as long as they said.
    let accepted = at(&row.accepted_until)?.filter(|_| row.use_by.is_none() && !stopped);
    let printed = !stopped && accepted.is_none();
    // Past best-before needs a person's decision, so that date ends its use here too.
    let date_is_use_by = row.use_by.is_some() && printed;
    // Pieces made here of which nobody said how long they are sold are sold on their own day
    // alone; after it they only go into other products.
    let undated = row.baked.is_some() && row.made_at.is_some() && date_unknown(&row);
    let date_last = row.use_by.or(row.best_before).filter(|_| printed);
    Ok(Lot {
        id: row.id,
        name: row.name,
        item: code(&row.item)?,
        balance_micro,
        state,
        usage: if undated { LotUse::Ingredient } else { usage_of(&row.usage)? },
        received: date(&row.received)?,
        date_is_use_by,
        date: date_last.as_deref().map(date).transpose()?,
        usable_until: [stated, thawed, accepted].into_iter().flatten().min(),
        arrives: match state {
            LotState::Expected | LotState::Thawing => at(&row.arrives)?,
            _ => None,
        },
        baked: row.baked.as_deref().map(date).transpose()?,
        made_at: at(&row.made_at)?,
        thaw_started: at(&row.thaw_started)?,
        opened: at(&row.opened_at)?,
        place: row.place.as_deref().map(code).transpose()?,
    })
}

/// Whether no date ends the use of a lot.
const fn date_unknown(row: &LotRow) -> bool {
    row.use_by.is_none() && row.best_before.is_none() && row.usable_until.is_none()
}

/// A stored lot state.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn state_of(text: &str) -> Result<LotState, StoreError> {
    LotState::parse(text).ok_or(StoreError::Corrupt("lot state"))
}

/// A stored lot use.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn usage_of(text: &str) -> Result<LotUse, StoreError> {
    match text {
        "any" => Ok(LotUse::Any),
        "ingredient" => Ok(LotUse::Ingredient),
        "par_baked" => Ok(LotUse::ParBaked),
        _ => Err(StoreError::Corrupt("lot use")),
    }
}

/// A stored code.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn code(text: &str) -> Result<Code, StoreError> {
    Code::parse(text).map_err(|_| StoreError::Corrupt("code"))
}

/// A stored date.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn date(text: &str) -> Result<Date, StoreError> {
    parse_date(text).ok_or(StoreError::Corrupt("date"))
}

/// A stored local time.
///
/// # Errors
/// [`StoreError::Corrupt`]
fn drop_time(text: &str) -> Result<Time, StoreError> {
    parse_time(text).ok_or(StoreError::Corrupt("drop time"))
}

/// A stored instant that may be absent.
///
/// # Errors
/// [`StoreError::Corrupt`]
pub(super) fn instant_option(text: Option<&str>) -> Result<Option<Timestamp>, StoreError> {
    text.map(instant::read).transpose()
}
