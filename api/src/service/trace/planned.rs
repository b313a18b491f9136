//! What the plan would use a lot for, and what runs short without it.

use super::TracedLot;
use crate::{
    messages::Sentence,
    service::{
        Refusal, bakery,
        plan::{self, Horizon, Morning, refused},
        stock::{self, LotHeld},
    },
    state::State,
    store::{Tx, lots},
};
use domain::{
    bakery::Bakery,
    lot::LotState,
    plan::{LotUse, NeedUser, Plan, lot_uses},
    quantity::Unit,
};
use jiff::{Timestamp, civil::Date};

/// One use of a lot that is still to come.
#[derive(Debug, Clone)]
pub struct PlannedUse {
    /// The item or product that is used.
    pub item: String,
    /// Name of its lot.
    pub lot: String,
    /// The base unit.
    pub unit: Unit,
    /// Code of the formula or product.
    pub code: String,
    /// Whether that is a product.
    pub is_product: bool,
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

/// What runs short of an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShortBy {
    /// Over all needs, in millionths of the base unit.
    pub micro: i64,
    /// When it runs out.
    pub at: Option<Timestamp>,
}

/// What is still to come of a lot.
#[derive(Debug, Clone, Default)]
pub struct Planned {
    /// Its uses, by time, as if it might be used.
    pub uses: Vec<PlannedUse>,
    /// What its item is short of as things are.
    pub short: Option<ShortBy>,
    /// The same if the lot might be used.
    pub short_with_it: Option<ShortBy>,
    /// What could not be said.
    pub notes: Vec<Sentence>,
}

/// Held lots, each with what its item is short of, and what could not be said.
pub type HeldLots = (Vec<(LotHeld, Option<ShortBy>)>, Vec<Sentence>);

/// What the plan would use a lot for, as if it might be used; and what it would use of other
/// lots that hold some of it, as they are.
///
/// A plan that cannot be made is a note: nothing may stop a hold.
///
/// # Errors
/// [`Refusal::Store`]
pub fn planned(
    state: &State,
    tx: &mut Tx,
    (lot, others): (&str, &[TracedLot]),
) -> Result<Planned, Refusal> {
    let morning = match plan::load_in(state, tx, Horizon::Usual) {
        Ok(morning) => morning,
        Err(Refusal::Store(error)) => return Err(error.into()),
        Err(other) => return Ok(Planned { notes: vec![unplanned(&other)], ..Planned::default() }),
    };
    match looked_up(&morning, lot, others) {
        Ok(found) => Ok(found),
        Err(other) => Ok(Planned { notes: vec![unplanned(&other)], ..Planned::default() }),
    }
}

/// Why there is no plan: refusals are written in English, and other languages hear what is said
/// of their kind.
fn unplanned(refusal: &Refusal) -> Sentence {
    let kind = Sentence::one_of("problem-", refusal.slug());
    Sentence::of("trace-no-plan").with("why", Sentence::english(refusal, kind))
}

fn looked_up(morning: &Morning, lot: &str, others: &[TracedLot]) -> Result<Planned, Refusal> {
    let mut book = morning.book.clone();
    let mut item = None;
    for found in book.lots.iter_mut().filter(|found| found.id == lot) {
        item = morning.bakery.index().item(found.item.as_str());
        if found.state.is_kept_back() {
            found.state = LotState::Released;
        }
    }
    let read = (morning.bakery.clone(), book, morning.plan_revision);
    let freed = Morning::new(read, morning.now, Horizon::Usual)?;
    let Morning { bakery, book, plan, .. } = &freed;
    let mut found = Planned::default();
    for other in others.iter().filter(|other| other.id == lot || !other.left.is_empty()) {
        for one in lot_uses(bakery, book, plan, &other.id).map_err(refused)? {
            found.uses.push(planned_use(bakery, other, one));
        }
    }
    found.uses.sort_by_key(|one| (one.at, one.service_date));
    if let Some(item) = item {
        found.short = short_by(&morning.plan, item);
        found.short_with_it = short_by(plan, item);
    }
    Ok(found)
}

fn planned_use(bakery: &Bakery, lot: &TracedLot, one: LotUse) -> PlannedUse {
    let LotUse { user, service_date, load, released, at, micro } = one;
    let (code, is_product) = match user {
        NeedUser::Formula(item) => (bakery.item(item).code.to_string(), false),
        NeedUser::Product(product) => (bakery.product(product).code.to_string(), true),
    };
    let (item, name, unit) = (lot.item.clone(), lot.name.clone(), lot.unit);
    PlannedUse { item, lot: name, unit, code, is_product, service_date, load, released, at, micro }
}

fn short_by(plan: &Plan, item: u32) -> Option<ShortBy> {
    let stock = plan.stock.iter().find(|stock| stock.item == item)?;
    let micro = stock.netting.short_micro;
    let at = stock.netting.first_short.and_then(|at| stock.needs.get(at));
    let at = at.map(|&need| plan.needs[need as usize].at);
    (micro > 0).then_some(ShortBy { micro, at })
}

/// Lots of which something is left and that no plan may count on, each with what its item is
/// short of; and what could not be said.
///
/// # Errors
/// [`Refusal::NoBakery`], or [`Refusal::Store`].
pub fn held_lots(state: &State, tx: &mut Tx) -> Result<HeldLots, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let mut lots = Vec::new();
    for row in lots::list_all(tx, &state.site)? {
        if LotState::parse(&row.state).is_some_and(LotState::is_kept_back) {
            lots.push(stock::find_lot(tx, &state.site, &bakery, &row.id)?);
        }
    }
    lots.retain(|lot| lot.balance_micro != 0);
    let (morning, notes) = match plan::load_in(state, tx, Horizon::Usual) {
        Ok(morning) => (Some(morning), Vec::new()),
        Err(Refusal::Store(error)) => return Err(error.into()),
        Err(other) => (None, vec![unplanned(&other)]),
    };
    let short = |lot: &LotHeld| {
        let morning = morning.as_ref()?;
        short_by(&morning.plan, morning.bakery.index().item(&lot.item)?)
    };
    let rows = lots.into_iter().map(|lot| {
        let short = short(&lot);
        (lot, short)
    });
    Ok((rows.collect(), notes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::messages::{Language, Words};

    #[test]
    fn why_there_is_no_plan_is_said_in_every_language() {
        let note = unplanned(&Refusal::NoBakery);
        let json = "there is no plan (no bakery is loaded yet): what was planned with this lot is \
                    not known";
        assert_eq!(note.wired(), json);
        assert_eq!(note.told(Words::ENGLISH), json);
        let german = note.told(Words { language: Language::German });
        assert!(german.contains("Es ist noch keine Bäckerei geladen."), "{german}");
    }
}
