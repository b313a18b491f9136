//! Start pieces of a product, drop by drop.

use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{self, OutOfCalendar},
    plan::{Finding, Plan},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::{BTreeMap, BTreeSet};

/// Pieces of one product that one drop asks to be begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DropLine {
    /// For which service date.
    pub service_date: Date,
    /// Position of the product.
    pub product: u32,
    /// When they leave or are fetched.
    pub at: Timestamp,
    /// Start pieces.
    pub pieces: i64,
    /// The mix of its dough that they are divided from, from 1.
    pub mix: u32,
}

/// Start pieces by service date, product and drop, of products that have a route.
///
/// Overs, rejects and test pieces lie on the drops as the orders do, by largest
/// remainder, ties to the earlier drop.
pub(in crate::plan) fn fill(
    bakery: &Bakery,
    book: &Book,
    plan: &mut Plan,
) -> Result<(), OutOfCalendar> {
    let products = &bakery.lists().products;
    if products.iter().all(|product| product.route.is_none()) {
        return Ok(());
    }
    let mut ordered: BTreeMap<(usize, u32, Time), i64> = BTreeMap::new();
    let mut without: BTreeSet<(usize, u32)> = BTreeSet::new();
    for line in book.orders.iter().filter(|line| line.pieces > 0) {
        let (Ok(day), Some(product)) = (
            plan.dates.binary_search(&line.service_date),
            bakery.index().product(line.product.as_str()),
        ) else {
            continue;
        };
        if products[product as usize].route.is_none() {
            continue;
        }
        match line.drop {
            Some(drop) => *ordered.entry((day, product, drop)).or_default() += line.pieces,
            None => {
                without.insert((day, product));
            }
        }
    }
    let rows: Vec<((usize, u32, Time), i64)> = ordered.into_iter().collect();
    for group in rows.chunk_by(|a, b| (a.0.0, a.0.1) == (b.0.0, b.0.1)) {
        let ((day, product, _), _) = group[0];
        let service_date = plan.dates[day];
        let shares = shared(plan.start_of(service_date, product), group);
        for (&((_, _, time), _), pieces) in group.iter().zip(shares) {
            let at = calendar::instant(&bakery.site().time_zone, service_date, time)?;
            if pieces > 0 {
                plan.drops.push(DropLine { service_date, product, at, pieces, mix: 1 });
            }
        }
    }
    for (day, product) in without {
        if super::needs_a_drop(bakery, plan.dates[day], product) {
            plan.findings.push(Finding::NoDrop { product, service_date: plan.dates[day] });
        }
    }
    Ok(())
}

/// Pieces of each drop, by largest remainder of what is ordered for it.
fn shared(start: i64, group: &[((usize, u32, Time), i64)]) -> Vec<i64> {
    let all: i128 = group.iter().map(|(_, pieces)| i128::from(*pieces)).sum();
    let part = |pieces: i64| i128::from(start) * i128::from(pieces);
    let mut shares: Vec<i64> = group
        .iter()
        .map(|(_, pieces)| i64::try_from(part(*pieces) / all.max(1)).unwrap_or(0))
        .collect();
    let left = start - shares.iter().sum::<i64>();
    let mut order: Vec<usize> = (0..group.len()).collect();
    order.sort_by_key(|&at| std::cmp::Reverse(part(group[at].1) % all.max(1)));
    for &at in order.iter().take(usize::try_from(left).unwrap_or(0)) {
        shares[at] += 1;
    }
    shares
}
