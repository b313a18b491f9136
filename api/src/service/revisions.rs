//! Plan revisions and what made them.

use super::Refusal;
use crate::store::{Tx, instant, revisions as rows};
use jiff::{Timestamp, tz::TimeZone};

/// One plan revision.
#[derive(Debug, Clone)]
pub struct Revision {
    /// Its number.
    pub plan_revision: i64,
    /// When it was made.
    pub made_at: Timestamp,
    /// What made it, in words.
    pub cause: String,
    /// The bakery's clock, on which its instant is shown.
    pub zone: TimeZone,
}

/// Revisions before a number, newest first; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(
    tx: &mut Tx,
    site: &str,
    zone: &TimeZone,
    (before, limit): (i64, i64),
) -> Result<Vec<Revision>, Refusal> {
    let mut found = Vec::new();
    for rows::RevisionRow { site: _, plan_revision, made_at, cause } in
        rows::list(tx, site, before, limit)?
    {
        let made_at = instant::read(&made_at)?;
        found.push(Revision { plan_revision, made_at, cause, zone: zone.clone() });
    }
    Ok(found)
}
