//! What is scarce, and what a piece of each product takes of it.

use super::CutInput;
use crate::{
    bakery::Bakery,
    plan::{AskedBy, NeedUser, Plan, PlanError, shortages::too_late_for},
    ratio::{Overflow, Ratio},
    share::{Claims, Least, Scarce},
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// Something of which there is too little up to an instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScarceItem {
    /// Position of the item.
    pub item: u32,
    /// The need that is not covered whole: there is this much up to it.
    pub at: Timestamp,
    /// What the orders that may be cut can have of it up to then, in millionths.
    pub there_micro: i64,
    /// What they take of it up to then, in millionths.
    pub wanted_micro: i64,
}

/// Whole parts of one: finer than any scale, and a chain of them never overflows.
const ONE: i128 = 1 << 40;

/// Products for service dates, and what each takes of what is scarce.
pub(super) struct Kinds {
    kinds: Vec<(Date, u32)>,
    pub(super) scarce: Vec<ScarceItem>,
    uses: Vec<Vec<(u32, i64)>>,
    /// The same need by need: what is freed before may be out of date by then.
    pub(super) alone: Vec<Scarce>,
    pub(super) doughs: Vec<(u32, Date)>,
    least: Vec<Least>,
}

impl Kinds {
    pub(super) fn new(bakery: &Bakery, plan: &Plan, input: CutInput) -> Result<Self, PlanError> {
        let mut found = Self {
            kinds: Vec::new(),
            scarce: Vec::new(),
            uses: Vec::new(),
            alone: Vec::new(),
            doughs: Vec::new(),
            least: Vec::new(),
        };
        let mut parts = Parts { plan, known: BTreeMap::new() };
        for stock in &plan.stock {
            let (mut there, mut wanted) = (0_i64, 0_i64);
            let mut uses: BTreeMap<(Date, u32), i128> = BTreeMap::new();
            for (&at, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
                let need = &plan.needs[at as usize];
                // What is released is taken, whatever is cut.
                if need.load.is_some() || !(input.from..=input.to).contains(&need.service_date) {
                    continue;
                }
                let unmet = allocation.unmet_micro;
                wanted = wanted.checked_add(need.micro).ok_or(Overflow)?;
                there = there.checked_add(need.micro - unmet).ok_or(Overflow)?;
                let mut own: BTreeMap<(Date, u32), i128> = BTreeMap::new();
                for (kind, part) in parts.of(need.service_date, need.user, 0)? {
                    let taken = i128::from(need.micro).checked_mul(part).ok_or(Overflow)?;
                    *uses.entry(kind).or_default() += taken;
                    *own.entry(kind).or_default() += taken;
                }
                if unmet > 0 && too_late_for(bakery, stock.item, input.plan.now, need.at)? {
                    let alone = found.each(plan, &own)?;
                    found.alone.push(Scarce { capacity: need.micro - unmet, uses: alone });
                    let (item, at) = (stock.item, need.at);
                    let scarce = ScarceItem { item, at, there_micro: there, wanted_micro: wanted };
                    let uses = found.each(plan, &uses)?;
                    found.scarce.push(scarce);
                    found.uses.push(uses);
                }
            }
        }
        found.doughs(bakery, plan, input)?;
        Ok(found)
    }

    /// What one ordered piece of each kind takes, rounded up.
    fn each(
        &mut self,
        plan: &Plan,
        uses: &BTreeMap<(Date, u32), i128>,
    ) -> Result<Vec<(u32, i64)>, Overflow> {
        let mut each = Vec::with_capacity(uses.len());
        for (&(date, product), &taken) in uses {
            let ordered = i128::from(ordered(plan, date, product));
            if ordered <= 0 || taken <= 0 {
                continue;
            }
            let per_piece = taken.div_euclid(ordered * ONE) + 1;
            each.push((self.kind(date, product)?, i64::try_from(per_piece).map_err(|_| Overflow)?));
        }
        Ok(each)
    }

    fn kind(&mut self, date: Date, product: u32) -> Result<u32, Overflow> {
        let at = self.kinds.iter().position(|&kind| kind == (date, product));
        let at = at.unwrap_or_else(|| {
            self.kinds.push((date, product));
            self.kinds.len() - 1
        });
        u32::try_from(at).map_err(|_| Overflow)
    }

    /// The kind of a product for a date, if it takes anything scarce.
    pub(super) fn of(&self, date: Date, product: u32) -> Option<u32> {
        let at = self.kinds.iter().position(|&kind| kind == (date, product))?;
        u32::try_from(at).ok()
    }

    /// Doughs with a mixer's minimum whose users are all kinds here, and nothing released.
    fn doughs(&mut self, bakery: &Bakery, plan: &Plan, input: CutInput) -> Result<(), Overflow> {
        for batch in &plan.batches {
            if !(input.from..=input.to).contains(&batch.service_date) || !batch.held.is_empty() {
                continue;
            }
            let Some(mixer) = batch.mixer else { continue };
            let minimum = Ratio::whole(bakery.lists().mixers[mixer as usize].minimum_ug.into());
            let mut of = Vec::new();
            for ask in &batch.asked {
                let AskedBy::Product(product) = ask.by else { break };
                let Some(kind) = self.of(batch.service_date, product) else { break };
                let pieces = ordered(plan, batch.service_date, product);
                if pieces <= 0 || batch.net.is_zero() {
                    break;
                }
                // Losses and residue in proportion.
                let mass = ask.amount.times(batch.gross)?.over(batch.net)?;
                let each = mass.over(Ratio::whole(pieces.into()))?.floor();
                of.push((kind, i64::try_from(each).map_err(|_| Overflow)?));
            }
            let small = batch.gross < minimum;
            if of.len() == batch.asked.len() && !of.is_empty() && !small {
                let mass = i64::try_from(minimum.floor()).map_err(|_| Overflow)?;
                self.doughs.push((batch.item, batch.service_date));
                self.least.push(Least { mass, of });
            }
        }
        Ok(())
    }

    /// The rules without the claims.
    pub(super) fn claims(&self) -> Claims {
        let scarce = self.scarce.iter().zip(&self.uses);
        Claims {
            claims: Vec::new(),
            scarce: scarce
                .map(|(scarce, uses)| Scarce { capacity: scarce.there_micro, uses: uses.clone() })
                .collect(),
            doughs: self.least.clone(),
        }
    }
}

/// Pieces for customers, ordered or not, of a product for a date.
fn ordered(plan: &Plan, date: Date, product: u32) -> i64 {
    plan.demand.of(date, product).map_or(0, crate::demand::PieceLine::asked)
}

/// What is short for orders that may be cut and too late to order, by item, in millionths.
pub(super) fn short(
    bakery: &Bakery,
    plan: &Plan,
    input: CutInput,
) -> Result<Vec<(u32, i64)>, PlanError> {
    let mut found = Vec::new();
    for stock in &plan.stock {
        let mut unmet = 0_i64;
        for (&at, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
            let need = &plan.needs[at as usize];
            let may_be_cut = need.load.is_none()
                && (input.from..=input.to).contains(&need.service_date)
                && allocation.unmet_micro > 0;
            if may_be_cut && too_late_for(bakery, stock.item, input.plan.now, need.at)? {
                unmet = unmet.checked_add(allocation.unmet_micro).ok_or(Overflow)?;
            }
        }
        if unmet > 0 {
            found.push((stock.item, unmet));
        }
    }
    Ok(found)
}

/// Products for dates, each with its part of a need.
type Shares = Vec<((Date, u32), i128)>;

/// The part that each product for a date has in what something takes.
struct Parts<'a> {
    plan: &'a Plan,
    known: BTreeMap<(Date, NeedUser), Shares>,
}

impl Parts<'_> {
    fn of(&mut self, date: Date, user: NeedUser, depth: usize) -> Result<Shares, Overflow> {
        if let Some(known) = self.known.get(&(date, user)) {
            return Ok(known.clone());
        }
        if depth > crate::limits::NESTING_MAX {
            return Err(Overflow);
        }
        let mut users: Vec<((Date, NeedUser), i128)> = Vec::new();
        match user {
            NeedUser::Product(product) => {
                if let Some(line) = self.plan.demand.of(date, product) {
                    let own = (line.asked() - line.from_stock + line.test_pieces).max(0);
                    users.push(((date, user), own.into()));
                    for &(taker, on, pieces) in &line.taken_by {
                        users.push(((on, NeedUser::Product(taker)), pieces.into()));
                    }
                }
            }
            NeedUser::Formula(item) => {
                for ask in self.plan.mixes(date, item).flat_map(|batch| &batch.asked) {
                    users.push(((date, ask.by.into()), ask.amount.floor()));
                }
            }
        }
        let all: i128 = users.iter().map(|(_, amount)| amount).sum();
        let mut shares: BTreeMap<(Date, u32), i128> = BTreeMap::new();
        for ((on, by), amount) in users.into_iter().filter(|_| all > 0) {
            let part = amount.checked_mul(ONE).ok_or(Overflow)? / all;
            if let (NeedUser::Product(product), true) = (by, (on, by) == (date, user)) {
                *shares.entry((on, product)).or_default() += part;
                continue;
            }
            for (kind, own) in self.of(on, by, depth + 1)? {
                *shares.entry(kind).or_default() += own.checked_mul(part).ok_or(Overflow)? / ONE;
            }
        }
        let shares: Shares = shares.into_iter().collect();
        self.known.insert((date, user), shares.clone());
        Ok(shares)
    }
}

impl Kinds {
    /// Positions of the scarce items, each once.
    #[must_use]
    pub(super) fn items(&self) -> BTreeSet<u32> {
        self.scarce.iter().map(|scarce| scarce.item).collect()
    }
}
