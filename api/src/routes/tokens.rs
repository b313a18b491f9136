//! Tokens and what was written with them. New ones are made on the machine itself or on the
//! owner's page, so that no secret is ever in an answer that is kept.

use crate::{
    answer,
    extract::Posted,
    page::{self, Page, PageQuery},
    problem::Problem,
    service::{audit, idempotency::Answer, tokens},
    state::State,
    store::audit_entries::AuditRow,
    wire::{
        audit::AuditView,
        token::{TokenView, TokensView},
    },
};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_tokens).service(revoke_token).service(list_audit);
}

/// Lists tokens.
///
/// Without their secrets, which are kept nowhere. `weighhouse token add` makes one, and so does
/// the page `/settings/tokens`.
#[utoipa::path(
    tag = "tokens",
    responses((status = 200, description = "All tokens.", body = TokensView))
)]
#[get("/v1/tokens")]
async fn list_tokens(state: web::Data<State>) -> Result<web::Json<TokensView>, Problem> {
    let now = state.now();
    let rows = answer::read(state, tokens::list).await?;
    let rows = rows.iter().map(|token| TokenView::new(token, now)).collect();
    Ok(web::Json(TokensView { rows }))
}

/// Nothing need be said.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct RevokeBody {}

/// Revokes a token.
///
/// It opens nothing from this moment on, on any server of the database. Once more changes
/// nothing.
#[utoipa::path(
    tag = "tokens",
    params(("id" = String, Path, description = "Its open part: a UUID.")),
    request_body = RevokeBody,
    responses((status = 200, description = "The token.", body = TokenView))
)]
#[post("/v1/tokens/{id}/revoke")]
async fn revoke_token(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<RevokeBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, _| {
        let token = tokens::revoke(tx, state, &id)?;
        Answer::json(200, &TokenView::new(&token, state.now()))
    })
    .await
}

/// Lists who wrote what.
///
/// One row for each write that was answered, newest first, in pages. Nobody can change one.
#[utoipa::path(
    tag = "tokens",
    params(PageQuery),
    responses((status = 200, description = "A page of writes.", body = Page<AuditView>))
)]
#[get("/v1/audit")]
async fn list_audit(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<AuditView>, Problem> {
    let limit = page::limit(query.limit)?;
    let before = page::after(query.cursor.as_deref())?;
    let work = move |state: &State| audit::list(state, before.as_deref(), limit);
    let rows = answer::read(state, work).await?.into_iter().map(view).collect();
    Ok(Page::new(rows, limit, |last: &AuditView| last.id.clone()))
}

fn view(row: AuditRow) -> AuditView {
    let AuditRow { site: _, id, written_at, who, token_id, method, path, status, request_id } = row;
    AuditView { id, written_at, who, token_id, method, path, status, request_id }
}
