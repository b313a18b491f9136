//! A supplier's deliveries.

use crate::{
    answer, extract,
    problem::{Kind, Problem},
    service::plan,
    state::State,
    wire::deliveries::{DeliveriesView, deliveries},
};
use actix_web::{get, web};
use domain::limits::HORIZON_DAYS_MAX;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_deliveries);
}

/// Which cutoffs.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct DeliveriesQuery {
    /// First local date of the cutoffs.
    #[param(example = "2026-06-08")]
    from: String,
    /// Last local date of the cutoffs.
    #[param(example = "2026-06-20")]
    until: String,
}

/// Lists a supplier's deliveries with their cutoffs.
///
/// Cutoffs run on the supplier's clock, windows on the bakery's; both are shown on the
/// bakery's. Holidays of the supplier and our closed dates follow its written rule.
#[utoipa::path(
    tag = "purchase",
    params(
        ("code" = String, Path, description = "Which supplier.", example = "dairy"),
        DeliveriesQuery
    ),
    responses((status = 200, description = "The deliveries by cutoff.", body = DeliveriesView))
)]
#[get("/v1/suppliers/{code}/deliveries")]
async fn list_deliveries(
    state: web::Data<State>,
    code: web::Path<String>,
    query: web::Query<DeliveriesQuery>,
) -> Result<web::Json<DeliveriesView>, Problem> {
    let from = extract::date("from", &query.from)?;
    let until = extract::date("until", &query.until)?;
    let days = i64::from(from.until(until).map_or(i32::MAX, |span| span.get_days()));
    if !(0..=HORIZON_DAYS_MAX).contains(&days) {
        let detail = format!("ask for 0 to {HORIZON_DAYS_MAX} days, not {days}");
        return Err(Problem::new(Kind::InvalidQuery, detail));
    }
    let view = answer::read(state, move |state| {
        let morning = plan::load_reference(state)?;
        let supplier = morning.supplier(&code)?;
        deliveries(&morning, supplier, from, until).map_err(plan::refused)
    });
    Ok(web::Json(view.await?))
}
