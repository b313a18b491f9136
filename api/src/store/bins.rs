//! Which lots lie together in a bin.

use super::{
    CHUNK, StoreError, Tx,
    schema::{bin_lots, lots},
};
use diesel::prelude::*;

/// A lot in a bin, from its filling to the moment the bin was emptied.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Insertable)]
#[diesel(table_name = bin_lots, treat_none_as_default_value = false)]
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
/// Filled again at the very moment at which it came before, it never left.
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
    let at_once = bin_lots::table
        .filter(bin_lots::site.eq(site))
        .filter(bin_lots::place.eq(place))
        .filter(bin_lots::lot.eq(lot))
        .filter(bin_lots::entered_at.eq(entered_at));
    let none: (Option<String>, Option<String>) = (None, None);
    let back = diesel::update(at_once)
        .set((bin_lots::emptied_at.eq(none.0), bin_lots::emptied_by.eq(none.1)))
        .execute(tx)?;
    if there == 0 && back == 0 {
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

/// Bins that hold a lot in one of some states now, by code.
///
/// # Errors
/// [`StoreError`]
pub fn with_lots_in(tx: &mut Tx, site: &str, states: &[&str]) -> Result<Vec<String>, StoreError> {
    let of_site = lots::table.filter(lots::site.eq(site));
    let kept_back = of_site.filter(lots::state.eq_any(states)).select(lots::id);
    Ok(bin_lots::table
        .filter(bin_lots::site.eq(site))
        .filter(bin_lots::emptied_at.is_null())
        .filter(bin_lots::lot.eq_any(kept_back))
        .select(bin_lots::place)
        .distinct()
        .order(bin_lots::place)
        .load(tx)?)
}

/// Every stay of some lots in a bin, by filling.
///
/// # Errors
/// [`StoreError`]
pub fn of_lots(tx: &mut Tx, site: &str, ids: &[String]) -> Result<Vec<BinLotRow>, StoreError> {
    let mut found = Vec::new();
    for ids in ids.chunks(CHUNK) {
        let of_site = bin_lots::table.filter(bin_lots::site.eq(site));
        let of_lots = of_site.filter(bin_lots::lot.eq_any(ids));
        found.extend(of_lots.order((bin_lots::entered_at, bin_lots::lot)).load::<BinLotRow>(tx)?);
    }
    Ok(found)
}

/// The lot that was filled first into a bin, of those that lay there together until a moment;
/// of those that lie there now, if the bin was not emptied since.
///
/// # Errors
/// [`StoreError`]
pub fn first_of(
    tx: &mut Tx,
    site: &str,
    (place, emptied_at): (&str, Option<&str>),
) -> Result<Option<BinLotRow>, StoreError> {
    let of_bin = bin_lots::table
        .filter(bin_lots::site.eq(site))
        .filter(bin_lots::place.eq(place))
        .order((bin_lots::entered_at, bin_lots::lot));
    Ok(match emptied_at {
        Some(at) => of_bin.filter(bin_lots::emptied_at.eq(at.to_owned())).first(tx).optional()?,
        None => of_bin.filter(bin_lots::emptied_at.is_null()).first(tx).optional()?,
    })
}
