//! How much of an item one delivery must bring.

use super::{NetInput, NetNeed, net};
use crate::calendar::OutOfCalendar;
use jiff::Timestamp;

/// What an order quantity depends on.
#[derive(Debug, Clone, Copy)]
pub struct OrderQuantityInput<'a> {
    /// All needs and lots of the item; open orders are among the lots.
    pub stock: NetInput<'a>,
    /// When this delivery counts.
    pub arrives: Timestamp,
    /// When the following possible one does.
    pub next_arrives: Timestamp,
    /// What should be left when all needs are met.
    pub safety_micro: i64,
}

/// What one delivery must bring, in millionths of the item's base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OrderQuantity {
    /// Needs from this arrival up to the next.
    pub needs_micro: i64,
    /// Usable when it arrives.
    pub usable_micro: i64,
    /// What of that goes out of date unused before the next arrival.
    pub spoils_micro: i64,
    /// Other arrivals in between.
    pub coming_micro: i64,
    /// What to order before it is rounded to packs; 0 or more.
    pub order_micro: i64,
    /// Whether something runs short in between without it.
    pub must: bool,
}

/// Needs until the next arrival, and safety, less what is there and keeps.
///
/// Never less than what runs short in between.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn order_quantity(input: OrderQuantityInput<'_>) -> Result<OrderQuantity, OutOfCalendar> {
    let OrderQuantityInput { stock, arrives, next_arrives, safety_micro } = input;
    let before = |until: Timestamp| {
        let mut needs: Vec<NetNeed> =
            stock.needs.iter().copied().filter(|need| need.at < until).collect();
        // A need of nothing shows what is usable at that moment.
        needs.push(NetNeed { at: until, micro: 0 });
        needs
    };
    let to_arrival = before(arrives);
    let until_then = net(NetInput { needs: &to_arrival, end: None, ..stock })?;
    let usable_micro = until_then.balances.last().copied().unwrap_or(0);
    let last = stock.end.or(stock.needs.last().map(|need| need.at)).unwrap_or(arrives);
    let end = last.max(arrives).min(next_arrives);
    let mut to_next = before(next_arrives);
    if let Some(last) = to_next.last_mut() {
        last.at = end;
    }
    let all = net(NetInput { needs: &to_next, end: None, ..stock })?;
    let here = |lot: usize| stock.lots[lot].from.is_none_or(|from| from <= arrives);
    let spoils_micro = all
        .spoiled
        .iter()
        .filter(|spoiled| spoiled.at >= arrives && here(spoiled.lot))
        .map(|spoiled| spoiled.micro)
        .sum();
    let within = |at: Timestamp| arrives <= at && at < next_arrives;
    let coming_micro: i64 = stock
        .lots
        .iter()
        .filter(|lot| lot.from.is_some_and(|from| from > arrives && from < next_arrives))
        .map(|lot| lot.micro.max(0))
        .sum();
    let (mut needs_micro, mut short_micro) = (0_i64, 0_i64);
    for (need, allocation) in to_next.iter().zip(&all.allocations) {
        if within(need.at) && need.at >= stock.as_of {
            needs_micro += need.micro;
            short_micro += allocation.unmet_micro;
        }
    }
    let wanted = needs_micro + safety_micro - (usable_micro - spoils_micro) - coming_micro;
    Ok(OrderQuantity {
        needs_micro,
        usable_micro,
        spoils_micro,
        coming_micro,
        order_micro: wanted.max(short_micro).max(0),
        must: short_micro > 0,
    })
}
