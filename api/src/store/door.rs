//! What the door asks for each request, in one statement: it is of one moment by itself.

use super::{
    StoreError, Tx,
    schema::{sites, tokens},
    sites::SiteRow,
    tokens::TokenRow,
};
use diesel::{dsl::exists, prelude::*};

/// A shop's counters and a token of it; none before the shop's first write.
///
/// # Errors
/// [`StoreError`]
pub fn with_token(
    tx: &mut Tx,
    site: &str,
    id: &str,
) -> Result<Option<(SiteRow, Option<TokenRow>)>, StoreError> {
    let of_site = tokens::site.eq(sites::site).and(tokens::id.eq(id));
    Ok(sites::table
        .left_join(tokens::table.on(of_site))
        .filter(sites::site.eq(site))
        .select(((sites::plan_revision, sites::bakery_revision), tokens::all_columns.nullable()))
        .get_result(tx)
        .optional()?)
}

/// A shop's counters, and whether a token was ever made for it; none before its first write.
///
/// # Errors
/// [`StoreError`]
pub fn without_token(tx: &mut Tx, site: &str) -> Result<Option<(SiteRow, bool)>, StoreError> {
    let any = tokens::table.filter(tokens::site.eq(site)).select(tokens::id);
    Ok(sites::table
        .filter(sites::site.eq(site))
        .select(((sites::plan_revision, sites::bakery_revision), exists(any)))
        .get_result(tx)
        .optional()?)
}
