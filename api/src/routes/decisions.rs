//! When it is too late to order: ways to cut, and what a person decided.

use crate::{
    answer, extract,
    extract::Posted,
    problem::{Kind, Problem},
    service::{
        Refusal, bakery, decisions,
        idempotency::Answer,
        plan::{self, Horizon},
    },
    sheets::{self, Format},
    state::State,
    store::Tx,
    wire::{
        cuts::{CutsView, cuts_view},
        decision::{DecisionBody, DecisionView, TakeBackBody},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use jiff::civil::Date;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_cuts).service(list_decisions).service(decide).service(take_back_decision);
}

/// Which service dates are cut together.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct CutsQuery {
    /// Last service date whose orders may be cut; the same date if absent.
    #[param(example = "2026-06-13")]
    to: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Shows two ways to cut what cannot all be made.
///
/// The fair way gives up the same part inside a tier; the best way keeps the most worth,
/// tier before tier, under everything that is short, mixers' minimums, packs and useful
/// numbers, and says if that is proven or how much more there could be. A sentence says why
/// each product is cut. Nothing is decided by reading it.
#[utoipa::path(
    tag = "purchase",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        CutsQuery
    ),
    responses((status = 200, description = "The ways, as JSON or HTML.", content((CutsView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/service-dates/{date}/cuts")]
async fn read_cuts(
    state: web::Data<State>,
    date: web::Path<String>,
    query: web::Query<CutsQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let from = extract::date("date", &date)?;
    let to = query.to.as_deref().map_or(Ok(from), |text| extract::date("to", text))?;
    if to < from {
        return Err(Problem::new(Kind::InvalidQuery, format!("to is before {from}")));
    }
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| cuts(state, (from, to)));
    format.respond(&view.await?, sheets::cuts::draw).await
}

/// The ways to cut the orders of some service dates, and what was decided for the first.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn cuts(state: &State, (from, to): (Date, Date)) -> Result<CutsView, Refusal> {
    let morning = plan::load(state, Horizon::ServiceDate(to))?;
    let found = decisions::ways(&morning, from, to)?;
    let held = state.store.read(|tx| decisions::list(tx, &state.site, from))?;
    Ok(cuts_view(&morning, (from, to), found.as_ref(), &held))
}

/// Lists what was decided for a service date.
///
/// Oldest first; what was taken back stays and says so.
#[utoipa::path(
    tag = "purchase",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-12")),
    responses((status = 200, description = "The decisions.", body = Vec<DecisionView>))
)]
#[get("/v1/service-dates/{date}/decisions")]
async fn list_decisions(
    state: web::Data<State>,
    date: web::Path<String>,
) -> Result<web::Json<Vec<DecisionView>>, Problem> {
    let date = extract::date("date", &date)?;
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let bakery = bakery::load(state, tx)?;
            let held = decisions::list(tx, &state.site, date)?;
            Ok(held.iter().map(|held| DecisionView::new(&bakery, held)).collect())
        })
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Writes a decision in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn written(
    (state, tx): (&State, &mut Tx),
    date: Date,
    body: &DecisionBody,
) -> Result<Answer, Refusal> {
    let asked = body.read(date).map_err(Refusal::Body)?;
    let bakery = bakery::load(state, tx)?;
    Answer::json(201, &DecisionView::new(&bakery, &decisions::decide(state, tx, &asked)?))
}

/// Decides who gets how much.
///
/// Orders keep what was asked; every later plan makes no more than this, and says on its
/// sheets who decided and why. A later decision on a line holds in the place of this one.
#[utoipa::path(
    tag = "purchase",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-12")),
    request_body = DecisionBody,
    responses((status = 201, description = "The decision.", body = DecisionView))
)]
#[post("/v1/service-dates/{date}/decisions")]
async fn decide(
    state: web::Data<State>,
    date: web::Path<String>,
    posted: Posted<DecisionBody>,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    answer::post(state, posted, move |state, tx, body| written((state, tx), date, body)).await
}

/// Takes a decision back in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn taken_back(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &TakeBackBody,
) -> Result<Answer, Refusal> {
    let (who, note) = body.read().map_err(Refusal::Body)?;
    let bakery = bakery::load(state, tx)?;
    let held = decisions::take_back(state, tx, id, (&who, &note))?;
    Answer::json(200, &DecisionView::new(&bakery, &held))
}

/// Takes a decision back.
///
/// By an entry of its own: what was decided, by whom and why stays on record.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Which decision.", example = "01975f1c-0000-7000-8000-000000000000")),
    request_body = TakeBackBody,
    responses((status = 200, description = "The decision, taken back.", body = DecisionView))
)]
#[post("/v1/decisions/{id}/take-back")]
async fn take_back_decision(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<TakeBackBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| taken_back((state, tx), &id, body)).await
}
