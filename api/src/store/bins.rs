//! Which lots lie together in a bin.

use super::{StoreError, Tx, schema::bin_lots};
use diesel::prelude::*;

/// A lot in a bin, from its filling to the moment the bin was emptied.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = bin_lots)]
pub struct BinLotRow {
    /// The shop.
    pub site: String,
    /// The bin.
    pub place: String,
    /// The lot.
    pub lot: String,
    /// When it was filled in, RFC 3339 in UTC.
    pub entered_at: String,
    /// When the bin was emptied.
    pub emptied_at: Option<String>,
    /// Who emptied it.
    pub emptied_by: Option<String>,
}

/// The lots that were in a bin at an instant, by filling.
///
/// # Errors
/// [`StoreError`]
pub fn at(tx: &mut Tx, site: &str, place: &str, at: &str) -> Result<Vec<BinLotRow>, StoreError> {
    let still = bin_lots::emptied_at.is_null().or(bin_lots::emptied_at.gt(at.to_owned()));
    Ok(bin_lots::table
        .filter(bin_lots::site.eq(site))
        .filter(bin_lots::place.eq(place))
        .filter(bin_lots::entered_at.le(at))
        .filter(still)
        .order((bin_lots::entered_at, bin_lots::lot))
        .load(tx)?)
}

/// Notes that a lot was filled into a bin, unless it is in it already.
///
/// # Errors
/// [`StoreError`]
pub fn fill(
    tx: &mut Tx,
    site: &str,
    (place, lot): (&str, &str),
    entered_at: &str,
) -> Result<(), StoreError> {
    let there: i64 = bin_lots::table
        .filter(bin_lots::site.eq(site))
        .filter(bin_lots::place.eq(place))
        .filter(bin_lots::lot.eq(lot))
        .filter(bin_lots::emptied_at.is_null())
        .count()
        .get_result(tx)?;
    if there == 0 {
        let row = BinLotRow {
            site: site.to_owned(),
            place: place.to_owned(),
            lot: lot.to_owned(),
            entered_at: entered_at.to_owned(),
            emptied_at: None,
            emptied_by: None,
        };
        diesel::insert_into(bin_lots::table).values(&row).execute(tx)?;
    }
    Ok(())
}

/// Notes that a bin was emptied.
///
/// # Errors
/// [`StoreError`]
pub fn empty(
    tx: &mut Tx,
    site: &str,
    place: &str,
    (emptied_at, emptied_by): (&str, Option<&str>),
) -> Result<(), StoreError> {
    let inside = bin_lots::table
        .filter(bin_lots::site.eq(site))
        .filter(bin_lots::place.eq(place))
        .filter(bin_lots::emptied_at.is_null());
    diesel::update(inside)
        .set((bin_lots::emptied_at.eq(emptied_at), bin_lots::emptied_by.eq(emptied_by)))
        .execute(tx)?;
    Ok(())
}
