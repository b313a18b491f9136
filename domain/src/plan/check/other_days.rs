//! Lines of an order on other days, for the next time that works.

use super::{
    CheckInput, ProposedLine,
    bounds::{add_pieces, bounds},
};
use crate::plan::{Plan, PlanError, PlanInput, plan};
use jiff::civil::Date;
use std::collections::{BTreeMap, btree_map::Entry};

/// What several lines ask of the same days.
#[derive(Default)]
pub(super) struct OtherDays {
    /// The plan without the order up to each day that the plan of the order does not reach.
    before: BTreeMap<Date, Plan>,
    /// Pieces of a product that met something lasting on a day, the fewest that are known.
    unfit: BTreeMap<(u32, Date), i64>,
}

impl OtherDays {
    /// Whether a line on another day would meet nothing that stands in its way.
    pub(super) fn fits(
        &mut self,
        input: &CheckInput<'_>,
        line: &ProposedLine,
        day: Date,
    ) -> Result<bool, PlanError> {
        let asked = PlanInput { now: input.now, until: input.until.max(day) };
        let known = self.unfit.get(&(line.product, day));
        if known.is_some_and(|&unfit| unfit <= line.pieces) {
            return Ok(false);
        }
        let before = match (day <= input.until, self.before.entry(day)) {
            (true, _) => input.base,
            (false, Entry::Occupied(known)) => known.into_mut(),
            (false, Entry::Vacant(unknown)) => {
                unknown.insert(plan(input.bakery, input.book, asked)?)
            }
        };
        let mut book = input.book.clone();
        add_pieces(input, &mut book, line, day, line.pieces);
        let after = plan(input.bakery, &book, asked)?;
        let bounds = bounds(input, &book, (before, &after))?;
        if bounds.lasting().next().is_some() {
            self.unfit.insert((line.product, day), line.pieces);
        }
        Ok(bounds.found.is_empty())
    }
}
