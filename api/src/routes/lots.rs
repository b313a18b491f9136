//! Lots: looked up, held and released.

use crate::{
    answer,
    extract::Posted,
    page::{self, Page},
    problem::Problem,
    service::{
        Refusal, bakery,
        idempotency::Answer,
        stock::{self, Verdict},
    },
    state::State,
    wire::lot::{LotView, VerdictBody},
};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_lots).service(find_lot).service(hold_lot).service(release_lot);
}

/// Which lots of which page.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct LotsQuery {
    /// Only lots of this item or product.
    #[param(example = "whole-milk")]
    item: Option<String>,
    /// Most rows of the page: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    limit: Option<i64>,
    /// The `next` of the page before; absent for the first page.
    cursor: Option<String>,
}

/// Lists lots.
///
/// With what is left of each, oldest entry first, in pages; of one item if it is given.
#[utoipa::path(
    tag = "stock",
    params(LotsQuery),
    responses((status = 200, description = "A page of lots.", body = Page<LotView>))
)]
#[get("/v1/lots")]
async fn list_lots(
    state: web::Data<State>,
    query: web::Query<LotsQuery>,
) -> Result<web::Json<Page<LotView>>, Problem> {
    let LotsQuery { item, limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work = move |state: &State| {
        state.store.read(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            stock::lots(tx, &state.site, &zone, item.as_deref(), (&after, limit))
        })
    };
    let rows = answer::read(state, work).await?.iter().map(LotView::new).collect();
    Ok(web::Json(Page::new(rows, limit, |last: &LotView| last.id.clone())))
}

/// Reads one lot.
///
/// With what is left of it by the book: the sum of its ledger entries.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The lot.", body = LotView))
)]
#[get("/v1/lots/{id}")]
async fn find_lot(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<web::Json<LotView>, Problem> {
    let work = move |state: &State| {
        state.store.read(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            stock::find_lot(tx, &state.site, &zone, &id)
        })
    };
    Ok(web::Json(LotView::new(&answer::read(state, work).await?)))
}

/// Holds a lot.
///
/// It is no longer counted as on hand, from the next sheet on. The reason stays in the ledger.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = VerdictBody,
    responses((status = 200, description = "The lot, on hold.", body = LotView))
)]
#[post("/v1/lots/{id}/hold")]
async fn hold_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<VerdictBody>,
) -> Result<HttpResponse, Problem> {
    judge(state, id.into_inner(), posted, Verdict::Hold).await
}

/// Releases a lot.
///
/// A lot on hold, or an expected one that was put away, may be used. What was held while
/// it was on its way is still expected.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = VerdictBody,
    responses((status = 200, description = "The lot, released.", body = LotView))
)]
#[post("/v1/lots/{id}/release")]
async fn release_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<VerdictBody>,
) -> Result<HttpResponse, Problem> {
    judge(state, id.into_inner(), posted, Verdict::Release).await
}

async fn judge(
    state: web::Data<State>,
    id: String,
    posted: Posted<VerdictBody>,
    verdict: Verdict,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let reason = body.read().map_err(Refusal::Body)?;
        let zone = bakery::load(state, tx)?.site().time_zone.clone();
        let verdict = (verdict, reason.as_str());
        let lot = stock::judge(tx, &state.site, state.now(), &zone, &id, verdict)?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}
