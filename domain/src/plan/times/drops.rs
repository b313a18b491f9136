//! Start pieces of a product, drop by drop.

use crate::{
    bakery::Bakery,
    calendar::{self, OutOfCalendar},
    demand::PlacedLine,
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
    /// The mix of its dough that they are divided from, from 1; 0 if they are in stock.
    pub mix: u32,
}

/// Start pieces by service date, product and drop, of products that have a route.
///
/// Overs, rejects and test pieces lie on the drops as the orders do, by largest
/// remainder, ties to the earlier drop.
pub(in crate::plan) fn fill(
    bakery: &Bakery,
    lines: &[PlacedLine],
    plan: &mut Plan,
) -> Result<(), OutOfCalendar> {
    let products = &bakery.lists().products;
    if products.iter().all(|product| product.route.is_none() && product.par_baked.is_none()) {
        return Ok(());
    }
    let mut ordered: BTreeMap<(usize, u32, Time), i64> = BTreeMap::new();
    let mut without: BTreeSet<(usize, u32)> = BTreeSet::new();
    for line in lines.iter().filter(|line| line.pieces > 0) {
        let (day, product) = (line.day, line.product);
        let product_of = &products[product as usize];
        if product_of.route.is_none() && product_of.par_baked.is_none() {
            continue;
        }
        match line.drop {
            Some(drop) => *ordered.entry((day, product, drop)).or_default() += line.pieces,
            None if product_of.route.is_some() => {
                without.insert((day, product));
            }
            None => {}
        }
    }
    let rows: Vec<Ordered> = ordered.into_iter().collect();
    for group in rows.chunk_by(|a, b| (a.0.0, a.0.1) == (b.0.0, b.0.1)) {
        let ((day, product, _), _) = group[0];
        let service_date = plan.dates[day];
        let group = &finishing(bakery, plan, (service_date, product), group)?;
        if products[product as usize].route.is_none() {
            continue;
        }
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

/// Ordered pieces by day, product and drop.
type Ordered = ((usize, u32, Time), i64);

/// Par-baked pieces by drop, and what they leave of a product's orders to be made new.
fn finishing(
    bakery: &Bakery,
    plan: &mut Plan,
    (service_date, product): (Date, u32),
    group: &[Ordered],
) -> Result<Vec<Ordered>, OutOfCalendar> {
    let mut left = group.to_vec();
    let draws = plan.demand.finished.iter().filter(|draw| {
        draw.par_baked && (draw.service_date, draw.product) == (service_date, product)
    });
    let (mut pieces, mut first) = (0, None::<Timestamp>);
    for draw in draws {
        pieces += draw.pieces;
        first = first.into_iter().chain(draw.first_drop).min();
    }
    let at = |time| calendar::instant(&bakery.site().time_zone, service_date, time);
    let mut covered = Vec::with_capacity(group.len());
    for (row, &one) in group.iter().enumerate() {
        if first.is_some_and(|first| at(one.0.2).is_ok_and(|at| at >= first)) {
            covered.push((row, one));
        }
    }
    let rows: Vec<Ordered> = covered.iter().map(|&(_, one)| one).collect();
    for (&(row, one), pieces) in covered.iter().zip(shared(pieces, &rows)) {
        left[row].1 -= pieces;
        if pieces > 0 {
            let at = at(one.0.2)?;
            plan.finishing.push(DropLine { service_date, product, at, pieces, mix: 0 });
        }
    }
    // Test pieces and overs of orders that are all covered lie where the orders do.
    Ok(if left.iter().all(|&(_, pieces)| pieces <= 0) { group.to_vec() } else { left })
}

/// Pieces of each drop, by largest remainder of what is ordered for it.
fn shared(start: i64, group: &[Ordered]) -> Vec<i64> {
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
