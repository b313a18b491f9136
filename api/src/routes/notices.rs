//! The feed of what happened.

use crate::{
    answer,
    extract::last_event_id,
    page,
    problem::{Kind, Problem},
    service::{
        bakery,
        notices::{self, Start},
    },
    state::State,
    streams::{self, Streams},
    wire::notice::NoticesView,
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_notices).service(follow_notices);
}

/// Which part of the feed.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct FeedQuery {
    /// The `after` of the answer before, or a row's `cursor`; `now` for a place at the end;
    /// absent for the beginning.
    after: Option<String>,
    /// Most rows: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    limit: Option<i64>,
}

/// From which place on.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct StreamQuery {
    /// A `cursor`; absent for what happens from here on. `Last-Event-ID` goes before it.
    after: Option<String>,
}

/// The word for the end of the feed.
const NOW: &str = "now";

fn place(after: Option<&str>) -> Result<Option<Start>, Problem> {
    if after == Some(NOW) {
        return Ok(Some(Start::Now));
    }
    let after = after.filter(|after| !after.is_empty());
    let number = page::after(after)?.map(|text| text.parse::<i64>()).transpose().ok();
    let number = number.filter(|number| number.is_none_or(|number| number >= 0));
    number.map(|number| number.map(Start::After)).ok_or_else(|| {
        Problem::new(Kind::InvalidQuery, "after is none of ours: send the `after` of an answer")
    })
}

/// Reads what happened.
///
/// Every plan revision, late order, hold, release and shortage, in the order in which it was
/// committed: nothing appears later before a place that was read. Go on with `after`; what
/// was read twice has the same `cursor`. This is no list of what differs from a printed
/// sheet: that is `/v1/work-dates/{date}/changes`.
#[utoipa::path(
    tag = "changes",
    params(FeedQuery),
    responses((status = 200, description = "A part of the feed.", body = NoticesView))
)]
#[get("/v1/changes")]
async fn list_notices(
    state: web::Data<State>,
    query: web::Query<FeedQuery>,
) -> Result<web::Json<NoticesView>, Problem> {
    let limit = page::limit(query.limit)?;
    let start = place(query.after.as_deref())?.unwrap_or(Start::After(0));
    let work = move |state: &State| {
        let zone = state.store.read(|tx| bakery::load(state, tx))?.site().time_zone.clone();
        let (rows, last) = notices::read(state, start, limit)?;
        Ok(NoticesView::new(&zone, (&rows, last), limit))
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Follows what happens.
///
/// Server-sent events: each has the cursor as its id, the kind as its name, and the row of
/// `/v1/changes` as its data. A comment comes each quarter minute without news. A reader that
/// lost it comes back with `Last-Event-ID`, as browsers do, and misses nothing. Eight streams
/// of a token may be open.
#[utoipa::path(
    tag = "changes",
    params(
        StreamQuery,
        ("Last-Event-ID" = Option<String>, Header, description = "The id of the last event that was read.")
    ),
    responses((status = 200, description = "Events as they happen.", content_type = "text/event-stream", body = String))
)]
#[get("/v1/changes/stream")]
async fn follow_notices(
    state: web::Data<State>,
    streams: web::Data<Streams>,
    query: web::Query<StreamQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let last = last_event_id(request.headers())?;
    let start = place(last.or(query.after.as_deref()))?.unwrap_or(Start::Now);
    let events = streams::follow(state, streams.into_inner(), start).await?;
    Ok(HttpResponse::Ok().content_type("text/event-stream").body(events))
}
