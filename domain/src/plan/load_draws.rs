//! What one draft load takes from stock, as it would be released.

use super::{Batch, NeedUser, Plan};
use crate::{
    bakery::Bakery,
    quantity::MICRO,
    ratio::{Overflow, Ratio},
};

/// What one draft load takes of one item of stock, as it would be released.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoadDraw {
    /// Position of the item that is kept in stock: for zest and juice their fruit.
    pub item: u32,
    /// What leaves stock, in millionths of its base unit.
    pub micro: i64,
    /// What is weighed or counted of it.
    pub issue: Ratio,
    /// Whether it is counted.
    pub counted: bool,
    /// Positions of lots in the book, and millionths of each.
    pub lots: Vec<(u32, i64)>,
}

impl Plan {
    /// What one draft load of a batch takes from stock; loads counted from 0.
    ///
    /// The draws of all its draft loads sum to the batch's needs.
    ///
    /// # Errors
    /// [`Overflow`]
    pub fn draws_of(
        &self,
        bakery: &Bakery,
        batch: &Batch,
        load: usize,
    ) -> Result<Vec<LoadDraw>, Overflow> {
        let mut draws = Vec::new();
        let user = NeedUser::Formula(batch.item);
        for (position, need) in (0_u32..).zip(&self.needs) {
            let own = (need.user, need.service_date, need.load) == (user, batch.service_date, None);
            if !own {
                continue;
            }
            let (before, through, all) = self.shares(bakery, batch, load, need.item)?;
            if !all.is_positive() {
                continue;
            }
            // Fruit is cut whole: a load takes what the loads before it left uncut.
            let whole = bakery.item(need.item).joint.is_some();
            let from = mark(need.micro, before, all, whole)?;
            let to = mark(need.micro, through, all, whole)?;
            let issue = need.issue.times(through.minus(before)?)?.over(all)?;
            if to > from {
                draws.push(LoadDraw {
                    item: need.item,
                    micro: to - from,
                    issue,
                    counted: need.counted,
                    lots: self.lots_between(need.item, position, from, to),
                });
            }
        }
        Ok(draws)
    }

    /// What draft loads before one, through it, and all of them weigh of an item.
    fn shares(
        &self,
        bakery: &Bakery,
        batch: &Batch,
        load: usize,
        item: u32,
    ) -> Result<(Ratio, Ratio, Ratio), Overflow> {
        let (mut before, mut through, mut all) = (Ratio::ZERO, Ratio::ZERO, Ratio::ZERO);
        if batch.blocks.is_some() {
            // All blocks that are left are one load.
            for issue in batch.issues.iter().filter(|issue| issue.item == item) {
                all = all.plus(issue.micro)?;
            }
            return Ok((before, all, all));
        }
        let mut number = 0_usize;
        for group in &batch.groups {
            let mut each = Ratio::ZERO;
            for (line, weighed) in self.lines_of(bakery, batch, group) {
                let drawn = bakery.index().fruit_of(line.item).unwrap_or(line.item);
                if drawn == item {
                    each = each.plus(Ratio::whole(weighed.micro.into()))?;
                }
            }
            for _ in 0..group.group.loads {
                all = all.plus(each)?;
                if number < load {
                    before = before.plus(each)?;
                }
                if number <= load {
                    through = through.plus(each)?;
                }
                number += 1;
            }
        }
        Ok((before, through, all))
    }

    /// Which lots a need takes between two marks of its amount.
    fn lots_between(&self, item: u32, need: u32, from: i64, to: i64) -> Vec<(u32, i64)> {
        let Some(stock) = self.stock_of(item) else { return Vec::new() };
        let Some(at) = stock.needs.iter().position(|&one| one == need) else { return Vec::new() };
        let (mut lots, mut begin) = (Vec::new(), 0_i64);
        for &(lot, micro) in &stock.netting.allocations[at].from {
            let end = begin + micro;
            let taken = end.min(to) - begin.max(from);
            if taken > 0 {
                lots.push((stock.lots[lot].lot, taken));
            }
            begin = end;
        }
        lots
    }
}

/// How far an amount is used up after a part of all, in millionths.
fn mark(micro: i64, part: Ratio, all: Ratio, whole: bool) -> Result<i64, Overflow> {
    let exact = Ratio::whole(micro.into()).times(part)?.over(all)?;
    let mark = if whole {
        exact.over(Ratio::whole(MICRO.into()))?.ceil().checked_mul(MICRO.into()).ok_or(Overflow)?
    } else {
        exact.round_half_up()?
    };
    i64::try_from(mark).map_err(|_| Overflow)
}
