//! Lots: looked up, held and released.

use crate::{
    answer,
    extract::Posted,
    page::{self, Page},
    problem::Problem,
    service::{
        Refusal, bakery,
        idempotency::Answer,
        stock::{self, Freeze, Verdict},
        trace,
    },
    state::State,
    wire::{
        hold::{HeldLotsView, HoldView},
        lot::{AcceptBody, ActBody, LotView, OpenBody, ReturnBody, ThawBody, VerdictBody},
    },
};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(list_lots)
        .service(list_held_lots)
        .service(find_lot)
        .service(hold_lot)
        .service(release_lot)
        .service(block_lot)
        .service(open_lot)
        .service(empty_lot)
        .service(accept_lot)
        .service(freeze_lot)
        .service(thaw_lot)
        .service(return_lot);
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
) -> Result<Page<LotView>, Problem> {
    let LotsQuery { item, limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work = move |state: &State| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            stock::lots(tx, &state.site, &bakery, item.as_deref(), (&after, limit))
        })
    };
    let rows = answer::read(state, work).await?.iter().map(LotView::new).collect();
    Ok(Page::new(rows, limit, |last: &LotView| last.id.clone()))
}

/// Lists held lots.
///
/// All lots on hold, blocked or called back of which something is left, each with what its
/// item is short of.
#[utoipa::path(
    tag = "stock",
    responses((status = 200, description = "The lots.", body = HeldLotsView))
)]
#[get("/v1/held-lots")]
async fn list_held_lots(state: web::Data<State>) -> Result<web::Json<HeldLotsView>, Problem> {
    let view = answer::read(state, |state| {
        state.store.read(|tx| {
            let (held, notes) = trace::held_lots(state, tx)?;
            Ok(HeldLotsView::new(&*bakery::load(state, tx)?, &held, notes))
        })
    });
    Ok(web::Json(view.await?))
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
            let bakery = bakery::load(state, tx)?;
            stock::find_lot(tx, &state.site, &bakery, &id)
        })
    };
    Ok(web::Json(LotView::new(&answer::read(state, work).await?)))
}

/// Holds a lot.
///
/// It is no longer counted as on hand, from the next sheet on. The reason stays in the ledger.
/// The answer lists what was planned with it, drafts and released loads, and what was made and
/// sent with it; all of it again, on paper too, is in its recall file.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = VerdictBody,
    responses((status = 200, description = "The lot, on hold, and what it reaches.", body = HoldView))
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
        let act = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let verdict = (verdict, &act);
        let released = verdict.0 == Verdict::Release;
        let lot = stock::judge(tx, &state.site, state.now(), &bakery, &id, verdict)?;
        if released {
            return Answer::json(200, &LotView::new(&lot));
        }
        let reached = trace::reach(state, tx, &bakery, &id)?;
        Answer::json(200, &HoldView::new(&bakery, &lot, &reached))
    })
    .await
}

/// Blocks a lot.
///
/// For good, unlike a hold: from here it goes back, is thrown away, or is held again to be
/// looked at. The reason stays in the ledger. The answer lists what it reaches, as a hold's.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = VerdictBody,
    responses((status = 200, description = "The lot, blocked, and what it reaches.", body = HoldView))
)]
#[post("/v1/lots/{id}/block")]
async fn block_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<VerdictBody>,
) -> Result<HttpResponse, Problem> {
    judge(state, id.into_inner(), posted, Verdict::Block).await
}

/// Opens a pack of a lot.
///
/// Its opened life counts from that moment. With a quantity one pack is opened apart: it is a
/// lot of the same name from then on, and the sealed rest keeps its own life; without one the
/// whole lot is open.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = OpenBody,
    responses((status = 200, description = "The open lot.", body = LotView))
)]
#[post("/v1/lots/{id}/open")]
async fn open_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<OpenBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let opening = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let lot = stock::open_pack(tx, &state.site, state.now(), &bakery, (&id, &opening))?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}

/// Closes an empty sack.
///
/// What the book still has of it was lost while weighing; what the book lacks was never there.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = ActBody,
    responses((status = 200, description = "The lot, used up.", body = LotView))
)]
#[post("/v1/lots/{id}/empty")]
async fn empty_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ActBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let act = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let lot = stock::empty_pack(tx, &state.site, state.now(), &bakery, (&id, &act))?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}

/// Accepts a lot past its best-before date.
///
/// By a named person, up to a last day, with their grounds; both stay in the ledger. A lot
/// with a use-by date is never accepted past it.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = AcceptBody,
    responses((status = 200, description = "The lot, usable until that day.", body = LotView))
)]
#[post("/v1/lots/{id}/accept-past-date")]
async fn accept_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<AcceptBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let accept = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let lot = stock::accept(tx, &state.site, state.now(), &bakery, (&id, &accept))?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}

/// Freezes a lot.
///
/// Its date stands still, and the days that were left are kept. Nothing is frozen twice, and
/// nothing past its use.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = ActBody,
    responses((status = 200, description = "The lot, frozen.", body = LotView))
)]
#[post("/v1/lots/{id}/freeze")]
async fn freeze_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ActBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let freeze = Freeze { act: body.read().map_err(Refusal::Body)? };
        let bakery = bakery::load(state, tx)?;
        let lot = stock::freeze(tx, &state.site, state.now(), &bakery, (&id, &freeze))?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}

/// Thaws a lot.
///
/// It keeps for its thawed life from here, and never for more days than were left when it was
/// frozen; it is ready after its item's `ready_after`.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = ThawBody,
    responses((status = 200, description = "The lot, thawing or thawed.", body = LotView))
)]
#[post("/v1/lots/{id}/thaw")]
async fn thaw_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ThawBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let thaw = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let lot = stock::thaw(tx, &state.site, state.now(), &bakery, (&id, &thaw))?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}

/// Sends a lot back.
///
/// Some of it or all of it, to its supplier; it leaves stock, and the document behind it is
/// kept with the entry.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = ReturnBody,
    responses((status = 200, description = "The lot after it.", body = LotView))
)]
#[post("/v1/lots/{id}/return")]
async fn return_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ReturnBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let back = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let lot = stock::give_back(tx, &state.site, state.now(), &bakery, (&id, &back))?;
        Answer::json(200, &LotView::new(&lot))
    })
    .await
}
