//! Public holidays, as a proposal for suppliers and the house.

use crate::{
    problem::{Kind, Problem},
    service::holidays::{YEARS, countries, of_year},
    wire::holidays::{HolidayCountriesView, HolidaysView},
};
use actix_web::{get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_holiday_countries).service(propose_holidays);
}

/// Lists countries with known holidays.
///
/// With the parts of them that have days of their own, and the years that are held.
#[utoipa::path(
    tag = "purchase",
    responses((status = 200, description = "The countries.", body = HolidayCountriesView))
)]
#[get("/v1/holidays")]
async fn list_holiday_countries() -> web::Json<HolidayCountriesView> {
    web::Json(HolidayCountriesView::new())
}

/// Which year, and which part.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct HolidaysQuery {
    /// The year.
    #[param(example = 2026)]
    year: i16,
    /// A part of the country whose own days are added.
    #[param(example = "SCT")]
    part: Option<String>,
}

/// Proposes a country's holidays.
///
/// A proposal only: a person keeps, strikes or adds days and puts them as `holidays` of a
/// supplier or `closed_dates` of the site. Nothing is changed by asking.
#[utoipa::path(
    tag = "purchase",
    params(
        ("country" = String, Path, description = "Two letters of ISO 3166-1.", example = "NL"),
        HolidaysQuery
    ),
    responses((status = 200, description = "The days.", body = HolidaysView))
)]
#[get("/v1/holidays/{country}")]
async fn propose_holidays(
    country: web::Path<String>,
    query: web::Query<HolidaysQuery>,
) -> Result<web::Json<HolidaysView>, Problem> {
    let HolidaysQuery { year, part } = query.into_inner();
    let country = country.into_inner();
    let known = countries();
    let refused = |detail: String| Err(Problem::new(Kind::NotFound, detail));
    let Some(parts) = known.get(&country) else {
        return refused("no holidays of that country are held: see GET /v1/holidays".to_owned());
    };
    if part.as_ref().is_some_and(|part| !parts.contains(part)) {
        return refused(format!("{country} has no such part: see GET /v1/holidays"));
    }
    if !(YEARS.0..=YEARS.1).contains(&year) {
        return refused(format!("years {} to {} are held: write others by hand", YEARS.0, YEARS.1));
    }
    let found = of_year(&country, part.as_deref(), year);
    Ok(web::Json(HolidaysView::new(country, part, year, &found)))
}
