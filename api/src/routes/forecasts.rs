//! Demand ahead of orders.

use crate::{
    answer, extract,
    problem::{Kind, Problem},
    service::forecasts::{self, ForecastAsked},
    state::State,
    wire::forecast::ForecastView,
};
use actix_web::{get, web};
use domain::forecast::MissCosts;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_forecast);
}

/// What is looked ahead to.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ForecastQuery {
    /// The date that is looked ahead to.
    #[param(example = "2026-06-12")]
    service_date: String,
    /// How much of all next figures the interval should hold, percent, 1 to 99; 80 if absent.
    #[param(example = 80)]
    interval: Option<i64>,
    /// What a piece too few costs, in minor units; with `over`.
    #[param(example = 120)]
    under: Option<i64>,
    /// What a piece too many costs, in minor units; with `under`.
    #[param(example = 26)]
    over: Option<i64>,
}

/// Looks ahead of orders.
///
/// Ranks among what the same weekday took in the last half year give a middle, an interval
/// and, from the costs of too few and too many, how many pieces to have. It is shown apart
/// from orders, and stands in a plan only where the product is switched on (`made_ahead`).
/// Orders out of counter par are no part of it: the par expects them.
#[utoipa::path(
    tag = "orders",
    params(
        ("code" = String, Path, description = "Which product.", example = "croissant"),
        ForecastQuery
    ),
    responses((status = 200, description = "The forecast and what it rests on.", body = ForecastView))
)]
#[get("/v1/products/{code}/forecast")]
async fn read_forecast(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<ForecastQuery>,
) -> Result<web::Json<ForecastView>, Problem> {
    let asked = query.read(code.into_inner())?;
    let view = answer::read(state, move |state| {
        let found = state.store.read(|tx| forecasts::find(state, tx, &asked))?;
        Ok(ForecastView::new(&asked, &found))
    });
    Ok(web::Json(view.await?))
}

impl ForecastQuery {
    fn read(&self, product: String) -> Result<ForecastAsked, Problem> {
        let Self { service_date, interval, under, over } = self;
        let wrong = |detail: &str| Err(Problem::new(Kind::InvalidQuery, detail));
        let interval_percent = interval.unwrap_or(80);
        if !(1..=99).contains(&interval_percent) {
            return wrong("interval must be 1 to 99");
        }
        let costs = match (*under, *over) {
            (Some(under @ 0..), Some(over @ 0..)) => Some(MissCosts { under, over }),
            (None, None) => None,
            _ => return wrong("give both under and over, 0 or more, or neither"),
        };
        let service_date = extract::date("service_date", service_date)?;
        Ok(ForecastAsked { product, service_date, interval_percent, costs })
    }
}
