//! Which lots a line takes: the plan's netting, shared over the loads in their order.

use crate::{
    service::plan::Morning,
    wire::{
        amount::{QuantityView, instant},
        printed::{self, PrintedView},
    },
};
use domain::{
    plan::{Need, NeedUser},
    quantity::Unit,
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// A lot that is proposed; the hand writes the one that was used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct LotProposalView {
    /// The name on the pack.
    #[schema(example = "SW-1")]
    pub lot: String,
    /// How much of it, in the item's base unit.
    pub amount: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Last local date of use, from the pack; none if the pack has none.
    #[schema(example = "2026-08-20")]
    pub best_before: Option<String>,
    /// Last instant of use where hours count.
    pub usable_until: Option<String>,
}

/// What the stock gives for a line.
#[derive(Debug, Default)]
pub(crate) struct Proposal {
    pub(super) lots: Vec<LotProposalView>,
    /// What no lot covers, in millionths of the base unit.
    pub(super) unmet_micro: i64,
}

/// The draws of one user for one service date, handed out line by line.
pub(crate) struct Handout<'a> {
    morning: &'a Morning,
    /// By item: its need, and how much of what is weighed was handed out.
    needs: BTreeMap<u32, (u32, Ratio)>,
}

impl<'a> Handout<'a> {
    /// What the drafts of a user take together.
    pub(crate) fn new(morning: &'a Morning, user: NeedUser, date: Date) -> Self {
        Self::of_load(morning, user, date, None)
    }

    /// What one released load takes, or all drafts together.
    pub(super) fn of_load(
        morning: &'a Morning,
        user: NeedUser,
        date: Date,
        load: Option<i64>,
    ) -> Self {
        let same = |need: &Need| (need.user, need.service_date, need.load) == (user, date, load);
        let needs = (0_u32..)
            .zip(&morning.plan.needs)
            .filter(|(_, need)| same(need))
            .map(|(at, need)| (need.item, (at, Ratio::ZERO)))
            .collect();
        Self { morning, needs }
    }

    /// Lots for the next line that takes so much of an item.
    ///
    /// A need is one draw for all loads; each line takes its share of it, first loads
    /// first, so that a lot that runs out does so at the load where it does.
    pub(super) fn take(&mut self, item: u32, weighed: Ratio) -> Result<Proposal, Overflow> {
        let index = self.morning.bakery.index();
        if let Some(fruit) = index.fruit_of(item) {
            // Fruit is drawn whole, for skin and juice together.
            return self.slice(fruit, None);
        }
        self.slice(item, Some(weighed))
    }

    fn slice(&mut self, item: u32, weighed: Option<Ratio>) -> Result<Proposal, Overflow> {
        let Some((position, done)) = self.needs.get_mut(&item) else {
            return Ok(Proposal::default());
        };
        let need = &self.morning.plan.needs[*position as usize];
        let all = Ratio::whole(need.micro.into());
        let share = |part: Ratio| {
            if need.issue.is_positive() { all.times(part)?.over(need.issue) } else { Ok(all) }
        };
        let (from, to) = match weighed {
            Some(weighed) => {
                let from = share(*done)?;
                *done = done.plus(weighed)?;
                (from, share(*done)?)
            }
            None => (Ratio::ZERO, all),
        };
        proposal(self.morning, item, *position, from, to)
    }
}

/// What a draw takes between two marks of its amount, lot after lot.
fn proposal(
    morning: &Morning,
    item: u32,
    need: u32,
    from: Ratio,
    to: Ratio,
) -> Result<Proposal, Overflow> {
    let Ok(at) = morning.plan.stock.binary_search_by_key(&item, |stock| stock.item) else {
        return Ok(Proposal::default());
    };
    let stock = &morning.plan.stock[at];
    let Some(at) = stock.needs.iter().position(|&one| one == need) else {
        return Ok(Proposal::default());
    };
    let mut found = Proposal::default();
    let mut begin = Ratio::ZERO;
    for &(lot, micro) in &stock.netting.allocations[at].from {
        let end = begin.plus(Ratio::whole(micro.into()))?;
        let taken = end.min(to).minus(if from > begin { from } else { begin })?;
        if taken.is_positive() {
            let taken = i64::try_from(taken.round_half_up()?).map_err(|_| Overflow)?;
            found.lots.push(lot_view(morning, item, stock.lots[lot].lot, taken));
        }
        begin = end;
    }
    // What lies beyond the last lot is short.
    if stock.netting.allocations[at].unmet_micro > 0 && to > begin {
        let short = to.minus(if from > begin { from } else { begin })?;
        found.unmet_micro = i64::try_from(short.round_half_up()?).map_err(|_| Overflow)?;
    }
    Ok(found)
}

/// A lot with how much of it is taken.
pub(crate) fn lot_view(morning: &Morning, item: u32, lot: u32, micro: i64) -> LotProposalView {
    lot_in(morning, morning.bakery.item(item).base_unit, lot, micro)
}

/// The same in a stated unit: finished pieces are no item.
pub(crate) fn lot_in(morning: &Morning, unit: Unit, lot: u32, micro: i64) -> LotProposalView {
    let bakery = &morning.bakery;
    let lot = &morning.book.lots[lot as usize];
    LotProposalView {
        lot: lot.name.clone(),
        amount: QuantityView::whole(micro, unit),
        printed: printed::amount(micro, unit),
        best_before: lot.date.map(|date| date.to_string()),
        usable_until: lot.usable_until.map(|at| instant(&bakery.site().time_zone, at)),
    }
}
