//! Plan revisions as they are answered.

use super::amount::instant;
use crate::service::revisions::Revision;
use serde::Serialize;
use utoipa::ToSchema;

/// One plan revision.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RevisionView {
    /// Its number: one more than the one before.
    #[schema(example = 42)]
    pub plan_revision: i64,
    /// When it was made: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// What made it, in words.
    #[schema(example = "order till-2-000481 version 2")]
    pub cause: String,
}

impl RevisionView {
    /// A revision as it is kept.
    #[must_use]
    pub fn new(revision: &Revision) -> Self {
        let Revision { plan_revision, made_at, cause, zone } = revision;
        Self {
            plan_revision: *plan_revision,
            made_at: instant(zone, *made_at),
            cause: cause.clone(),
        }
    }
}
