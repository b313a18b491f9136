//! What stands in the way of an order: a plan with it against the plan without it.

use super::{CheckInput, FirstStep, ProposedLine, first_step::start_of};
use crate::{
    bakery::Bakery,
    book::Book,
    demand::make_ahead,
    lot::LotUse,
    order::OrderLine,
    plan::{Finding, ItemStock, NeedUser, Plan, PlanError, Spot},
    purchase::{LatestMoment, latest_moment},
    quantity::MICRO,
    schedule::Hindrance,
};
use jiff::{Timestamp, civil::Date};

/// Why no more of a product can be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Bound {
    /// Its first step is past.
    TooLate(FirstStep),
    /// The drop itself is past.
    DropPast {
        /// When it was.
        at: Timestamp,
    },
    /// The customer's cutoff is past.
    Cutoff {
        /// The cutoff.
        at: Timestamp,
    },
    /// Nobody is there when a step would have to run.
    Staff {
        /// Position of what is made.
        item: u32,
        /// The step.
        step: String,
    },
    /// A window between two steps would have to be longer or shorter than it may be.
    AgeWindow {
        /// Position of what is made.
        item: u32,
        /// The step that finds no time.
        step: String,
        /// Fewest minutes by which it would have to give; none if nobody knows.
        minutes: Option<i64>,
    },
    /// A mixer, oven or place has no room for it at any of its times.
    Capacity {
        /// Position of what is made.
        item: u32,
        /// What has no room.
        spot: Spot,
    },
    /// A load would be under its mixer's minimum, or there would be too many loads.
    Mixer {
        /// Position of what is made.
        item: u32,
        /// For which service date.
        service_date: Date,
        /// What the load would weigh in micrograms, if it is too little.
        under: Option<crate::ratio::Ratio>,
    },
    /// An ingredient is missing and cannot be had in time.
    Ingredient {
        /// Position of the item.
        item: u32,
        /// The start of the step that would lack it.
        at: Timestamp,
        /// What is missing in all, in millionths of the base unit.
        short_micro: i64,
        /// The last cutoff that would have brought it, if there was one.
        cutoff: Option<Timestamp>,
    },
    /// Goods of an earlier day are missing.
    EarlierGoods {
        /// Position of the product that is taken.
        product: u32,
        /// The day on which they would have been baked.
        baked: Date,
        /// Pieces that are missing.
        short: i64,
    },
}

impl Bound {
    /// Whether something in stock is what is missing.
    #[must_use]
    pub const fn is_of_stock(&self) -> bool {
        matches!(self, Self::Ingredient { .. } | Self::EarlierGoods { .. })
    }

    /// Position of what is made, if that is what finds no time or room.
    pub(super) const fn made(&self) -> Option<u32> {
        match self {
            Self::Staff { item, .. }
            | Self::AgeWindow { item, .. }
            | Self::Capacity { item, .. }
            | Self::Mixer { item, .. } => Some(*item),
            _ => None,
        }
    }

    /// Whether more pieces would lift it.
    pub(super) const fn is_under_minimum(&self) -> bool {
        matches!(self, Self::Mixer { under: Some(_), .. })
    }
}

/// An ingredient that an order needs beyond what is there, and that can still be ordered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToOrder {
    /// Position of the item.
    pub item: u32,
    /// The start of the step that needs it.
    pub at: Timestamp,
    /// What is missing, in millionths of the base unit.
    pub short_micro: i64,
    /// Until when to order it.
    pub latest: LatestMoment,
}

/// All that keeps a plan from being carried out beside what kept the one before it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Bounds {
    /// Strongest first.
    pub found: Vec<Bound>,
    /// What has to be bought for it.
    pub to_order: Vec<ToOrder>,
}

impl Bounds {
    /// Those that more pieces would not lift.
    pub fn lasting(&self) -> impl Iterator<Item = &Bound> {
        self.found.iter().filter(|bound| !bound.is_under_minimum())
    }
}

/// What a plan asks for that cannot be had, and that the plan before it did not ask for.
///
/// # Errors
/// [`PlanError`] beyond all calendars.
pub(super) fn bounds(
    input: &CheckInput<'_>,
    book: &Book,
    (before, after): (&Plan, &Plan),
) -> Result<Bounds, PlanError> {
    let CheckInput { bakery, now, .. } = *input;
    let mut all = Bounds::default();
    // Growth of what is kept back for the next build is no work that is too late.
    for batch in &after.batches {
        let grown =
            before.batch(batch.service_date, batch.item).is_none_or(|was| batch.gross > was.gross);
        if let Some(start) = start_of(bakery, batch)
            && grown
            && start.at < now
        {
            let planned = before.batch(batch.service_date, batch.item).is_some();
            all.found.push(Bound::TooLate(FirstStep { planned, ..start }));
        }
    }
    all.found.sort_by_key(|bound| match bound {
        Bound::TooLate(start) => (start.at, start.item),
        _ => (now, 0),
    });
    let known = |finding: &Finding| before.findings.iter().any(|was| same_matter(was, finding));
    for finding in after.findings.iter().filter(|finding| !known(finding)) {
        all.found.extend(of_finding(bakery, after, finding));
    }
    if !input.stock_is_known() {
        return Ok(all);
    }
    earlier_goods(bakery, book, (before, after), &mut all.found);
    for stock in &after.stock {
        lacks(bakery, (before, after), stock, now, &mut all)?;
    }
    Ok(all)
}

/// Whether two findings are about the same thing, whatever minutes they state.
fn same_matter(a: &Finding, b: &Finding) -> bool {
    match (a, b) {
        (
            Finding::NoTime { of, service_date, drop, no_fit },
            Finding::NoTime { of: other, service_date: date, drop: to, no_fit: why },
        ) => (of, service_date, drop, &no_fit.step) == (other, date, to, &why.step),
        (
            Finding::Clash { of, service_date, spot, .. },
            Finding::Clash { of: other, service_date: date, spot: at, .. },
        ) => (of, service_date, spot) == (other, date, at),
        _ => a == b,
    }
}

fn of_finding(bakery: &Bakery, plan: &Plan, finding: &Finding) -> Option<Bound> {
    let made = |of: NeedUser, date| match of {
        NeedUser::Formula(item) => Some(item),
        NeedUser::Product(product) => bakery.recipes(date).dough_of(product),
    };
    match finding {
        Finding::NoTime { of, service_date, no_fit, .. } => {
            let (item, step) = (made(*of, *service_date)?, no_fit.step.clone());
            Some(match no_fit.by {
                Hindrance::Staff => Bound::Staff { item, step },
                Hindrance::AgeWindow => Bound::AgeWindow { item, step, minutes: no_fit.minutes },
            })
        }
        Finding::Clash { of, service_date, spot, .. } => {
            Some(Bound::Capacity { item: made(*of, *service_date)?, spot: *spot })
        }
        Finding::UnderMinimum { item, service_date } => {
            let groups = plan.batch(*service_date, *item).map(|batch| &batch.split.groups);
            let under = groups.and_then(|groups| groups.iter().map(|group| group.mass).min());
            Some(Bound::Mixer { item: *item, service_date: *service_date, under })
        }
        Finding::TooManyLoads { item, service_date } => {
            Some(Bound::Mixer { item: *item, service_date: *service_date, under: None })
        }
        Finding::NoDrop { .. }
        | Finding::Split { .. }
        | Finding::Surplus { .. }
        | Finding::OversUsed { .. }
        | Finding::Dropped { .. }
        | Finding::Decided { .. }
        | Finding::Substituted { .. }
        | Finding::FormulaChanged { .. }
        | Finding::OverrideImpossible { .. }
        | Finding::BakedAfterUseBy { .. }
        | Finding::ToppingRefused { .. }
        | Finding::UnknownInOrder { .. } => None,
    }
}

/// Goods of days outside the plan that no lot covers.
fn earlier_goods(
    bakery: &Bakery,
    book: &Book,
    (before, after): (&Plan, &Plan),
    found: &mut Vec<Bound>,
) {
    let drawn = |plan: &Plan, product: u32, baked: Date| -> i64 {
        let draws = plan.demand.stock_draws.iter();
        let of_day = draws.filter(|draw| (draw.product, draw.baked) == (product, baked));
        of_day.map(|draw| draw.pieces).sum()
    };
    let mut seen = Vec::new();
    for draw in &after.demand.stock_draws {
        let (product, baked) = (draw.product, draw.baked);
        if seen.contains(&(product, baked)) {
            continue;
        }
        seen.push((product, baked));
        let code = &bakery.product(product).code;
        let there: i64 = book
            .lots
            .iter()
            .filter(|lot| lot.item == *code && lot.baked == Some(baked))
            .filter(|lot| lot.usage != LotUse::ParBaked)
            .filter(|lot| !lot.state.is_kept_back())
            .map(|lot| lot.balance_micro.max(0) / MICRO)
            .sum();
        let (was, wanted) = (drawn(before, product, baked), drawn(after, product, baked));
        if wanted > was && wanted > there {
            found.push(Bound::EarlierGoods { product, baked, short: wanted - there.max(was) });
        }
    }
}

/// When more of an item is missing than before, and whether that can be ordered.
fn lacks(
    bakery: &Bakery,
    (before, after): (&Plan, &Plan),
    stock: &ItemStock,
    now: Timestamp,
    all: &mut Bounds,
) -> Result<(), PlanError> {
    // A levain grows from whatever seed there is; that there is none, the plan says itself.
    let own_seed = |&need: &u32| after.needs[need as usize].user == NeedUser::Formula(stock.item);
    if stock.netting.short_micro == 0 || stock.needs.iter().all(own_seed) {
        return Ok(());
    }
    let was = before.stock_of(stock.item);
    let Some((at, short_micro)) = first_lack(before, was, after, stock) else { return Ok(()) };
    let item = stock.item;
    let latest = latest_order(bakery, item, now, at)?;
    match latest.filter(|latest| !latest.gone) {
        Some(latest) => all.to_order.push(ToOrder { item, at, short_micro, latest }),
        None => {
            let cutoff = latest.map(|latest| latest.cutoff);
            all.found.push(Bound::Ingredient { item, at, short_micro, cutoff });
        }
    }
    Ok(())
}

/// The first instant at which more is missing than before, and how much more in the end.
fn first_lack(
    before: &Plan,
    was: Option<&ItemStock>,
    after: &Plan,
    stock: &ItemStock,
) -> Option<(Timestamp, i64)> {
    let unmet = |plan: &Plan, stock: &ItemStock, sign: i64| -> Vec<(Timestamp, i64)> {
        let needs = stock.needs.iter().zip(&stock.netting.allocations);
        let lacking = needs.filter(|(_, allocation)| allocation.unmet_micro > 0);
        lacking
            .map(|(&need, allocation)| {
                (plan.needs[need as usize].at, sign.saturating_mul(allocation.unmet_micro))
            })
            .collect()
    };
    let mut changes = unmet(after, stock, 1);
    changes.extend(was.map(|was| unmet(before, was, -1)).unwrap_or_default());
    changes.sort_by_key(|&(at, _)| at);
    let (mut more, mut first) = (0_i64, None);
    for moment in changes.chunk_by(|a, b| a.0 == b.0) {
        more = moment.iter().fold(more, |sum, &(_, micro)| sum.saturating_add(micro));
        if more > 0 {
            first = first.or(Some(moment[0].0));
        } else {
            first = None;
        }
    }
    first.map(|at| (at, more))
}

/// The last moment at which anybody can be asked to deliver an item by then.
fn latest_order(
    bakery: &Bakery,
    item: u32,
    now: Timestamp,
    by: Timestamp,
) -> Result<Option<LatestMoment>, PlanError> {
    let found = bakery.item(item);
    let mut latest: Option<LatestMoment> = None;
    for pack in bakery.lists().packs.iter().filter(|pack| pack.item == found.code) {
        let Some(supplier) = bakery.index().supplier(pack.supplier.as_str()) else { continue };
        let supplier = &bakery.lists().suppliers[supplier as usize];
        let moment = latest_moment(bakery.site(), supplier, found.ready_after_minutes, now, by)?;
        if let Some(moment) = moment
            && latest.is_none_or(|best| best.cutoff < moment.cutoff)
        {
            latest = Some(moment);
        }
    }
    Ok(latest)
}

/// Changes a book by so many pieces more, or fewer, of a line.
pub(super) fn add_pieces(
    input: &CheckInput<'_>,
    book: &mut Book,
    line: &ProposedLine,
    service_date: Date,
    more: i64,
) {
    let proposal = input.proposal;
    let customer = &input.bakery.lists().customers[proposal.customer as usize].code;
    let product = &input.bakery.product(line.product).code;
    if more > 0 {
        book.orders.push(OrderLine {
            customer: customer.clone(),
            service_date,
            product: product.clone(),
            pieces: more,
            drop: Some(proposal.drop),
            taken_at: None,
            wanted: proposal.wanted,
        });
        if !book.service_dates.contains(&service_date) {
            book.service_dates.push(service_date);
        }
    }
    let mut fewer = (-more).max(0);
    for held in &mut book.orders {
        let same = !held.wanted.is_ahead()
            && held.service_date == service_date
            && held.customer == *customer
            && held.product == *product;
        if same && fewer > 0 {
            let less = fewer.min(held.pieces);
            held.pieces -= less;
            fewer -= less;
        }
    }
    make_ahead(book);
}
