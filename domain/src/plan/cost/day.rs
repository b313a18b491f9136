//! What the pieces of a service date cost together: for whom they are made.

use super::{Cost, ProductCost};
use crate::{demand::PieceLine, figure::Figure};
use std::collections::BTreeMap;

/// Good pieces that are made for no customer's order, as a line of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum OwnLine {
    /// What counters open with, beyond what is ordered out of it.
    Par,
    /// What a forecast expects and nobody ordered yet.
    Forecast,
    /// Pieces for customers that finished stock covers: they are not made, and count below zero.
    FromStock,
    /// Taken by other products.
    Taken,
    /// Cut or probed.
    TestPieces,
    /// Beyond what was asked.
    Overs,
}

/// What the good pieces of one service date cost, whatever the cost of a piece stands on.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct DayCost {
    /// By position of customer: pieces ordered, and what they cost.
    pub customers: Vec<(u32, i64, Cost)>,
    /// What is made for no order.
    pub own: Vec<(OwnLine, i64, Cost)>,
    /// Products without a cost for this date, by position, though somebody orders them.
    pub unknown: Vec<u32>,
    /// Of all good pieces: the sum of the lines above.
    pub total: Cost,
}

/// Sums the costs of pieces by who asked for them.
#[must_use]
pub fn day_cost(pieces: &[&PieceLine], costs: &[&ProductCost]) -> DayCost {
    let mut customers: BTreeMap<u32, (i64, Cost)> = BTreeMap::new();
    let mut own: BTreeMap<OwnLine, (i64, Cost)> = BTreeMap::new();
    let mut day = DayCost::default();
    for line in pieces {
        let cost = costs.iter().find(|cost| cost.product == line.product);
        let Some(cost) = cost.map(|cost| &cost.per_good_piece) else {
            if line.asked() > 0 {
                day.unknown.push(line.product);
            }
            continue;
        };
        let add = |(sum, all): &mut (i64, Cost), pieces: i64| {
            *sum += pieces;
            all.add(cost, &Figure::whole(pieces));
        };
        for &(customer, pieces) in &line.by_customer {
            add(customers.entry(customer).or_default(), pieces);
        }
        let asked = line.asked() + line.taken() + line.test_pieces;
        let lines = [
            (OwnLine::Par, line.par),
            (OwnLine::Forecast, line.forecast),
            // Stock covers orders first, and then what other products take.
            (OwnLine::FromStock, line.net - asked),
            (OwnLine::Taken, line.taken()),
            (OwnLine::TestPieces, line.test_pieces),
            (OwnLine::Overs, line.overs()),
        ];
        for (kind, pieces) in lines.into_iter().filter(|(_, pieces)| *pieces != 0) {
            add(own.entry(kind).or_default(), pieces);
        }
        day.total.add(cost, &Figure::whole(line.good_planned));
    }
    day.customers =
        customers.into_iter().map(|(who, (pieces, cost))| (who, pieces, cost)).collect();
    day.own = own.into_iter().map(|(kind, (pieces, cost))| (kind, pieces, cost)).collect();
    day
}
