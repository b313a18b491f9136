//! Bins: what lies together in them, what is drawn, and when they are emptied.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    wire::{
        bin::{BinView, DrawBody, DrawView},
        lot::ActBody,
    },
};
use actix_web::{HttpResponse, get, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(find_bin).service(draw_from_bin).service(empty_bin);
}

/// Reads a bin.
///
/// With every lot that was filled in since it was emptied last: what is drawn from it may come
/// from any of them.
#[utoipa::path(
    tag = "stock",
    params(("place" = String, Path, description = "Code of a place of kind bin.")),
    responses((status = 200, description = "The bin.", body = BinView))
)]
#[get("/v1/bins/{place}")]
async fn find_bin(
    state: web::Data<State>,
    place: web::Path<String>,
) -> Result<web::Json<BinView>, Problem> {
    let work = move |state: &State| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            stock::bin(tx, &state.site, state.now(), &bakery, &place)
        })
    };
    Ok(web::Json(BinView::new(&answer::read(state, work).await?)))
}

/// Draws from a bin.
///
/// One ledger entry for each of its lots, in proportion to what lies there, so that a trace
/// never loses one.
#[utoipa::path(
    tag = "stock",
    params(("place" = String, Path, description = "Code of a place of kind bin.")),
    request_body = DrawBody,
    responses((status = 201, description = "The entries, and the bin after them.", body = DrawView))
)]
#[post("/v1/bins/{place}/draws")]
async fn draw_from_bin(
    state: web::Data<State>,
    place: web::Path<String>,
    posted: Posted<DrawBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let draw = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let (movements, bin) = stock::draw(tx, &state.site, state.now(), &bakery, (&place, &draw))?;
        Answer::json(201, &DrawView { movements, bin: BinView::new(&bin) })
    })
    .await
}

/// Empties a bin.
///
/// What the book still had in it becomes a variance; from here on its lots are done with it.
#[utoipa::path(
    tag = "stock",
    params(("place" = String, Path, description = "Code of a place of kind bin.")),
    request_body = ActBody,
    responses((status = 200, description = "The bin, empty.", body = BinView))
)]
#[post("/v1/bins/{place}/emptied")]
async fn empty_bin(
    state: web::Data<State>,
    place: web::Path<String>,
    posted: Posted<ActBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let act = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let bin = stock::empty(tx, &state.site, state.now(), &bakery, (&place, &act))?;
        Answer::json(200, &BinView::new(&bin))
    })
    .await
}
