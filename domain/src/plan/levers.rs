//! What a person can do about an item that runs short, in the order in which to try it.

use super::{ItemStock, NeedUser, Plan, ShortageError, ShortageLine, in_base_unit, stock};
use crate::{
    allergens::{Allergens, Swaps, allergens},
    bakery::Bakery,
    book::Book,
    net::{NetInput, net},
    ratio::{Overflow, Ratio},
    supplier::Substitute,
};
use jiff::Timestamp;
use std::collections::BTreeSet;

/// One thing that a person can do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lever {
    /// Quality may release a lot that is on hold.
    ReleaseHeldLot {
        /// Its position in the book.
        lot: u32,
        /// What it would free, in millionths of the base unit.
        micro: i64,
    },
    /// An approved substitute, never chained.
    Substitute(SubstituteLever),
}

/// What an approved substitute would cover, and what it changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SubstituteLever {
    /// Its position in the bakery's list.
    pub substitute: u32,
    /// What it takes.
    pub uses: Vec<SubstituteUse>,
    /// What it covers of the shortage, in millionths of the short item's base unit.
    pub covers_micro: Ratio,
    /// The shortage, in the same.
    pub of_short_micro: i64,
    /// Allergens that it brings into a product that is hit.
    pub adds_contains: BTreeSet<String>,
    /// What such a product may then contain and did not before.
    pub adds_may_contain: BTreeSet<String>,
    /// Items of it whose pack nobody has read.
    pub unknown: BTreeSet<String>,
    /// Whether labels change.
    pub label_change: bool,
    /// Whether somebody must sign for it.
    pub sign_off: bool,
}

impl SubstituteLever {
    /// Whether it covers all that is short.
    #[must_use]
    pub fn enough(&self) -> bool {
        self.covers_micro >= Ratio::whole(self.of_short_micro.into())
    }
}

/// How much of one item a substitute takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SubstituteUse {
    /// Position of the item.
    pub item: u32,
    /// How much, in millionths of its base unit.
    pub micro: Ratio,
    /// What its own needs leave of it, in millionths; none if it is not stocked.
    pub spare_micro: Option<i64>,
}

/// The levers of one shortage: lots on hold, then approved substitutes, those without a
/// change of allergens first, then those that change the label only.
///
/// # Errors
/// [`ShortageError`]
pub fn levers(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    line: &ShortageLine,
    now: Timestamp,
) -> Result<Vec<Lever>, ShortageError> {
    let mut found = Vec::new();
    if line.short_micro == 0 {
        return Ok(found);
    }
    for &lot in &line.held_lots {
        let micro = book.lots[lot as usize].balance_micro;
        if micro > 0 {
            found.push(Lever::ReleaseHeldLot { lot, micro });
        }
    }
    let code = &bakery.item(line.item).code;
    let mut substitutes = Vec::new();
    for (position, substitute) in (0_u32..).zip(&bakery.lists().substitutes) {
        if substitute.item == *code && substitute.approved {
            let lever = Judge { bakery, book, plan, line, now }.judge(position, substitute)?;
            substitutes.extend(lever);
        }
    }
    substitutes.sort_by_key(|lever| (!lever.adds_contains.is_empty(), lever.label_change));
    found.extend(substitutes.into_iter().map(Lever::Substitute));
    Ok(found)
}

struct Judge<'a> {
    bakery: &'a Bakery,
    book: &'a Book,
    plan: &'a Plan,
    line: &'a ShortageLine,
    now: Timestamp,
}

impl Judge<'_> {
    fn judge(
        &self,
        position: u32,
        substitute: &Substitute,
    ) -> Result<Option<SubstituteLever>, ShortageError> {
        let per = in_base_unit(self.bakery, self.line.item, substitute.per)?;
        let Some(per) = per.filter(|per| per.is_positive()) else { return Ok(None) };
        let mut covers = self.may_be_replaced(substitute)?;
        let mut parts = Vec::new();
        for (code, quantity) in &substitute.uses {
            let Some(item) = self.bakery.index().item(code.as_str()) else { return Ok(None) };
            let Some(micro) = in_base_unit(self.bakery, item, *quantity)? else { return Ok(None) };
            let each = micro.over(per)?;
            let spare = self.spare(item)?;
            if let Some(spare) = spare
                && each.is_positive()
            {
                covers = covers.min(Ratio::whole(spare.into()).over(each)?);
            }
            parts.push((item, each, spare));
        }
        let mut uses = Vec::with_capacity(parts.len());
        for (item, each, spare_micro) in parts {
            uses.push(SubstituteUse { item, micro: each.times(covers)?, spare_micro });
        }
        let used: Vec<u32> = uses.iter().map(|part| part.item).collect();
        let Allergens { contains, may_contain, unknown } = self.adds(&used);
        Ok(Some(SubstituteLever {
            substitute: position,
            uses,
            covers_micro: covers,
            of_short_micro: self.line.short_micro,
            // A new may-contain counts as a label change.
            label_change: substitute.label_change
                || !contains.is_empty()
                || !may_contain.is_empty()
                || !unknown.is_empty(),
            sign_off: substitute.sign_off || !contains.is_empty() || !unknown.is_empty(),
            adds_contains: contains,
            adds_may_contain: may_contain,
            unknown: unknown.iter().map(ToString::to_string).collect(),
        }))
    }

    fn stock(&self) -> Option<&ItemStock> {
        self.plan.stock_of(self.line.item)
    }

    /// What is short where the substitute is allowed, at most its share of each line.
    fn may_be_replaced(&self, substitute: &Substitute) -> Result<Ratio, Overflow> {
        let mut sum = Ratio::ZERO;
        let Some(stock) = self.stock() else { return Ok(sum) };
        for (&at, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
            let need = &self.plan.needs[at as usize];
            let used_in = match need.user {
                NeedUser::Formula(item) => &self.bakery.item(item).code,
                NeedUser::Product(product) => &self.bakery.product(product).code,
            };
            if !substitute.only_in.is_empty() && !substitute.only_in.contains(used_in) {
                continue;
            }
            let mut most = Ratio::whole(allocation.unmet_micro.into());
            if let Some(share) = substitute.max_share_percent {
                let of_line = Ratio::whole(need.micro.into()).times(share)?;
                most = most.min(of_line.over(Ratio::whole(100))?);
            }
            sum = sum.plus(most)?;
        }
        Ok(sum)
    }

    /// What an item's own needs leave of it; none if it is not stocked.
    fn spare(&self, item: u32) -> Result<Option<i64>, ShortageError> {
        let found = self.bakery.item(item);
        if !found.stocked {
            return Ok(None);
        }
        if let Some(stock) = self.plan.stock_of(item) {
            return Ok(Some(stock.netting.left_micro));
        }
        let shelves = stock::shelves(self.bakery, self.book, self.plan, item, self.now)?;
        let netting = net(NetInput {
            needs: &[],
            lots: &shelves.usable,
            as_of: self.book.stands_at(&found.code, self.now),
            end: self.plan.end(),
            opened_life_minutes: found.opened_life_minutes,
            inner_micro: stock::inner(self.bakery, item)?,
        })?;
        Ok(Some(netting.left_micro))
    }

    /// What the substitute adds to the products that the shortage hits.
    ///
    /// A substitute that every hit product contains already changes nothing for its eater.
    fn adds(&self, used: &[u32]) -> Allergens {
        let mut adds = Allergens::default();
        let swaps = Swaps::from([(self.line.item, used.to_vec())]);
        if self.line.hits.is_empty() {
            // No product to judge by: whatever the item itself has not is new.
            let held = &self.bakery.item(self.line.item).allergens;
            for item in used.iter().map(|&at| self.bakery.item(at)) {
                let new = item.allergens.contains.difference(&held.contains);
                adds.contains.extend(new.cloned());
                let new = item.allergens.may_contain.difference(&held.may_contain);
                adds.may_contain.extend(new.cloned());
                if !item.allergens.known {
                    adds.unknown.insert(item.code.clone());
                }
            }
        }
        for &(date, product) in &self.line.hits {
            let recipes = self.bakery.recipes(date);
            let before = allergens(self.bakery, recipes, product, &Swaps::new());
            let after = allergens(self.bakery, recipes, product, &swaps);
            adds.contains.extend(after.contains.difference(&before.contains).cloned());
            let known = |new: &&String| !before.contains.contains(*new);
            let may = after.may_contain.difference(&before.may_contain).filter(known);
            adds.may_contain.extend(may.cloned());
            adds.unknown.extend(after.unknown.difference(&before.unknown).cloned());
        }
        for contained in &adds.contains {
            adds.may_contain.remove(contained);
        }
        adds
    }
}
