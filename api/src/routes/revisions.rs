//! Plan revisions and what made them.

use crate::{
    answer,
    page::{self, Page, PageQuery},
    problem::{Kind, Problem},
    service::{bakery, revisions},
    state::State,
    wire::revision::RevisionView,
};
use actix_web::{get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_revisions);
}

/// Lists plan revisions.
///
/// Each write that had an effect makes one: its number, when, and what it was. Newest first,
/// in pages.
#[utoipa::path(
    tag = "plan",
    params(PageQuery),
    responses((status = 200, description = "A page of revisions.", body = Page<RevisionView>))
)]
#[get("/v1/revisions")]
async fn list_revisions(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<RevisionView>, Problem> {
    let limit = page::limit(query.limit)?;
    let before = match page::after(query.cursor.as_deref())? {
        None => i64::MAX,
        Some(text) => text.parse().map_err(|_| {
            Problem::new(Kind::InvalidQuery, "cursor is none of ours: send the `next` of a page")
        })?,
    };
    let work = move |state: &State| {
        state.store.read(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            revisions::list(tx, &state.site, &zone, (before, limit))
        })
    };
    let rows = answer::read(state, work).await?.iter().map(RevisionView::new).collect();
    Ok(Page::new(rows, limit, |last: &RevisionView| last.plan_revision.to_string()))
}
