//! What people set by hand against the plan.

use crate::{
    answer, extract,
    extract::{Body, IfMatch},
    problem::{Kind, Problem},
    service::{Refusal, bakery, overrides},
    state::State,
    wire::overrides::{OverrideBody, OverrideView},
};
use actix_web::{HttpResponse, delete, get, http::header, put, web};
use domain::overrides::OverrideKind;
use jiff::civil::Date;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_overrides).service(put_override).service(remove_override);
}

type Address = web::Path<(String, String, String)>;

fn address(path: Address) -> Result<(Date, OverrideKind, String), Problem> {
    let (date, kind, code) = path.into_inner();
    let date = extract::date("date", &date)?;
    let found = OverrideKind::parse(&kind).ok_or_else(|| {
        let known: Vec<&str> = OverrideKind::ALL.into_iter().map(OverrideKind::word).collect();
        let kind: String = kind.chars().take(40).collect();
        let detail = format!("nothing of kind `{kind}` can be set: {}", known.join(", "));
        Problem::new(Kind::InvalidPath, detail)
    })?;
    Ok((date, found, code))
}

/// Lists what is set by hand.
///
/// For one service date, by kind and code; what was taken back is gone.
#[utoipa::path(
    tag = "overrides",
    params(("date" = String, Path, description = "The service date.", example = "2026-06-12")),
    responses((status = 200, description = "What is set.", body = Vec<OverrideView>))
)]
#[get("/v1/service-dates/{date}/overrides")]
async fn list_overrides(
    state: web::Data<State>,
    date: web::Path<String>,
) -> Result<web::Json<Vec<OverrideView>>, Problem> {
    let date = extract::date("date", &date)?;
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            let held = overrides::list(tx, &state.site, date)?;
            Ok(held.iter().map(|held| OverrideView::new(&zone, held)).collect())
        })
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Sets a value by hand.
///
/// It holds in every later plan, and stands on sheets with its note and name. A value that the
/// plan cannot have, such as a load over the bowl, is refused with the reason. A value that is
/// set already takes `If-Match`.
#[utoipa::path(
    tag = "overrides",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("kind" = String, Path, description = "What is set: start-pieces, loads, mixer, time, under-minimum, formula.", example = "loads"),
        ("code" = String, Path, description = "Of which product or formula.", example = "bun"),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read.")
    ),
    request_body = OverrideBody,
    responses((status = 200, description = "What is set.", body = OverrideView))
)]
#[put("/v1/service-dates/{date}/overrides/{kind}/{code}")]
async fn put_override(
    state: web::Data<State>,
    path: Address,
    IfMatch(precondition): IfMatch,
    Body(body): Body<OverrideBody>,
) -> Result<HttpResponse, Problem> {
    let (date, kind, code) = address(path)?;
    let work = move |state: &State| {
        let set = body.read(date, kind, &code).map_err(Refusal::Body)?;
        state.write(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            let held = overrides::put(state, tx, &set, &precondition)?;
            Ok::<_, Refusal>((OverrideView::new(&zone, &held), held.etag))
        })
    };
    let (view, etag) = answer::read(state, work).await?;
    Ok(HttpResponse::Ok().insert_header((header::ETAG, etag)).json(view))
}

/// Who takes a value back, and why.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct RemoveQuery {
    /// Who takes it back.
    #[param(example = "Anna")]
    who: String,
    /// Why.
    #[param(example = "trip cancelled")]
    note: String,
}

/// Takes back what was set by hand.
///
/// By an entry of its own: what was set, by whom and why stays on record.
#[utoipa::path(
    tag = "overrides",
    params(
        ("date" = String, Path, description = "The service date.", example = "2026-06-12"),
        ("kind" = String, Path, description = "What was set.", example = "loads"),
        ("code" = String, Path, description = "Of which product or formula.", example = "bun"),
        RemoveQuery
    ),
    responses((status = 204, description = "It is taken back."))
)]
#[delete("/v1/service-dates/{date}/overrides/{kind}/{code}")]
async fn remove_override(
    state: web::Data<State>,
    path: Address,
    query: web::Query<RemoveQuery>,
    IfMatch(precondition): IfMatch,
) -> Result<HttpResponse, Problem> {
    let (date, kind, code) = address(path)?;
    let RemoveQuery { who, note } = query.into_inner();
    for (field, text) in [("who", &who), ("note", &note)] {
        if text.trim().is_empty() || text.chars().count() > domain::limits::NAME_CHARS_MAX {
            let detail = format!("{field} must have 1 to 200 characters");
            return Err(Problem::new(Kind::InvalidQuery, detail));
        }
    }
    let work = move |state: &State| {
        let of = (date, kind, code.as_str());
        state.write(|tx| overrides::remove(state, tx, of, (&who, &note), &precondition))
    };
    answer::read(state, work).await?;
    Ok(HttpResponse::NoContent().finish())
}
