//! Demand ahead of orders: the history of the same weekday, read for a forecast.

use super::{Refusal, book, orders::CounterPar, plan::refused};
use crate::{
    state::State,
    store::{Tx, orders},
};
use domain::{
    bakery::Bakery,
    calendar,
    forecast::{Forecast, MissCosts, WEEKS_MAX, forecast},
    order::{OrderLine, Wanted},
    product::{MadeAhead, Product},
};
use jiff::{
    Timestamp,
    civil::{Date, Weekday},
};
use std::collections::BTreeMap;

/// What is asked of the history.
#[derive(Debug, Clone)]
pub struct ForecastAsked {
    /// Code of the product.
    pub product: String,
    /// The date that is looked ahead to.
    pub service_date: Date,
    /// How much of all next figures the interval should hold, percent.
    pub interval_percent: i64,
    /// What a piece too few and too many costs.
    pub costs: Option<MissCosts>,
}

/// A forecast with what it rests on.
#[derive(Debug, Clone)]
pub struct ForecastFound {
    /// Dates of the same weekday with the pieces ordered, newest first.
    pub history: Vec<(Date, i64)>,
    /// The forecast; none from too few weeks.
    pub forecast: Option<Forecast>,
    /// Pieces that are ordered for the date already; they are no part of the forecast.
    pub ordered: i64,
}

/// Reads what the same weekday took before.
///
/// A past date on which anything was sold and none of the product counts as 0.
///
/// # Errors
/// [`Refusal::Unknown`] without such a product.
pub fn find(state: &State, tx: &mut Tx, asked: &ForecastAsked) -> Result<ForecastFound, Refusal> {
    let bakery = super::bakery::load(state, tx)?;
    if bakery.index().product(&asked.product).is_none() {
        return Err(Refusal::Unknown { noun: "product", code: asked.product.clone() });
    }
    let zone = &bakery.site().time_zone;
    let today = zone.to_datetime(state.now()).date();
    let from = looks_back(today)?.min(asked.service_date);
    let history = History::read(tx, &state.site, (from, today))?;
    let observed = history.of(&asked.product, asked.service_date.weekday());
    let pieces: Vec<i64> = observed.iter().map(|&(_, pieces)| pieces).collect();
    let found = forecast(&pieces, asked.interval_percent, asked.costs).map_err(refused)?;
    let ordered = history.on(&asked.product, asked.service_date);
    Ok(ForecastFound { history: observed, forecast: found, ordered })
}

/// Pieces to have of products that are made ahead of orders, both ends in, on dates of sale
/// for which orders may still come; nothing from too few weeks.
///
/// # Errors
/// [`Refusal`] beyond all calendars, or [`Refusal::Store`].
pub(super) fn made_ahead(
    (tx, site): (&mut Tx, &str),
    bakery: &Bakery,
    (now, until): (Timestamp, Date),
) -> Result<Vec<OrderLine>, Refusal> {
    let products = bakery.lists().products.iter();
    let switched: Vec<(&Product, &MadeAhead)> =
        products.filter_map(|product| Some((product, product.made_ahead.as_ref()?))).collect();
    let mut lines = Vec::new();
    if switched.is_empty() {
        return Ok(lines);
    }
    let today = bakery.site().time_zone.to_datetime(now).date();
    let history = History::read(tx, site, (looks_back(today)?, today))?;
    let mut date = today;
    while date <= until {
        let open = bakery.site().sells_on(date) && may_still_order(bakery, date, now)?;
        for (product, ahead) in switched.iter().filter(|_| open) {
            let observed = history.of(product.code.as_str(), date.weekday());
            let observed: Vec<i64> = observed.iter().map(|&(_, pieces)| pieces).collect();
            let found = forecast(&observed, 0, Some(ahead.costs)).map_err(refused)?;
            let pieces = found.and_then(|found| found.order_up_to).map_or(0, |up_to| up_to.pieces);
            if pieces > 0 {
                lines.push(OrderLine {
                    customer: ahead.customer.clone(),
                    service_date: date,
                    product: product.code.clone(),
                    pieces,
                    drop: Some(ahead.drop),
                    taken_at: None,
                    wanted: Wanted::Forecast,
                });
            }
        }
        date = calendar::add_days(date, 1).map_err(refused)?;
    }
    Ok(lines)
}

/// Whether the cutoff of some customer for a service date is still to come, or it has none.
fn may_still_order(bakery: &Bakery, date: Date, now: Timestamp) -> Result<bool, Refusal> {
    for customer in &bakery.lists().customers {
        let closes = customer
            .cutoff
            .map(|at| calendar::instant_at(&bakery.site().time_zone, date, at).map_err(refused));
        if closes.transpose()?.is_none_or(|closes| closes >= now) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The first date that a forecast looks back to.
fn looks_back(today: Date) -> Result<Date, Refusal> {
    let weeks = i64::try_from(WEEKS_MAX).unwrap_or(i64::MAX);
    calendar::add_days(today, -7 * weeks).map_err(refused)
}

/// What was ordered, without what came out of counter par: that is expected by the par.
struct History {
    /// Past dates on which anything was sold, newest first.
    past: Vec<Date>,
    /// Pieces by product and date.
    pieces: BTreeMap<String, BTreeMap<Date, i64>>,
}

impl History {
    fn read(tx: &mut Tx, site: &str, (from, today): (Date, Date)) -> Result<Self, Refusal> {
        let mut past = book::service_dates(tx, site, from)?;
        past.retain(|date| *date < today);
        past.sort_unstable_by_key(|date| std::cmp::Reverse(*date));
        let mut pieces: BTreeMap<String, BTreeMap<Date, i64>> = BTreeMap::new();
        for row in orders::held_lines(tx, site, &from.to_string())? {
            let Some(text) = row.service_date else { continue };
            if CounterPar::read(row.counter_par.as_deref())? != Some(CounterPar::OutOf) {
                let of_product = pieces.entry(row.product).or_default();
                let sum = of_product.entry(book::date(&text)?).or_default();
                *sum = sum.saturating_add(row.quantity_taken);
            }
        }
        Ok(Self { past, pieces })
    }

    /// What a weekday took of a product, newest first; 0 where only others were sold.
    fn of(&self, product: &str, weekday: Weekday) -> Vec<(Date, i64)> {
        let dates = self.past.iter().filter(|date| date.weekday() == weekday);
        dates.take(WEEKS_MAX).map(|date| (*date, self.on(product, *date))).collect()
    }

    /// What a date took of a product.
    fn on(&self, product: &str, date: Date) -> i64 {
        self.pieces.get(product).and_then(|dates| dates.get(&date)).copied().unwrap_or(0)
    }
}
