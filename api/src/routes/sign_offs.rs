//! Substitutes: what one would change, and who signs for it.

use crate::{
    answer, extract,
    extract::Posted,
    problem::Problem,
    service::{
        Refusal, bakery,
        idempotency::Answer,
        plan::{self, Horizon},
        sign_offs,
    },
    sheets::{self, Format},
    state::State,
    wire::{
        decision::TakeBackBody,
        sign_off::{ReplacedView, SignOffBody, SignOffView, question, replaced_view},
    },
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_replaced).service(list_sign_offs).service(sign_off).service(take_back);
}

/// How a substitute would be used.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ReplacedQuery {
    /// Formulas and products, joined by commas; wherever it is allowed if absent.
    #[param(example = "bun")]
    used_in: Option<String>,
    /// Share of each line that is replaced, percent; 100 if absent.
    #[param(example = "100")]
    share: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Shows what a substitute would change.
///
/// Product by product what it brings in by the records of this moment, with the customers
/// who avoid that by name, and how stock stands before and after. Nothing is used by it.
#[utoipa::path(
    tag = "purchase",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("code" = String, Path, description = "Which substitute.", example = "baking-fat-for-butter"),
        ReplacedQuery
    ),
    responses((status = 200, description = "What changes, as JSON or HTML.", content((ReplacedView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/service-dates/{date}/substitutes/{code}")]
async fn read_replaced(
    state: web::Data<State>,
    path: web::Path<(String, String)>,
    query: web::Query<ReplacedQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let (date, code) = path.into_inner();
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let named = query.used_in.as_deref().unwrap_or_default().split(',');
        let used_in: Vec<String> = named.filter(|c| !c.is_empty()).map(str::to_owned).collect();
        let asked =
            question(date, &code, &used_in, query.share.as_deref()).map_err(Refusal::Body)?;
        let morning = plan::load(state, Horizon::ServiceDate(date))?;
        let (asked, found) = sign_offs::preview(&morning, &asked)?;
        Ok(replaced_view(&morning, (&asked, &found)))
    });
    format.respond(&view.await?, sheets::replaced::draw).await
}

/// Lists what was signed for on a service date.
///
/// Oldest first; what was taken back stays and says so.
#[utoipa::path(
    tag = "purchase",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-12")),
    responses((status = 200, description = "The sign-offs.", body = Vec<SignOffView>))
)]
#[get("/v1/service-dates/{date}/sign-offs")]
async fn list_sign_offs(
    state: web::Data<State>,
    date: web::Path<String>,
) -> Result<web::Json<Vec<SignOffView>>, Problem> {
    let date = extract::date("date", &date)?;
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            let held = sign_offs::list(tx, &state.site, date)?;
            Ok(held.iter().map(|held| SignOffView::new(&zone, held)).collect())
        })
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Signs for a substitute.
///
/// The signer repeats what it brings in and who is not sent it; anything else than what the
/// records say at this moment is refused. From then on the plan of that date uses it:
/// needs, weigh-out, lots and allergens. Loads released before keep theirs.
#[utoipa::path(
    tag = "purchase",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-12")),
    request_body = SignOffBody,
    responses((status = 201, description = "The sign-off.", body = SignOffView))
)]
#[post("/v1/service-dates/{date}/sign-offs")]
async fn sign_off(
    state: web::Data<State>,
    date: web::Path<String>,
    posted: Posted<SignOffBody>,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    answer::post(state, posted, move |state, tx, body| {
        let asked = body.read(date).map_err(Refusal::Body)?;
        let zone = bakery::load(state, tx)?.site().time_zone.clone();
        Answer::json(201, &SignOffView::new(&zone, &sign_offs::sign(state, tx, &asked)?))
    })
    .await
}

/// Takes a sign-off back.
///
/// By an entry of its own. A load that was released with the substitute keeps it, so its
/// sign-off cannot be taken back any more.
#[utoipa::path(
    operation_id = "take_back_sign_off",
    tag = "purchase",
    params(("id" = String, Path, description = "Which sign-off.", example = "01975f1c-0000-7000-8000-000000000000")),
    request_body = TakeBackBody,
    responses((status = 200, description = "The sign-off, taken back.", body = SignOffView))
)]
#[post("/v1/sign-offs/{id}/take-back")]
async fn take_back(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<TakeBackBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (who, note) = body.read().map_err(Refusal::Body)?;
        let zone = bakery::load(state, tx)?.site().time_zone.clone();
        let held = sign_offs::take_back(state, tx, &id, (&who, &note))?;
        Answer::json(200, &SignOffView::new(&zone, &held))
    })
    .await
}
