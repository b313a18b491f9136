//! Tokens as they are asked for on a page, and shown: never with a secret.

use crate::{
    access::Job,
    document::{Fault, Reader},
    service::tokens::Token,
};
use domain::calendar;
use jiff::{Timestamp, tz::TimeZone};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Longest time for which an exchanged token goes on, in hours: a week.
const GRACE_HOURS_MAX: i64 = 168;

/// A token that is asked for.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TokenBody {
    /// Who will use it.
    pub name: String,
    /// What it may do.
    pub job: Job,
    /// Last local date on which it opens anything; no end if absent.
    pub until: Option<String>,
}

impl TokenBody {
    /// Name, job and the end on a clock.
    ///
    /// # Errors
    /// Every fault of the body with its place.
    pub fn read(&self, zone: &TimeZone) -> Result<(String, Job, Option<Timestamp>), Vec<Fault>> {
        let Self { name, job, until } = self;
        let mut reader = Reader::default();
        let name = reader.words("name", name);
        let until = until.as_deref().map(|text| {
            let date = reader.date("until", text);
            calendar::last_second(zone, date).unwrap_or(Timestamp::MAX)
        });
        reader.done((name, *job, until))
    }
}

/// A token is exchanged.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RotateBody {
    /// Hours for which the old one goes on; none if absent.
    pub grace_hours: Option<i64>,
}

impl RotateBody {
    /// The hours, 0 to 168.
    ///
    /// # Errors
    /// The fault of the body with its place.
    pub fn read(&self) -> Result<i64, Vec<Fault>> {
        let mut reader = Reader::default();
        let hours = self.grace_hours.unwrap_or(0);
        if !(0..=GRACE_HOURS_MAX).contains(&hours) {
            let detail = format!("grace_hours is {hours}: write 0 to {GRACE_HOURS_MAX}");
            reader.fault("grace_hours", "out-of-range", detail);
        }
        reader.done(hours)
    }
}

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
