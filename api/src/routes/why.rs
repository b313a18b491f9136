//! Why a number is what it is.

use crate::{
    answer, extract,
    pages::{self, Visit},
    problem::Problem,
    service::{
        Refusal,
        plan::{self, Horizon, NumberOf},
    },
    sheets::{self, Offer},
    state::State,
    wire::why::{WhyView, why},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use jiff::civil::Date;
use utoipa_actix_web::service_config::ServiceConfig;

/// The formats of a chain, the first by default.
const OFFERS: [Offer; 2] = [Offer("application", "json"), Offer("text", "html")];

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(explain_pieces)
        .service(explain_batch)
        .service(explain_line)
        .service(explain_topping)
        .service(explain_need);
}

/// What answers a question: where, to which request.
type Asked<'a> = (web::Data<State>, &'a HttpRequest);

async fn explain(
    (state, request): Asked<'_>,
    date: Date,
    of: NumberOf,
) -> Result<HttpResponse, Problem> {
    let work = move |state: &State| -> Result<WhyView, Refusal> {
        let morning = plan::load(state, Horizon::ServiceDate(date))?;
        let chain = morning.why(date, &of)?;
        Ok(why(&morning, &chain))
    };
    if sheets::preferred(request, &OFFERS)? == 1 {
        let draw = move |state: &State, words| Ok(pages::why::draw(words, &work(state)?));
        return Ok(Visit::of(request).show(draw).await);
    }
    Ok(HttpResponse::Ok().json(answer::read(state, work).await?))
}

/// Explains the start pieces of a product.
///
/// Orders by customer, what other products take, stock, test pieces, rejects, overs and trays.
#[utoipa::path(
    tag = "why",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("product" = String, Path, description = "Which product.", example = "fruit-bun")
    ),
    responses((status = 200, description = "The chain behind it, as JSON or as a page.", content((WhyView = "application/json"), (String = "text/html"))))
)]
#[get("/v1/why/pieces/{date}/{product}")]
async fn explain_pieces(
    state: web::Data<State>,
    request: HttpRequest,
    path: web::Path<(String, String)>,
) -> Result<HttpResponse, Problem> {
    let (date, product) = path.into_inner();
    explain((state, &request), extract::date("date", &date)?, NumberOf::Pieces { product }).await
}

/// Explains the mass and loads of a formula.
///
/// Who asks for it, each loss in its place, residue, and the split over the mixer.
#[utoipa::path(
    tag = "why",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("formula" = String, Path, description = "Which formula.", example = "bun")
    ),
    responses((status = 200, description = "The chain behind it, as JSON or as a page.", content((WhyView = "application/json"), (String = "text/html"))))
)]
#[get("/v1/why/batches/{date}/{formula}")]
async fn explain_batch(
    state: web::Data<State>,
    request: HttpRequest,
    path: web::Path<(String, String)>,
) -> Result<HttpResponse, Problem> {
    let (date, formula) = path.into_inner();
    explain((state, &request), extract::date("date", &date)?, NumberOf::Batch { formula }).await
}

/// Explains one line of a load.
///
/// From the mass of the load to the share of the line, its scale, its rounding and its issue.
#[utoipa::path(
    tag = "why",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("formula" = String, Path, description = "Which formula.", example = "bun"),
        ("load" = i64, Path, description = "Which load, counted from 1.", example = 1),
        ("item" = String, Path, description = "What is taken.", example = "fine-salt")
    ),
    responses((status = 200, description = "The chain behind it, as JSON or as a page.", content((WhyView = "application/json"), (String = "text/html"))))
)]
#[get("/v1/why/lines/{date}/{formula}/{load}/{item}")]
async fn explain_line(
    state: web::Data<State>,
    request: HttpRequest,
    path: web::Path<(String, String, i64, String)>,
) -> Result<HttpResponse, Problem> {
    let (date, formula, load, item) = path.into_inner();
    explain(
        (state, &request),
        extract::date("date", &date)?,
        NumberOf::Line { formula, load, item },
    )
    .await
}

/// Explains a topping of a product.
///
/// Start pieces or trays times its amount, its scale and its rounding.
#[utoipa::path(
    tag = "why",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("product" = String, Path, description = "Which product.", example = "sugar-bun"),
        ("item" = String, Path, description = "What is taken.", example = "pearl-sugar")
    ),
    responses((status = 200, description = "The chain behind it, as JSON or as a page.", content((WhyView = "application/json"), (String = "text/html"))))
)]
#[get("/v1/why/toppings/{date}/{product}/{item}")]
async fn explain_topping(
    state: web::Data<State>,
    request: HttpRequest,
    path: web::Path<(String, String, String)>,
) -> Result<HttpResponse, Problem> {
    let (date, product, item) = path.into_inner();
    explain((state, &request), extract::date("date", &date)?, NumberOf::Topping { product, item })
        .await
}

/// Explains a draw on stock.
///
/// What is weighed, the loss while weighing, and whole pieces.
#[utoipa::path(
    tag = "why",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("user" = String, Path, description = "The formula or product that takes it.", example = "country"),
        ("item" = String, Path, description = "What is taken.", example = "rye")
    ),
    responses((status = 200, description = "The chain behind it, as JSON or as a page.", content((WhyView = "application/json"), (String = "text/html"))))
)]
#[get("/v1/why/needs/{date}/{user}/{item}")]
async fn explain_need(
    state: web::Data<State>,
    request: HttpRequest,
    path: web::Path<(String, String, String)>,
) -> Result<HttpResponse, Problem> {
    let (date, user, item) = path.into_inner();
    explain((state, &request), extract::date("date", &date)?, NumberOf::Need { user, item }).await
}
