//! One product of one date with other orders than before.

use super::{Asked, PieceLine, piece_line};
use crate::{bakery::Bakery, ratio::Overflow};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Pieces more, or fewer, by position of customer.
pub(crate) type OrderedBy = BTreeMap<u32, i64>;

/// The pieces of a product once its orders changed; none if nothing is asked any more.
///
/// For products that finished stock covers nothing of and nobody set by hand.
///
/// # Errors
/// [`Overflow`], also if more is taken back than was ordered.
pub(crate) fn changed(
    bakery: &Bakery,
    (service_date, product): (Date, u32),
    was: Option<&PieceLine>,
    more: &OrderedBy,
) -> Result<Option<PieceLine>, Overflow> {
    let mut ordered_by: OrderedBy =
        was.into_iter().flat_map(|line| line.by_customer.clone()).collect();
    for (&customer, &pieces) in more {
        let held = ordered_by.entry(customer).or_default();
        *held = held.checked_add(pieces).filter(|pieces| *pieces >= 0).ok_or(Overflow)?;
    }
    let by_customer: Vec<(u32, i64)> = ordered_by.into_iter().collect();
    let add = |sum: i64, &(_, pieces): &(u32, i64)| sum.checked_add(pieces);
    let ordered = by_customer.iter().try_fold(0_i64, add).ok_or(Overflow)?;
    let taken_by = was.map(|line| line.taken_by.clone()).unwrap_or_default();
    if ordered == 0 && taken_by.is_empty() {
        return Ok(None);
    }
    let asked = Asked { ordered, by_customer, taken_by, ..Asked::default() };
    piece_line(bakery.product(product), product, service_date, asked).map(Some)
}
