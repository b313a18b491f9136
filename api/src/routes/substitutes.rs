//! Substitutes: what may be used instead.

use crate::{
    document::supplier::SubstituteBody,
    extract::{Body, IfMatch},
    page::{Page, PageQuery},
    problem::Problem,
    records,
    state::State,
};
use actix_web::{HttpResponse, get, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_substitutes).service(find_substitute).service(put_substitute);
}

/// Lists substitutes.
///
/// What may be used instead of an item, and on which terms. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of substitutes.", body = Page<SubstituteBody>))
)]
#[get("/v1/substitutes")]
async fn list_substitutes(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<SubstituteBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one substitute.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The substitute.", body = SubstituteBody))
)]
#[get("/v1/substitutes/{code}")]
async fn find_substitute(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<SubstituteBody>(state, code.into_inner()).await
}

/// Puts one substitute.
///
/// The whole bakery is checked with it, and every fault is reported. Over a substitute
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = SubstituteBody,
    responses(
        (status = 200, description = "It is put.", body = SubstituteBody),
        (status = 201, description = "It is new.", body = SubstituteBody)
    )
)]
#[put("/v1/substitutes/{code}")]
async fn put_substitute(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<SubstituteBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
