//! Loads: released, weighed, mixed, divided, baked, packed, sent, each step with its name.

use crate::{
    answer, extract,
    extract::Posted,
    problem::{Kind, Problem},
    service::{
        Refusal, bakery,
        idempotency::Answer,
        loads::{self, LoadHistory},
        plan::{self, Horizon},
    },
    state::State,
    store::Tx,
    wire::load::{
        self, BakedLoadBody, CountBackBody, DividedBody, LoadView, LoadsView, LostBody, MixedBody,
        PassBody, ReleaseBody, SentBody, WeighingsBody,
    },
};
use actix_web::{HttpResponse, get, http::header, post, web};
use domain::{bakery::Bakery, calendar, load::LoadState};
use jiff::{Timestamp, civil::Date, civil::Time};
use serde::Deserialize;
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(list_loads)
        .service(find_load)
        .service(release_load)
        .service(weigh_load)
        .service(mix_load)
        .service(divide_load)
        .service(bake_load)
        .service(pack_load)
        .service(send_load)
        .service(cancel_load)
        .service(lose_load)
        .service(count_back_load);
}

/// Loads of which work date.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct LoadsQuery {
    /// The local date on which they start.
    #[param(example = "2026-06-11")]
    work_date: String,
}

/// Lists the loads of a work date.
///
/// The plan's drafts and all released loads, by their start. The id of a draft names it for
/// its release.
#[utoipa::path(
    tag = "loads",
    params(LoadsQuery),
    responses((status = 200, description = "The loads.", body = LoadsView))
)]
#[get("/v1/loads")]
async fn list_loads(
    state: web::Data<State>,
    query: web::Query<LoadsQuery>,
) -> Result<web::Json<LoadsView>, Problem> {
    let date = extract::date("work_date", &query.work_date)?;
    let work = move |state: &State| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        let day = day_of(&morning.bakery, date)?;
        let held = state.store.read(|tx| loads::list_between(tx, &state.site, day))?;
        Ok(load::loads(&morning, date, &held))
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// From the start of a local date to the start of the next.
fn day_of(bakery: &Bakery, date: Date) -> Result<(Timestamp, Timestamp), Refusal> {
    let zone = &bakery.site().time_zone;
    let next = calendar::add_days(date, 1).map_err(plan::refused)?;
    let start = |date| calendar::instant(zone, date, Time::midnight()).map_err(plan::refused);
    Ok((start(date)?, start(next)?))
}

/// Reads one load.
///
/// What was released, all that happened to it, and what can happen next.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The load.", body = LoadView))
)]
#[get("/v1/loads/{id}")]
async fn find_load(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    if loads::Draft::parse(&id).is_some() {
        let detail =
            format!("`{id}` is a draft: it is in GET /v1/loads?work_date= and on the sheets");
        return Err(Problem::new(Kind::NotFound, detail));
    }
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let bakery = bakery::load(state, tx)?;
            let history = loads::find(tx, &state.site, &id)?;
            Ok((LoadView::new(&bakery, &history), history.etag))
        })
    };
    let (view, etag) = answer::read(state, work).await?;
    Ok(HttpResponse::Ok().insert_header((header::ETAG, etag)).json(view))
}

/// The answer to a step: the load after it.
fn answered(bakery: &Bakery, history: &LoadHistory) -> Result<Answer, Refusal> {
    let answer = Answer::json(200, &LoadView::new(bakery, history))?;
    Ok(Answer { etag: Some(history.etag.clone()), ..answer })
}

/// Runs a step of a load with the bakery that it needs.
fn step(
    state: &State,
    tx: &mut Tx,
    work: impl FnOnce(&State, &mut Tx, &Arc<Bakery>) -> Result<LoadHistory, Refusal>,
) -> Result<Answer, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let history = work(state, tx, &bakery)?;
    answered(&bakery, &history)
}

/// Releases a load.
///
/// A draft of the plan, by its id such as `2026-06-12:bun:1`, is fixed as it stands on the
/// sheet: amounts, lines, lots, pieces and the version of its formula. No later change moves
/// it. The same release again changes nothing.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "The draft's id.", example = "2026-06-12:bun:1")),
    request_body = ReleaseBody,
    responses((status = 200, description = "The load, released.", body = LoadView))
)]
#[post("/v1/loads/{id}/release")]
async fn release_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ReleaseBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| release((state, tx), &id, body)).await
}

/// Releases a load in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn release(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &ReleaseBody,
) -> Result<Answer, Refusal> {
    let (said, seen) = body.read().map_err(Refusal::Body)?;
    let history = loads::release(state, tx, id, (&said, seen), load::frozen)?;
    let bakery = bakery::load(state, tx)?;
    answered(&bakery, &history)
}

/// Weighs a load.
///
/// Its lines leave the stock: as proposed, or as the hand wrote. The written lot is true; a
/// lot that nobody entered needs `new`. Weighing loss is a waste entry of its own.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = WeighingsBody,
    responses((status = 200, description = "The load, weighed.", body = LoadView))
)]
#[post("/v1/loads/{id}/weighings")]
async fn weigh_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<WeighingsBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| weigh((state, tx), &id, body)).await
}

/// Weighs a load in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn weigh(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &WeighingsBody,
) -> Result<Answer, Refusal> {
    let (said, lines) = body.read().map_err(Refusal::Body)?;
    step(state, tx, |state, tx, bakery| loads::weigh(state, tx, bakery, (id, &said), &lines))
}

/// Mixes a load.
///
/// Its dough is a lot from now on, made by this load, with the time of the mix. Temperatures
/// are kept with it.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = MixedBody,
    responses((status = 200, description = "The load, mixed.", body = LoadView))
)]
#[post("/v1/loads/{id}/mixed")]
async fn mix_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<MixedBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (said, mixed) = body.read().map_err(Refusal::Body)?;
        step(state, tx, |state, tx, bakery| loads::mix(state, tx, bakery, (&id, &said), &mixed))
    })
    .await
}

/// Divides a load.
///
/// Its dough is used up, but for what is kept as old dough or thrown away with a reason.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = DividedBody,
    responses((status = 200, description = "The load, divided.", body = LoadView))
)]
#[post("/v1/loads/{id}/divided")]
async fn divide_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<DividedBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (said, divided) = body.read().map_err(Refusal::Body)?;
        step(state, tx, |state, tx, bakery| {
            loads::divide(state, tx, bakery, (&id, &said), &divided)
        })
    })
    .await
}

async fn bake(
    state: web::Data<State>,
    id: String,
    posted: Posted<BakedLoadBody>,
    to: LoadState,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (said, pieces) = body.read().map_err(Refusal::Body)?;
        let of = (id.as_str(), to, &said);
        step(state, tx, |state, tx, bakery| loads::bake(state, tx, bakery, of, &pieces))
    })
    .await
}

/// Says that a load left the oven.
///
/// Each product becomes a lot of its own: filling, wash and toppings leave the stock for it,
/// as they are written, else first expired first. Dough that was never divided is used up.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = BakedLoadBody,
    responses((status = 200, description = "The load, baked.", body = LoadView))
)]
#[post("/v1/loads/{id}/baked")]
async fn bake_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<BakedLoadBody>,
) -> Result<HttpResponse, Problem> {
    bake(state, id.into_inner(), posted, LoadState::Baked).await
}

/// Says that a load is packed.
///
/// Steps before it that the load never had can be left out.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = BakedLoadBody,
    responses((status = 200, description = "The load, packed.", body = LoadView))
)]
#[post("/v1/loads/{id}/packed")]
async fn pack_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<BakedLoadBody>,
) -> Result<HttpResponse, Problem> {
    bake(state, id.into_inner(), posted, LoadState::Packed).await
}

/// Says that a load left the house.
///
/// Its lots go to the orders that wait for them, drop after drop, or as it is written. Its
/// life ends here; what no order takes stays in the book.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = SentBody,
    responses((status = 200, description = "The load, sent.", body = LoadView))
)]
#[post("/v1/loads/{id}/sent")]
async fn send_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<SentBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (said, sent) = body.read().map_err(Refusal::Body)?;
        let of = (id.as_str(), LoadState::Sent, &said);
        step(state, tx, |state, tx, bakery| loads::bake(state, tx, bakery, of, &sent))
    })
    .await
}

/// Calls a released load off.
///
/// Only before anything of it was weighed. The plan drafts what it would have given anew,
/// under another number.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = PassBody,
    responses((status = 200, description = "The load, cancelled.", body = LoadView))
)]
#[post("/v1/loads/{id}/cancelled")]
async fn cancel_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<PassBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let said = body.read().map_err(Refusal::Body)?;
        step(state, tx, |state, tx, bakery| loads::cancel(state, tx, bakery, (&id, &said)))
    })
    .await
}

/// Says that a load failed.
///
/// Its dough is waste, with the reason. The plan drafts what it would have given anew.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = LostBody,
    responses((status = 200, description = "The load, lost.", body = LoadView))
)]
#[post("/v1/loads/{id}/lost")]
async fn lose_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<LostBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (said, reason) = body.read().map_err(Refusal::Body)?;
        let of = (id.as_str(), &said);
        step(state, tx, |state, tx, bakery| loads::lose(state, tx, bakery, of, &reason))
    })
    .await
}

/// Counts the pieces of a load.
///
/// Good, rejected with the reason, and extra, product by product: good ones are lots, rejects
/// are waste. A later count of a product takes the earlier one back.
#[utoipa::path(
    tag = "loads",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = CountBackBody,
    responses((status = 200, description = "The load with its counts.", body = LoadView))
)]
#[post("/v1/loads/{id}/count-back")]
async fn count_back_load(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<CountBackBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (said, pieces) = body.read().map_err(Refusal::Body)?;
        let of = (id.as_str(), &said);
        step(state, tx, |state, tx, bakery| loads::count_back(state, tx, bakery, of, &pieces))
    })
    .await
}
