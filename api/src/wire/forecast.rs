//! Demand ahead of orders, with what it rests on.

use crate::service::forecasts::{ForecastAsked, ForecastFound};
use serde::Serialize;
use utoipa::ToSchema;

/// What the same weekday took before, and what that says; apart from orders.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ForecastView {
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// The date that is looked ahead to.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Pieces ordered for it already; no part of the forecast.
    #[schema(example = 180)]
    pub ordered: i64,
    /// Weeks that it rests on.
    #[schema(example = 12)]
    pub weeks: usize,
    /// Half of the weeks lay below; null from too few weeks.
    #[schema(example = "172")]
    pub middle: Option<String>,
    /// Lower end of the interval, in pieces.
    #[schema(example = 160)]
    pub low: Option<i64>,
    /// Upper end of it.
    #[schema(example = 190)]
    pub high: Option<i64>,
    /// How likely the next figure lies in it, percent.
    #[schema(example = "76.923077")]
    pub covers_percent: Option<String>,
    /// Pieces to have, if both costs were given.
    #[schema(example = 184)]
    pub order_up_to: Option<i64>,
    /// How it was found, in words.
    pub statement: String,
    /// What it rests on, newest first.
    pub history: Vec<ObservedView>,
}

/// Pieces of a past date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ObservedView {
    /// Which date.
    #[schema(example = "2026-06-05")]
    pub service_date: String,
    /// Pieces that were ordered.
    #[schema(example = 168)]
    pub pieces: i64,
}

impl ForecastView {
    /// A forecast as it is shown.
    #[must_use]
    pub fn new(asked: &ForecastAsked, found: &ForecastFound) -> Self {
        let ForecastFound { history, forecast, ordered } = found;
        let observed = |&(date, pieces): &(jiff::civil::Date, i64)| ObservedView {
            service_date: date.to_string(),
            pieces,
        };
        let known = forecast.as_ref();
        Self {
            product: asked.product.clone(),
            service_date: asked.service_date.to_string(),
            ordered: *ordered,
            weeks: history.len(),
            middle: known.map(|forecast| forecast.middle.to_decimal(6)),
            low: known.map(|forecast| forecast.low),
            high: known.map(|forecast| forecast.high),
            covers_percent: known.map(|forecast| forecast.covers_percent.to_decimal(6)),
            order_up_to: known.and_then(|f| f.order_up_to.map(|order| order.pieces)),
            statement: words(found),
            history: history.iter().map(observed).collect(),
        }
    }
}

fn words(found: &ForecastFound) -> String {
    let weeks = found.history.len();
    let Some(forecast) = &found.forecast else {
        let least = domain::forecast::WEEKS_MIN;
        return format!("{weeks} such weekdays are on record, {least} are needed: no forecast.");
    };
    let mut words = format!(
        "of {weeks} such weekdays half took {} or less; the next lies between {} and {} in {} of \
         100 cases, by ranks alone",
        forecast.middle.to_decimal(1),
        forecast.low,
        forecast.high,
        forecast.covers_percent.to_decimal(1)
    );
    if let Some(order) = forecast.order_up_to {
        words.push_str(&format!(
            "; {} pieces should be enough in {} of 100 cases, as the costs ask",
            order.pieces,
            order.wanted_percent.to_decimal(1)
        ));
        if !order.reached {
            words.push_str(", BUT the weeks on record do not reach so far");
        }
    }
    format!("{words}.")
}
