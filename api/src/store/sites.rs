//! One row per shop: its counters.

use super::{
    StoreError, Tx, instant,
    notices::{self, NoticeRow},
    revisions::{self, RevisionRow},
    schema::sites,
};
use crate::notice::NoticeKind;
use diesel::prelude::*;
use jiff::Timestamp;

/// A shop's counters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Queryable)]
pub struct SiteRow {
    /// Counts every write that had an effect.
    pub plan_revision: i64,
    /// The plan revision at the last change of reference data.
    pub bakery_revision: i64,
}

/// The counters; zeros for a shop that nothing was written for.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str) -> Result<SiteRow, StoreError> {
    let row = sites::table
        .filter(sites::site.eq(site))
        .select((sites::plan_revision, sites::bakery_revision))
        .get_result(tx)
        .optional()?;
    Ok(row.unwrap_or(SiteRow { plan_revision: 0, bakery_revision: 0 }))
}

/// What makes a new plan revision.
#[derive(Debug, Clone, Copy)]
pub struct Change<'a> {
    /// When it is written.
    pub at: Timestamp,
    /// What it is, in words.
    pub cause: &'a str,
    /// Whether reference data changed.
    pub bakery_changed: bool,
}

/// Counts a write that had an effect, keeps what it was and gives notice of it; returns the
/// new plan revision.
///
/// # Errors
/// [`StoreError`]
pub fn bump(tx: &mut Tx, site: &str, change: Change<'_>) -> Result<i64, StoreError> {
    let Change { at, cause, bakery_changed } = change;
    let held = find(tx, site)?;
    let next = held.plan_revision + 1;
    let bakery = if bakery_changed { next } else { held.bakery_revision };
    let row = (sites::plan_revision.eq(next), sites::bakery_revision.eq(bakery));
    let changed = diesel::update(sites::table.filter(sites::site.eq(site))).set(row).execute(tx)?;
    if changed == 0 {
        diesel::insert_into(sites::table).values((sites::site.eq(site), row)).execute(tx)?;
    }
    revisions::insert(
        tx,
        &RevisionRow {
            site: site.to_owned(),
            plan_revision: next,
            made_at: instant::text(at),
            cause: cause.to_owned(),
        },
    )?;
    notices::add(
        tx,
        NoticeRow {
            site: site.to_owned(),
            number: 0,
            kind: NoticeKind::Revision.word().to_owned(),
            made_at: instant::text(at),
            plan_revision: next,
            about: next.to_string(),
            words: cause.to_owned(),
            facts: None,
        },
    )?;
    Ok(next)
}
