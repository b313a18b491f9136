//! What happened, in the order in which it was committed. The database refuses to change a row.
//!
//! A number is one more than the last one that the writing transaction sees. Of two writers
//! that meet one fails and tries again, so that no number appears after a higher one.

use super::{StoreError, Tx, schema::notices};
use diesel::{dsl::max, prelude::*};

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = notices, treat_none_as_default_value = false)]
pub struct NoticeRow {
    /// The shop.
    pub site: String,
    /// Its place in the order, from 1 and without gaps.
    pub number: i64,
    /// The word of its kind.
    pub kind: String,
    /// When, RFC 3339 in UTC.
    pub made_at: String,
    /// The plan revision that it made, or that it was seen in.
    pub plan_revision: i64,
    /// The name of what it is about, such as an order's or an item's.
    pub about: String,
    /// The same in plain words.
    pub words: String,
    /// Figures as JSON, where a kind has some.
    pub facts: Option<String>,
}

/// The number of the last row; 0 if nothing happened yet.
///
/// # Errors
/// [`StoreError`]
pub fn last_number(tx: &mut Tx, site: &str) -> Result<i64, StoreError> {
    let last: Option<i64> = notices::table
        .filter(notices::site.eq(site))
        .select(max(notices::number))
        .get_result(tx)?;
    Ok(last.unwrap_or_default())
}

/// Rows after a number, in order; at most `limit`.
///
/// # Errors
/// [`StoreError`]
pub fn after(
    tx: &mut Tx,
    site: &str,
    number: i64,
    limit: i64,
) -> Result<Vec<NoticeRow>, StoreError> {
    Ok(notices::table
        .filter(notices::site.eq(site))
        .filter(notices::number.gt(number))
        .order(notices::number)
        .limit(limit)
        .load(tx)?)
}

/// A row by its number.
///
/// # Errors
/// [`StoreError`]
pub fn find(tx: &mut Tx, site: &str, number: i64) -> Result<Option<NoticeRow>, StoreError> {
    Ok(notices::table.find((site, number)).get_result(tx).optional()?)
}

/// Adds a row after the last; its number is given here.
///
/// # Errors
/// [`StoreError`]
pub fn add(tx: &mut Tx, row: NoticeRow) -> Result<i64, StoreError> {
    let number = last_number(tx, &row.site)? + 1;
    diesel::insert_into(notices::table).values(NoticeRow { number, ..row }).execute(tx)?;
    Ok(number)
}
