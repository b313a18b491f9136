//! Counts: what lay on the shelf against what the book says.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{
        Refusal, bakery,
        idempotency::Answer,
        plan::{self, Horizon},
        stock,
    },
    sheets::{self, Format},
    state::State,
    store::Tx,
    wire::{
        amount::instant,
        count::{
            CountBody, CountSheetBody, CountSheetView, CountView, CountedSheetView, CountsDueView,
        },
    },
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(count).service(list_counts_due).service(read_count_sheet).service(count_sheet);
}

/// Takes a count.
///
/// The variance is what was counted less what the book said at the moment counted; it
/// becomes a ledger entry of that moment, and everything that happened since stands.
#[utoipa::path(
    tag = "stock",
    request_body = CountBody,
    responses((status = 201, description = "What the count came to.", body = CountView))
)]
#[post("/v1/counts")]
async fn count(
    state: web::Data<State>,
    posted: Posted<CountBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| take((state, tx), body)).await
}

/// Takes a count in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn take((state, tx): (&State, &mut Tx), body: &CountBody) -> Result<Answer, Refusal> {
    let asked = body.read().map_err(Refusal::Body)?;
    let bakery = bakery::load(state, tx)?;
    let counted = stock::count(tx, &state.site, state.now(), &bakery, &asked)?;
    Answer::json(201, &CountView::new(&counted))
}

/// Lists what to count next.
///
/// First what the book has less than nothing of, then what the plan runs short of, then where
/// much money lies, then everything that was not counted for the house's weeks.
#[utoipa::path(
    tag = "stock",
    responses((status = 200, description = "Items to count, first things first.", body = CountsDueView))
)]
#[get("/v1/counts/due")]
async fn list_counts_due(state: web::Data<State>) -> Result<web::Json<CountsDueView>, Problem> {
    Ok(web::Json(answer::read(state, due).await?))
}

/// What to count next, first things first.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn due(state: &State) -> Result<CountsDueView, Refusal> {
    let morning = plan::load(state, Horizon::Usual)?;
    let short = morning.plan.stock.iter().filter(|stock| stock.netting.short_micro > 0);
    let code = |item| morning.bakery.item(item).code.to_string();
    let short = short.map(|stock| code(stock.item)).collect();
    let (bakery, now) = (&morning.bakery, morning.now);
    let rows = state.store.read(|tx| stock::due(tx, &state.site, now, bakery, &short))?;
    let site = bakery.site();
    Ok(CountsDueView::new(&rows, site.count_weeks, &site.time_zone))
}

/// Which lots a sheet asks for.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct CountSheetQuery {
    /// Only what lies at this place.
    #[param(example = "chiller")]
    place: Option<String>,
    /// Only lots of this item or product.
    #[param(example = "whole-milk")]
    item: Option<String>,
    /// Whether to hide what the book expects; true if absent.
    #[param(example = true)]
    blind: Option<bool>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Reads a sheet to count by.
///
/// One line for each lot at each place. It does not say what the book expects unless it is
/// asked to, so that the count is what lies there.
#[utoipa::path(
    tag = "stock",
    params(CountSheetQuery),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((CountSheetView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/count-sheets")]
async fn read_count_sheet(
    state: web::Data<State>,
    query: web::Query<CountSheetQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let CountSheetQuery { place, item, blind, _language: _ } = query.into_inner();
    let work = move |state: &State| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            let wanted = (place.as_deref(), item.as_deref());
            let lines = stock::sheet(tx, &state.site, &bakery, wanted)?;
            let made_at = instant(&bakery.site().time_zone, state.now());
            Ok(CountSheetView::new(&bakery, &lines, made_at, blind.unwrap_or(true)))
        })
    };
    format.respond(&answer::read(state, work).await?, sheets::count_sheet::draw).await
}

/// Takes a whole counted sheet.
///
/// All lines or none, each against the book at the moment counted; the answer says what each
/// came to. What happened since that moment stands.
#[utoipa::path(
    tag = "stock",
    request_body = CountSheetBody,
    responses((status = 201, description = "What each line came to.", body = CountedSheetView))
)]
#[post("/v1/count-sheets")]
async fn count_sheet(
    state: web::Data<State>,
    posted: Posted<CountSheetBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| take_sheet((state, tx), body)).await
}

/// Takes a whole counted sheet in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn take_sheet(
    (state, tx): (&State, &mut Tx),
    body: &CountSheetBody,
) -> Result<Answer, Refusal> {
    let counts = body.read().map_err(Refusal::Body)?;
    let bakery = bakery::load(state, tx)?;
    let counted = stock::count_all(tx, &state.site, state.now(), &bakery, &counts)?;
    Answer::json(201, &CountedSheetView::new(&counted))
}
