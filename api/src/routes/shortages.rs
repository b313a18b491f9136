//! What runs short.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Offer},
    state::State,
    wire::shortages::{ShortagesView, shortages},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_shortages);
}

/// How far to look.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ShortagesQuery {
    /// Last service date looked at; 14 days from today if absent.
    #[param(example = "2026-06-13")]
    until: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// The formats of the sheet, the first by default.
const OFFERS: [Offer; 4] = [
    Offer("application", "json"),
    Offer("text", "html"),
    Offer("text", "csv"),
    Offer("application", "pdf"),
];

/// Says what runs short, when, and until when it can still be ordered.
///
/// Supplier by supplier in order of cutoff, those that are gone first; within one by the
/// moment it runs out. Packs are whole; lots on hold or out of date do not count.
#[utoipa::path(
    tag = "sheets",
    params(ShortagesQuery),
    responses((status = 200, description = "The sheet, as JSON, HTML, CSV or PDF.", content((ShortagesView = "application/json"), (String = "text/html"), (String = "text/csv"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/shortages")]
async fn read_shortages(
    state: web::Data<State>,
    query: web::Query<ShortagesQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let until = query.until.as_deref().map(|text| extract::date("until", text)).transpose()?;
    let wanted = sheets::preferred(&request, &OFFERS)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, until.map_or(Horizon::Usual, Horizon::Until))?;
        shortages(&morning).map_err(plan::refused)
    });
    let view = view.await?;
    match wanted {
        1 => Ok(sheets::html(sheets::shortages::draw(sheets::words(&request)?, &view))),
        2 => Ok(sheets::csv(view.csv())),
        3 => {
            sheets::on_paper(&request, sheets::shortages::draw(sheets::words(&request)?, &view))
                .await
        }
        _ => Ok(HttpResponse::Ok().json(view)),
    }
}
