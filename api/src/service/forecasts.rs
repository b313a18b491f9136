//! Demand ahead of orders: the history of the same weekday, read for a forecast.

use super::{Refusal, book, plan::refused};
use crate::{
    state::State,
    store::{Tx, orders},
};
use domain::{
    calendar,
    forecast::{Forecast, MissCosts, WEEKS_MAX, forecast},
};
use jiff::civil::Date;

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
    let today = bakery.site().time_zone.to_datetime(state.now()).date();
    let weeks = i64::try_from(WEEKS_MAX).unwrap_or(i64::MAX);
    let from = calendar::add_days(today, -7 * weeks).map_err(refused)?;
    let from = from.min(asked.service_date).to_string();
    let mut history: Vec<(Date, i64)> = Vec::new();
    for text in orders::service_dates(tx, &state.site, &from)? {
        let date = book::date(&text)?;
        if date < today && date.weekday() == asked.service_date.weekday() {
            history.push((date, 0));
        }
    }
    let mut ordered = 0_i64;
    for row in orders::held_lines(tx, &state.site, &from)? {
        let Some(text) = row.service_date.filter(|_| row.product == asked.product) else {
            continue;
        };
        let date = book::date(&text)?;
        if date == asked.service_date {
            ordered = ordered.saturating_add(row.quantity_taken);
        }
        if let Some((_, pieces)) = history.iter_mut().find(|(on, _)| *on == date) {
            *pieces = pieces.saturating_add(row.quantity_taken);
        }
    }
    history.sort_by_key(|entry| std::cmp::Reverse(entry.0));
    history.truncate(WEEKS_MAX);
    let pieces: Vec<i64> = history.iter().map(|&(_, pieces)| pieces).collect();
    let found = forecast(&pieces, asked.interval_percent, asked.costs).map_err(refused)?;
    Ok(ForecastFound { history, forecast: found, ordered })
}
