//! Webhooks and what became of what they tell.

use crate::{
    answer,
    extract::{Body, IfMatch, Posted},
    page::{self, Page},
    problem::Problem,
    service::{
        idempotency::Answer,
        webhooks::{self, deliveries},
    },
    state::State,
    wire::webhook::{
        WebhookBody, WebhookDeliveryStateView, WebhookDeliveryView, WebhookView, WebhooksView,
    },
};
use actix_web::{HttpResponse, get, http::header, post, put, web};
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(list_webhooks)
        .service(find_webhook)
        .service(put_webhook)
        .service(list_webhook_deliveries)
        .service(resend_webhook_delivery);
}

/// Lists webhooks.
///
/// Without their secrets. `weighhouse webhook secret CODE` makes one, and shows it once.
#[utoipa::path(
    tag = "webhooks",
    responses((status = 200, description = "All webhooks.", body = WebhooksView))
)]
#[get("/v1/webhooks")]
async fn list_webhooks(state: web::Data<State>) -> Result<web::Json<WebhooksView>, Problem> {
    let webhooks = answer::read(state, webhooks::list).await?;
    Ok(web::Json(WebhooksView { rows: webhooks.iter().map(WebhookView::from).collect() }))
}

/// Finds a webhook.
///
/// With the ETag that a put of it takes.
#[utoipa::path(
    tag = "webhooks",
    params(("code" = String, Path, description = "Its code.", example = "till")),
    responses((status = 200, description = "The webhook.", body = WebhookView))
)]
#[get("/v1/webhooks/{code}")]
async fn find_webhook(
    state: web::Data<State>,
    code: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let webhook = answer::read(state, move |state| webhooks::find(state, &code)).await?;
    let etag = (header::ETAG, webhook.etag.clone());
    Ok(HttpResponse::Ok().insert_header(etag).json(WebhookView::from(&webhook)))
}

/// Puts a webhook.
///
/// It tells of what happens from here on, once it has a secret: each thing is posted as JSON
/// with the headers `webhook-id`, `webhook-timestamp` and `webhook-signature` of the open
/// specification Standard Webhooks, and again over about a day until the answer is a 2xx. No
/// redirect is followed. One that is there already takes `If-Match`.
#[utoipa::path(
    tag = "webhooks",
    params(
        ("code" = String, Path, description = "Its code.", example = "till"),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read.")
    ),
    request_body = WebhookBody,
    responses(
        (status = 200, description = "It was there and is as asked.", body = WebhookView),
        (status = 201, description = "It is new.", body = WebhookView)
    )
)]
#[put("/v1/webhooks/{code}")]
async fn put_webhook(
    state: web::Data<State>,
    code: web::Path<String>,
    IfMatch(precondition): IfMatch,
    Body(body): Body<WebhookBody>,
) -> Result<HttpResponse, Problem> {
    let work = move |state: &State| webhooks::put(state, &code, &body.read(), &precondition);
    let (webhook, created) = answer::read(state, work).await?;
    let mut response = if created { HttpResponse::Created() } else { HttpResponse::Ok() };
    let etag = (header::ETAG, webhook.etag.clone());
    Ok(response.insert_header(etag).json(WebhookView::from(&webhook)))
}

/// Which deliveries.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct WebhookDeliveriesQuery {
    /// Only those of a state: `dead` for dead letters.
    state: Option<WebhookDeliveryStateView>,
    /// Most rows of the page: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    limit: Option<i64>,
    /// The `next` of the page before; absent for the first page.
    cursor: Option<String>,
}

/// Lists deliveries.
///
/// What each webhook was to tell and what became of it, newest first, in pages. What arrived
/// is forgotten after a week; a dead letter stays.
#[utoipa::path(
    tag = "webhooks",
    params(WebhookDeliveriesQuery),
    responses((status = 200, description = "A page of deliveries.", body = Page<WebhookDeliveryView>))
)]
#[get("/v1/webhook-deliveries")]
async fn list_webhook_deliveries(
    state: web::Data<State>,
    query: web::Query<WebhookDeliveriesQuery>,
) -> Result<Page<WebhookDeliveryView>, Problem> {
    let WebhookDeliveriesQuery { state: of, limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let before = page::after(cursor.as_deref())?;
    let work = move |state: &State| {
        deliveries::list(state, of.map(Into::into), (before.as_deref(), limit))
    };
    let rows = answer::read(state, work).await?.iter().map(WebhookDeliveryView::new).collect();
    Ok(Page::new(rows, limit, |last: &WebhookDeliveryView| last.id.clone()))
}

/// Nothing need be said.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct ResendBody {}

/// Sends a delivery again.
///
/// From its first try on, under the same `webhook-id`; one that waits is tried at once.
#[utoipa::path(
    tag = "webhooks",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = ResendBody,
    responses((status = 200, description = "The delivery.", body = WebhookDeliveryView))
)]
#[post("/v1/webhook-deliveries/{id}/resend")]
async fn resend_webhook_delivery(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ResendBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, _| {
        let delivery = deliveries::resend(tx, state, &id)?;
        Answer::json(200, &WebhookDeliveryView::new(&delivery))
    })
    .await
}
