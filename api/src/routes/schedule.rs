//! When everything for a service date happens.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::schedule::{self, ScheduleView},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_schedule);
}

/// One product and drop to ask about; nothing is placed for it.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ScheduleQuery {
    /// A product with a route.
    #[param(example = "custard-bun")]
    product: Option<String>,
    /// A local time on the service date.
    #[param(example = "07:00")]
    drop: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Says when everything for a service date happens.
///
/// Back from each drop to the start of every step, and each load in its mixer. With
/// `product` and `drop` the answer is what the product's own route says for that drop,
/// whatever is ordered: all steps, or which one does not fit, by how many minutes, and the
/// earliest drop that works.
#[utoipa::path(
    tag = "plan",
    params(
        ("date" = String, Path, description = "The local date on which goods are sold.", example = "2026-06-12"),
        ScheduleQuery
    ),
    responses((status = 200, description = "Times of products and batches, as JSON or HTML.", content((ScheduleView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/service-dates/{date}/schedule")]
async fn read_schedule(
    state: web::Data<State>,
    date: web::Path<String>,
    query: web::Query<ScheduleQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let (date, format) = (extract::date("date", &date)?, Format::wanted(&request)?);
    let ScheduleQuery { product, drop, _language: _ } = query.into_inner();
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::ServiceDate(date))?;
        let asked = morning.schedule_of(date, product.as_deref(), drop.as_deref())?;
        Ok(asked.map_or_else(
            || schedule::schedule(&morning, date),
            |asked| schedule::asked(&morning, date, &asked),
        ))
    });
    format.respond(&view.await?, sheets::schedule::draw).await
}
