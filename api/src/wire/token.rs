//! Tokens as they are shown: never with a secret.

use crate::{access::Job, service::tokens::Token};
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// A token.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TokenView {
    /// Its open part: a UUID.
    pub id: String,
    /// Who uses it.
    #[schema(example = "till 2")]
    pub name: String,
    /// What it may do.
    pub job: Job,
    /// When it was made: RFC 3339 in UTC.
    pub made_at: String,
    /// From when on it opens nothing; null if it does not expire.
    pub expires_at: Option<String>,
    /// Since when it opens nothing; null if it was not revoked.
    pub revoked_at: Option<String>,
    /// Whether it opens anything now.
    pub live: bool,
}

impl TokenView {
    /// A token at an instant.
    #[must_use]
    pub fn new(token: &Token, now: Timestamp) -> Self {
        let Token { id, name, job, made_at, expires_at, revoked_at } = token;
        Self {
            id: id.to_string(),
            name: name.clone(),
            job: *job,
            made_at: made_at.to_string(),
            expires_at: expires_at.map(|at| at.to_string()),
            revoked_at: revoked_at.map(|at| at.to_string()),
            live: token.is_live(now),
        }
    }
}

/// Every token of a shop.
#[derive(Debug, Serialize, ToSchema)]
pub struct TokensView {
    /// In the order in which they were made.
    pub rows: Vec<TokenView>,
}
