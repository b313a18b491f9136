//! Webhooks and deliveries, as they are set and shown: never with a secret.

use super::amount::instant;
use crate::{
    messages::Sentence,
    notice::NoticeKind,
    page,
    service::webhooks::{
        Asked, Webhook,
        deliveries::{Delivery, DeliveryState},
    },
};
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What a webhook is to do.
#[derive(Debug, Clone, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WebhookBody {
    /// Where it posts to: https, or http on this machine itself.
    #[schema(example = "https://till.example/weighhouse")]
    pub url: String,
    /// What it tells of.
    #[schema(min_items = 1, max_items = 20)]
    pub kinds: Vec<NoticeKind>,
    /// Whether it tells at all; true if absent.
    #[serde(default = "yes")]
    pub active: bool,
}

const fn yes() -> bool {
    true
}

impl WebhookBody {
    /// What is asked.
    #[must_use]
    pub fn read(self) -> Asked {
        let Self { url, kinds, active } = self;
        Asked { url, kinds, active }
    }
}

/// A webhook.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WebhookView {
    /// Its code.
    #[schema(example = "till")]
    pub code: String,
    /// Where it posts to.
    #[schema(example = "https://till.example/weighhouse")]
    pub url: String,
    /// What it tells of.
    pub kinds: Vec<NoticeKind>,
    /// Whether it tells at all.
    pub active: bool,
    /// Whether it has a secret: without one nothing is sent. `weighhouse webhook secret CODE`
    /// makes one.
    pub signed: bool,
}

impl From<&Webhook> for WebhookView {
    fn from(webhook: &Webhook) -> Self {
        let Webhook { code, asked: Asked { url, kinds, active }, signed, etag: _ } = webhook;
        let (code, url, kinds) = (code.clone(), url.clone(), kinds.clone());
        Self { code, url, kinds, active: *active, signed: *signed }
    }
}

/// Every webhook of a shop.
#[derive(Debug, Serialize, ToSchema)]
pub struct WebhooksView {
    /// By code.
    pub rows: Vec<WebhookView>,
}

/// Where a delivery is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum WebhookDeliveryStateView {
    /// To be posted, or posted again.
    Waiting,
    /// It arrived.
    Delivered,
    /// It was given up: a dead letter.
    Dead,
}

impl From<DeliveryState> for WebhookDeliveryStateView {
    fn from(state: DeliveryState) -> Self {
        match state {
            DeliveryState::Waiting => Self::Waiting,
            DeliveryState::Delivered => Self::Delivered,
            DeliveryState::Dead => Self::Dead,
        }
    }
}

impl From<WebhookDeliveryStateView> for DeliveryState {
    fn from(state: WebhookDeliveryStateView) -> Self {
        match state {
            WebhookDeliveryStateView::Waiting => Self::Waiting,
            WebhookDeliveryStateView::Delivered => Self::Delivered,
            WebhookDeliveryStateView::Dead => Self::Dead,
        }
    }
}

/// One thing that a webhook tells.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WebhookDeliveryView {
    /// Its UUID: the `webhook-id` of each try.
    pub id: String,
    /// Code of the webhook.
    #[schema(example = "till")]
    pub webhook: String,
    /// The cursor of what it tells, in `/v1/changes`.
    pub cursor: String,
    /// Where it is.
    pub state: WebhookDeliveryStateView,
    /// Tries so far.
    #[schema(example = 3)]
    pub tries: i64,
    /// When it is tried next: RFC 3339; null if at once, or never.
    pub next_try_at: Option<String>,
    /// When it was delivered or given up: RFC 3339.
    pub settled_at: Option<String>,
    /// HTTP status of the last answer; null if there was none.
    #[schema(example = 503)]
    pub last_status: Option<i32>,
    /// What went wrong at the last try; null if nothing did.
    #[schema(value_type = Option<String>, example = "no answer in time")]
    pub last_words: Option<Sentence>,
}

impl WebhookDeliveryView {
    /// A delivery, in UTC: it goes by the computer's clock and not by the bakery's.
    #[must_use]
    pub fn new(delivery: &Delivery) -> Self {
        let Delivery { id, webhook, notice, state, tries, next_try_at, .. } = delivery;
        let at = |at| instant(&TimeZone::UTC, at);
        Self {
            id: id.clone(),
            webhook: webhook.clone(),
            cursor: page::cursor(&notice.to_string()),
            state: (*state).into(),
            tries: *tries,
            next_try_at: next_try_at.map(at),
            settled_at: delivery.settled_at.map(at),
            last_status: delivery.last_status,
            last_words: delivery.last_words.clone(),
        }
    }
}
