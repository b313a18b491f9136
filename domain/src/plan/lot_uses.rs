//! What a plan would use a lot for, as far as nobody has weighed it yet.

use super::{NeedUser, Plan};
use crate::{bakery::Bakery, book::Book, load::HeldLoad, ratio::Overflow};
use jiff::{Timestamp, civil::Date};

/// One use of a lot that is still to come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LotUse {
    /// For what.
    pub user: NeedUser,
    /// For which service date.
    pub service_date: Date,
    /// Which load of a formula; none if the plan does not say which.
    pub load: Option<i64>,
    /// Whether that load is released, and named the lot.
    pub released: bool,
    /// When it is taken; none if nobody knows.
    pub at: Option<Timestamp>,
    /// How much, in millionths of the lot's base unit.
    pub micro: i64,
}

/// All uses of a lot that are still to come, by time: drafts as planned, and released loads
/// as they were released.
///
/// # Errors
/// [`Overflow`]
pub fn lot_uses(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    lot: &str,
) -> Result<Vec<LotUse>, Overflow> {
    let mut uses = Vec::new();
    for held in book.held.iter().filter(|held| held.state.is_to_weigh()) {
        uses.extend(released(bakery, held, lot));
    }
    for (at, found) in (0_u32..).zip(&book.lots) {
        if found.id == lot {
            drafted(bakery, plan, at, &mut uses)?;
        }
    }
    uses.sort_by_key(|one| (one.at, one.service_date, one.user, one.load));
    Ok(uses)
}

fn released(bakery: &Bakery, held: &HeldLoad, lot: &str) -> Option<LotUse> {
    let lots = held.draws.iter().flat_map(|draw| &draw.lots);
    let micro: i64 = lots.filter(|(id, _)| id == lot).map(|(_, micro)| micro).sum();
    let user = NeedUser::Formula(bakery.index().item(held.formula.as_str())?);
    (micro > 0).then_some(LotUse {
        user,
        service_date: held.service_date,
        load: Some(held.number),
        released: true,
        at: Some(held.starts_at),
        micro,
    })
}

fn drafted(bakery: &Bakery, plan: &Plan, lot: u32, uses: &mut Vec<LotUse>) -> Result<(), Overflow> {
    for batch in &plan.batches {
        let (user, service_date) = (NeedUser::Formula(batch.item), batch.service_date);
        for taken in batch.from_stock.iter().filter(|taken| taken.lot == lot) {
            let (at, micro) = (Some(taken.at), taken.used_micro);
            uses.push(LotUse { user, service_date, load: None, released: false, at, micro });
        }
        for draft in 0..batch.numbers.len() {
            for draw in plan.draws_of(bakery, batch, draft)? {
                let own = draw.lots.iter().filter(|(at, _)| *at == lot);
                let micro: i64 = own.map(|(_, micro)| micro).sum();
                if micro > 0 {
                    let (at, load) = (batch.made_at, Some(batch.number(draft)));
                    uses.push(LotUse { user, service_date, load, released: false, at, micro });
                }
            }
        }
    }
    // What goes onto pieces, and into blocks, is in no load.
    let in_loads = |user, date| {
        let NeedUser::Formula(item) = user else { return false };
        plan.mixes(date, item).any(|batch| !batch.numbers.is_empty())
    };
    for stock in &plan.stock {
        for (&need, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
            let need = &plan.needs[need as usize];
            if need.load.is_some() || in_loads(need.user, need.service_date) {
                continue;
            }
            let own = allocation.from.iter().filter(|(at, _)| stock.lots[*at].lot == lot);
            let micro: i64 = own.map(|(_, micro)| micro).sum();
            if micro > 0 {
                let (user, service_date) = (need.user, need.service_date);
                let at = Some(need.at);
                uses.push(LotUse { user, service_date, load: None, released: false, at, micro });
            }
        }
    }
    Ok(())
}
