//! The looks of all sheets.

use crate::sheets;
use actix_web::{HttpResponse, get, http::header};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_style);
}

/// Gives the style sheet of all sheets.
///
/// Black on white, A4, one load on a page.
#[utoipa::path(
    tag = "sheets",
    responses((status = 200, description = "The style sheet.", body = String, content_type = "text/css"))
)]
#[get("/assets/sheet.css")]
async fn read_style() -> HttpResponse {
    HttpResponse::Ok()
        .content_type("text/css; charset=utf-8")
        .insert_header((header::CACHE_CONTROL, "max-age=3600"))
        .body(sheets::STYLE)
}
