//! Mixers, kettles and pans.

use crate::{
    document::equipment::MixerBody,
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
    config.service(list_mixers).service(find_mixer).service(put_mixer);
}

/// Lists mixers.
///
/// Mixers, kettles and pans, with least and most dough. In the bakery's own order, in pages.
#[utoipa::path(
    tag = "bakery",
    params(PageQuery),
    responses((status = 200, description = "A page of mixers.", body = Page<MixerBody>))
)]
#[get("/v1/mixers")]
async fn list_mixers(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<MixerBody>, Problem> {
    records::list(state, query.into_inner()).await
}

/// Reads one mixer.
///
/// The ETag names its state; send it as If-Match to put the record.
#[utoipa::path(
    tag = "bakery",
    params(("code" = String, Path, description = "Its code.")),
    responses((status = 200, description = "The mixer.", body = MixerBody))
)]
#[get("/v1/mixers/{code}")]
async fn find_mixer(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    records::find::<MixerBody>(state, code.into_inner()).await
}

/// Puts one mixer.
///
/// The whole bakery is checked with it, and every fault is reported. Over a mixer
/// that is there, If-Match must hold the ETag that was read, or `*`.
#[utoipa::path(
    tag = "bakery",
    params(
        ("code" = String, Path, description = "Its code."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body = MixerBody,
    responses(
        (status = 200, description = "It is put.", body = MixerBody),
        (status = 201, description = "It is new.", body = MixerBody)
    )
)]
#[put("/v1/mixers/{code}")]
async fn put_mixer(
    state: web::Data<State>,
    code: web::Path<String>,
    precondition: IfMatch,
    body: Body<MixerBody>,
) -> Result<HttpResponse, Problem> {
    records::put(state, code.into_inner(), precondition, body).await
}
