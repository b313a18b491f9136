//! The plan after one changed order: only what the order reaches is made anew.
//!
//! A plan stays as it is but for the pieces of the products that were ordered, the batches
//! that these ask for, as far down as another rounded amount is issued, and the stock of
//! what these draw. The result is the plan of the changed book, field by field. Where a
//! change may move what it does not ask for, all is planned anew, and the answer says why.

use super::{
    Batch, Finding, NeedUser, Plan, PlanError, PlanInput,
    batches::{Given, Reached, reach},
    dates_of, needs, plan as plan_whole, stock, times, toppings,
};
use crate::{
    bakery::{Bakery, CompiledMakeUp},
    book::Book,
    calendar::OutOfCalendar,
    demand::{OrderedBy, PieceLine, changed},
    order::{OrderChange, OrderLine},
    ratio::Overflow,
    split::SplitError,
};
use jiff::civil::Date;
use std::{collections::BTreeMap, sync::Arc};

/// Why a change was answered by a whole plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WholeBecause {
    /// A service date came or went.
    ServiceDates,
    /// Loads are released, or something is set or cut by hand.
    ByHand,
    /// Something of the product is made ahead of orders: they may come out of it.
    AheadOfOrders,
    /// Pieces are made already: what is left of their toppings is drawn.
    PiecesMade,
    /// Made things of a known age are in the house: they are handed out over all dates.
    MadeStock,
    /// A product or customer of the change is unknown.
    Unknown,
    /// Finished pieces in the house are handed out over all dates.
    FinishedPieces,
    /// The product takes other products.
    ProductOfProducts,
    /// A batch keeps or takes dough of its own kind: others then depend on it.
    KeptDough,
    /// Places on mixers, benches and ovens are found among all that wants one.
    Timetable,
    /// Whole fruits are cut for all of their outputs together.
    Fruit,
    /// The house nets each need by the use-by date of the lot.
    StrictUseBy,
    /// A batch is left out for its many loads, or would be.
    TooManyLoads,
    /// The last need of the plan is another one: up to there things go out of date.
    LastNeed,
    /// A number is beyond its bounds on this way.
    Bounds,
}

/// A plan after a change.
#[derive(Debug, Clone)]
pub struct Replanned {
    /// The plan of the changed book.
    pub plan: Plan,
    /// Why all of it was planned anew; none if only what the change reaches was.
    pub whole: Option<WholeBecause>,
}

/// Why a change does not go the short way.
#[derive(Debug)]
pub(super) enum Stop {
    /// All is planned anew.
    Whole(WholeBecause),
}

impl From<Overflow> for Stop {
    fn from(_: Overflow) -> Self {
        Self::Whole(WholeBecause::Bounds)
    }
}

impl From<OutOfCalendar> for Stop {
    fn from(_: OutOfCalendar) -> Self {
        Self::Whole(WholeBecause::Bounds)
    }
}

impl From<PlanError> for Stop {
    fn from(_: PlanError) -> Self {
        Self::Whole(WholeBecause::Bounds)
    }
}

impl From<SplitError> for Stop {
    fn from(error: SplitError) -> Self {
        Self::Whole(match error {
            SplitError::TooManyLoads => WholeBecause::TooManyLoads,
            _ => WholeBecause::Bounds,
        })
    }
}

/// The plan of a book after a change of its orders, from the plan before.
///
/// `book` is the changed book, and `plan` that of the book before, made with the same
/// input; a plan that nobody else holds a copy of is changed where it stands.
///
/// # Errors
/// [`PlanError`] as [`super::plan`] of the changed book.
pub fn replan(
    bakery: &Bakery,
    (book, plan): (&Book, Plan),
    change: &OrderChange,
    input: PlanInput,
) -> Result<Replanned, PlanError> {
    match reached(bakery, (book, plan), change, input) {
        Ok(plan) => Ok(Replanned { plan, whole: None }),
        Err(Stop::Whole(because)) => {
            Ok(Replanned { plan: plan_whole(bakery, book, input)?, whole: Some(because) })
        }
    }
}

/// Pieces of a product before and after.
type Pieces = Vec<(Option<PieceLine>, Option<PieceLine>)>;

fn reached(
    bakery: &Bakery,
    (book, mut plan): (&Book, Plan),
    change: &OrderChange,
    input: PlanInput,
) -> Result<Plan, Stop> {
    stands_alone(bakery, (book, &plan), input)?;
    let end = plan.end();
    let mut draws = needs::Changes::default();
    for (service_date, products) in ordered(bakery, (book, &plan), change)? {
        let pieces = pieces(bakery, (book, &mut plan), service_date, products)?;
        put_toppings(bakery, &mut plan, &pieces, &mut draws)?;
        let clock = times::Clock::new(bakery, &[])?;
        let given = Given { bakery, book, clock: &clock };
        let batches = reach(&given, &plan, service_date, &pieces)?;
        for Reached { item, was, is } in &batches {
            let was = needs::of_batch(bakery, was.as_deref())?;
            let is = needs::of_batch(bakery, is.as_deref())?;
            draws.note(bakery, (NeedUser::Formula(*item), service_date), &was, &is)?;
        }
        put_batches(&mut plan, service_date, batches);
    }
    let items = draws.put(bakery, &mut plan)?;
    if plan.end() != end {
        return Err(Stop::Whole(WholeBecause::LastNeed));
    }
    plan.order_findings();
    stock::change((bakery, book, input.now), &mut plan, &items)?;
    Ok(plan)
}

/// Whether batches and stock of this house stand for themselves.
fn stands_alone(
    bakery: &Bakery,
    (book, plan): (&Book, &Plan),
    input: PlanInput,
) -> Result<(), Stop> {
    let because = if dates_of(bakery, book, input) != plan.dates {
        WholeBecause::ServiceDates
    } else if !(book.held.is_empty() && book.overrides.is_empty() && book.caps.is_empty()) {
        WholeBecause::ByHand
    } else if !book.made.is_empty() {
        WholeBecause::PiecesMade
    } else if book.lots.iter().any(|lot| lot.made_at.is_some()) {
        WholeBecause::MadeStock
    } else if bakery.site().use_by_strict {
        WholeBecause::StrictUseBy
    } else if plan.findings.iter().any(|one| matches!(one, Finding::TooManyLoads { .. })) {
        WholeBecause::TooManyLoads
    } else if plan.findings.iter().any(|one| matches!(one, Finding::Clash { .. })) {
        WholeBecause::Timetable
    } else {
        return Ok(());
    };
    Err(Stop::Whole(because))
}

/// What a change orders more or fewer, by date and product, of the dates of the plan.
fn ordered(
    bakery: &Bakery,
    (book, plan): (&Book, &Plan),
    change: &OrderChange,
) -> Result<BTreeMap<Date, BTreeMap<u32, OrderedBy>>, Stop> {
    let mut all: BTreeMap<Date, BTreeMap<u32, OrderedBy>> = BTreeMap::new();
    let gone = change.gone.iter().map(|line| (line, -1));
    for (line, sign) in gone.chain(change.come.iter().map(|line| (line, 1))) {
        let index = bakery.index();
        let product = index.product(line.product.as_str());
        let customer = index.customer(line.customer.as_str());
        let (Some(product), Some(customer)) = (product, customer) else {
            return Err(Stop::Whole(WholeBecause::Unknown));
        };
        let same = |ahead: &OrderLine| {
            (ahead.service_date, &ahead.product) == (line.service_date, &line.product)
        };
        if book.ahead.iter().any(same) {
            return Err(Stop::Whole(WholeBecause::AheadOfOrders));
        }
        if plan.dates.binary_search(&line.service_date).is_ok() {
            let of_product = all.entry(line.service_date).or_default().entry(product).or_default();
            let more = of_product.entry(customer).or_default();
            *more = more.checked_add(sign * line.pieces).ok_or(Overflow)?;
        }
    }
    Ok(all)
}

/// Puts the new pieces of some products into the plan; returns them before and after.
fn pieces(
    bakery: &Bakery,
    (book, plan): (&Book, &mut Plan),
    service_date: Date,
    products: BTreeMap<u32, OrderedBy>,
) -> Result<Pieces, Stop> {
    let mut pieces = Pieces::new();
    for (product, more) in products {
        let found = bakery.product(product);
        let made_of = bakery.recipes(service_date).make_up_of(product);
        if found.route.is_some() {
            return Err(Stop::Whole(WholeBecause::Timetable));
        }
        if made_of.iter().any(|line| matches!(line, CompiledMakeUp::Product { .. })) {
            return Err(Stop::Whole(WholeBecause::ProductOfProducts));
        }
        if book.lots.iter().any(|lot| lot.item == found.code) {
            return Err(Stop::Whole(WholeBecause::FinishedPieces));
        }
        let key = (service_date, product);
        let all = &mut plan.demand.pieces;
        let position = all.binary_search_by_key(&key, |line| (line.service_date, line.product));
        let was = position.ok().map(|at| all[at].clone());
        let is = changed(bakery, key, was.as_ref(), &more)?;
        let (at, count) = position.map_or_else(|at| (at, 0), |at| (at, 1));
        all.replace(at, count, is.clone().into_iter().collect());
        pieces.push((was, is));
    }
    Ok(pieces)
}

/// Puts the toppings of some products into the plan, and notes what they draw.
fn put_toppings(
    bakery: &Bakery,
    plan: &mut Plan,
    pieces: &Pieces,
    draws: &mut needs::Changes,
) -> Result<(), Stop> {
    for (was, is) in pieces {
        let Some(line) = is.as_ref().or(was.as_ref()) else { continue };
        let key = (line.service_date, line.product);
        let (mut new, mut findings) = (Vec::new(), Vec::new());
        if let Some(line) = is {
            toppings::of_line(bakery, line, &mut new, &mut findings)?;
        }
        let all = &mut plan.toppings;
        let at = all.partition_point(|one| (one.service_date, one.product) < key);
        let same = |one: &&toppings::Topping| (one.service_date, one.product) == key;
        let old: Vec<_> = all.tail(at).take_while(same).cloned().collect();
        let (before, after) = (needs::of_toppings(&old)?, needs::of_toppings(&new)?);
        draws.note(
            bakery,
            (NeedUser::Product(line.product), line.service_date),
            &before,
            &after,
        )?;
        all.replace(at, old.len(), new);
        plan.findings.retain(|finding| match finding {
            Finding::ToppingRefused { product, service_date, .. } => {
                (*service_date, *product) != key
            }
            _ => true,
        });
        plan.findings.extend(findings);
    }
    Ok(())
}

/// Puts the batches of a date that were made anew into the plan, with what is said of them.
fn put_batches(plan: &mut Plan, service_date: Date, batches: Vec<Reached>) {
    let mut came_or_went = Vec::new();
    for Reached { item, was, is } in batches {
        plan.findings.retain(|finding| match finding {
            Finding::UnderMinimum { item: of, service_date: date } => {
                (*date, *of) != (service_date, item)
            }
            _ => true,
        });
        if is.as_ref().is_some_and(|batch| batch.split.under_minimum) {
            plan.findings.push(Finding::UnderMinimum { item, service_date });
        }
        let position = plan.batch_of.get(&(service_date, item)).map(|&at| at as usize);
        match (was, is, position) {
            (Some(_), Some(batch), Some(at)) => plan.batches[at] = batch,
            (was, is, _) => came_or_went.push((item, was, is)),
        }
    }
    for (item, _, is) in &came_or_went {
        plan.batches.retain(|batch| {
            batch.feed || (batch.service_date, batch.item) != (service_date, *item)
        });
        if let Some(batch) = is {
            let place = |batch: &Batch| (batch.service_date, batch.feed, batch.recipe);
            let at = plan.batches.partition_point(|other| place(other) < place(batch));
            plan.batches.insert(at, Arc::clone(batch));
        }
    }
    if !came_or_went.is_empty() {
        let mut batch_of = BTreeMap::new();
        for (at, batch) in (0_u32..).zip(&plan.batches) {
            batch_of.entry((batch.service_date, batch.item)).or_insert(at);
        }
        plan.batch_of = Arc::new(batch_of);
    }
}
