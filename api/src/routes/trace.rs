//! Traces of lots, both ways, and the recall file.

use crate::{
    answer,
    problem::{Kind, Problem},
    service::{bakery, trace},
    sheets::{self, Format},
    state::State,
    wire::{
        epcis::EpcisDocumentView,
        recall::{RecallView, recall_csv},
        trace::TraceView,
    },
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use domain::trace::Direction;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(trace_lot)
        .service(trace_product_lot)
        .service(recall_lot)
        .service(export_recall)
        .service(list_events);
}

/// Which way.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct TraceQuery {
    /// `forwards` to everything that it went into, or `back` to everything that it came from;
    /// `forwards` if absent.
    #[param(example = "back")]
    direction: Option<String>,
}

/// Traces a lot.
///
/// Forwards to every load, lot and drop that it went into, or back to everything that it came
/// from: through levain, old dough, rework, day-old goods and parts that were carried away,
/// each with its generation and its exact share. No link is dropped, however small.
#[utoipa::path(
    tag = "trace",
    params(("id" = String, Path, description = "Its UUID."), TraceQuery),
    responses((status = 200, description = "The trace.", body = TraceView))
)]
#[get("/v1/lots/{id}/trace")]
async fn trace_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    query: web::Query<TraceQuery>,
) -> Result<web::Json<TraceView>, Problem> {
    traced(state, id.into_inner(), direction(&query, Direction::Forwards)?).await
}

/// Traces a lot of finished pieces.
///
/// As any other lot, but back to everything that it came from unless it is asked otherwise.
#[utoipa::path(
    tag = "trace",
    params(("id" = String, Path, description = "Its UUID."), TraceQuery),
    responses((status = 200, description = "The trace.", body = TraceView))
)]
#[get("/v1/product-lots/{id}/trace")]
async fn trace_product_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    query: web::Query<TraceQuery>,
) -> Result<web::Json<TraceView>, Problem> {
    traced(state, id.into_inner(), direction(&query, Direction::Back)?).await
}

fn direction(query: &TraceQuery, usual: Direction) -> Result<Direction, Problem> {
    match query.direction.as_deref() {
        None => Ok(usual),
        Some("forwards") => Ok(Direction::Forwards),
        Some("back") => Ok(Direction::Back),
        Some(other) => Err(Problem::new(
            Kind::InvalidQuery,
            format!("direction is `{other}`: write forwards or back"),
        )),
    }
}

async fn traced(
    state: web::Data<State>,
    id: String,
    direction: Direction,
) -> Result<web::Json<TraceView>, Problem> {
    let view = answer::read(state, move |state| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            let traced = trace::trace(tx, &state.site, &bakery, (&id, direction))?;
            Ok(TraceView::new(&bakery, &traced, state.now()))
        })
    });
    Ok(web::Json(view.await?))
}

/// Prints the recall file of a lot.
///
/// Everything that it came from and went into, who got some of it by name and drop, what is
/// still in the house and where, what the plan would use it for, and where its mass went with
/// the percentage accounted for. HTML prints on A4; JSON is the default.
#[utoipa::path(
    tag = "trace",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The file, as JSON or HTML.", content((RecallView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/lots/{id}/recall")]
async fn recall_lot(
    state: web::Data<State>,
    id: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = recalled(state, id.into_inner()).await?;
    format.respond(&view, sheets::recall::draw).await
}

/// Exports the recall file of a lot.
///
/// As comma-separated values, one line for each fact; no cell begins like a formula.
#[utoipa::path(
    tag = "trace",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The lines.", content_type = "text/csv", body = String))
)]
#[get("/v1/lots/{id}/recall.csv")]
async fn export_recall(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let csv = recall_csv(&recalled(state, id.into_inner()).await?);
    Ok(sheets::csv(csv))
}

async fn recalled(state: web::Data<State>, id: String) -> Result<RecallView, Problem> {
    let view = answer::read(state, move |state| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            let recall = trace::recall(state, tx, &bakery, &id)?;
            RecallView::new(&bakery, &recall, state.now())
        })
    });
    view.await
}

/// Exports the trace events of a lot.
///
/// Everything that happened around it, both ways: what came in, went into loads and left the
/// house, as an EPCIS 2.0 document in JSON-LD.
#[utoipa::path(
    tag = "trace",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The document.", body = EpcisDocumentView))
)]
#[get("/v1/lots/{id}/events")]
async fn list_events(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<web::Json<EpcisDocumentView>, Problem> {
    let view = answer::read(state, move |state| {
        state.store.read(|tx| {
            let bakery = bakery::load(state, tx)?;
            let found = trace::events(tx, &state.site, &bakery, &id)?;
            Ok(EpcisDocumentView::new(&bakery.site().time_zone, &found, state.now()))
        })
    });
    Ok(web::Json(view.await?))
}
