//! Could an order still be made, how much of it, from where, and what stands in its way.
//!
//! Every answer comes from a plan with the order against the plan without it: what is
//! missing then and was not before is what the order would bring about. All orders that
//! are held stand before it, so it never takes bread from them.

mod bounds;
mod extra;
mod first_step;
mod most;
mod other_days;

pub use bounds::{Bound, ToOrder};
pub use first_step::{FirstStep, first_step, first_step_alone};

use super::{Plan, PlanError, PlanInput, plan};
use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{instant, instant_at},
    demand::PieceLine,
    order::Wanted,
};
use bounds::{Bounds, add_pieces, bounds};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use other_days::OtherDays;
use std::{borrow::Cow, collections::BTreeMap};

/// An order that somebody thinks of.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// Position of the customer.
    pub customer: u32,
    /// For which local date.
    pub service_date: Date,
    /// Local time of delivery or collection.
    pub drop: Time,
    /// Whether it comes out of counter par or on top of it.
    pub wanted: Wanted,
    /// What is wanted.
    pub lines: Vec<ProposedLine>,
}

/// One line of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProposedLine {
    /// Position of the product.
    pub product: u32,
    /// Whole pieces that are wanted in all.
    pub pieces: i64,
    /// Pieces of these that the order holds already.
    pub held: i64,
}

/// What an order is judged against.
#[derive(Debug, Clone, Copy)]
pub struct CheckInput<'a> {
    /// Reference data.
    pub bakery: &'a Bakery,
    /// All orders that are held, with the version of this one that is, and all lots.
    pub book: &'a Book,
    /// The plan of that book.
    pub base: &'a Plan,
    /// The moment of asking.
    pub now: Timestamp,
    /// Last service date of the plan; not before the order's.
    pub until: Date,
    /// The order.
    pub proposal: &'a Proposal,
}

impl CheckInput<'_> {
    /// Whether anybody keeps a record of stock: without one nothing is said to be missing.
    #[must_use]
    pub const fn stock_is_known(&self) -> bool {
        !self.book.lots.is_empty()
    }
}

/// Which load would make pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadOf {
    /// One that is planned anyhow and not begun.
    Larger,
    /// One that nothing else asks for.
    New,
    /// One beside those that are begun.
    Extra,
}

/// Where the pieces of a line come from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Sources {
    /// The order holds them already.
    pub held: i64,
    /// Finished pieces in stock.
    pub stock: i64,
    /// Pieces that are made beyond what is ordered.
    pub overs: i64,
    /// Pieces that a load has to make.
    pub load: i64,
    /// Which load.
    pub load_of: Option<LoadOf>,
}

/// What can be said of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineAnswer {
    /// Pieces that are wanted in all.
    pub asked: i64,
    /// Most pieces up to that number that can be made, those held among them.
    pub at_most: i64,
    /// Where these come from.
    pub sources: Sources,
    /// Pieces that are begun and that nobody wants any more.
    pub surplus: i64,
    /// The earlier of the customer's cutoff and the first step.
    pub cutoff: Option<Timestamp>,
    /// What is done first for it.
    pub first_step: Option<FirstStep>,
    /// What would be done first for an extra load.
    pub extra_step: Option<FirstStep>,
    /// Whether a load would have to be changed or added for it after the cutoff.
    pub late: bool,
    /// What stands in the way of more, or of taking it without asking.
    pub bound: Option<Bound>,
    /// Why no extra load makes the rest.
    pub no_extra: Option<Bound>,
    /// The next time that works, if this one does not.
    pub earliest: Option<Timestamp>,
}

/// What can be said of an order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Checked {
    /// Line by line.
    pub lines: Vec<LineAnswer>,
    /// What has to be bought for it.
    pub to_order: Vec<ToOrder>,
}

/// Judges an order line by line; earlier lines are served before later ones.
///
/// # Errors
/// [`PlanError`] if the plan without the order has no answer either.
///
/// # Source
/// trade.md 1.2, 2.10 and 5; readings R22.
pub fn check(input: &CheckInput<'_>) -> Result<Checked, PlanError> {
    let mut judge = Judge {
        input: *input,
        book: Cow::Borrowed(input.book),
        plan: Cow::Borrowed(input.base),
        answers: Vec::with_capacity(input.proposal.lines.len()),
        to_order: Vec::new(),
    };
    judge.begin()?;
    let zone = &input.bakery.site().time_zone;
    let drop_at = instant(zone, input.proposal.service_date, input.proposal.drop)?;
    if drop_at < input.now {
        judge.after_the_drop(drop_at);
    } else {
        judge.not_begun()?;
        judge.begun()?;
    }
    judge.finish()
}

struct Judge<'a> {
    input: CheckInput<'a>,
    /// With what is accepted so far.
    book: Cow<'a, Book>,
    /// The plan of that.
    plan: Cow<'a, Plan>,
    answers: Vec<LineAnswer>,
    to_order: Vec<ToOrder>,
}

impl Judge<'_> {
    /// What holds of each line before anything is judged.
    fn begin(&mut self) -> Result<(), PlanError> {
        let CheckInput { bakery, base, proposal, .. } = self.input;
        let customer = &bakery.lists().customers[proposal.customer as usize];
        let zone = &bakery.site().time_zone;
        let of_customer =
            customer.cutoff.map(|at| instant_at(zone, proposal.service_date, at)).transpose()?;
        for line in &proposal.lines {
            let (date, drop) = (proposal.service_date, proposal.drop);
            let first_step = first_step(bakery, base, line.product, date, drop)?;
            let begins = first_step.as_ref().map(|step| step.at);
            let of_product = bakery.product(line.product).cutoff;
            let of_product =
                of_product.map(|at| instant_at(zone, proposal.service_date, at)).transpose()?;
            let held = line.held.min(line.pieces);
            self.answers.push(LineAnswer {
                asked: line.pieces,
                at_most: line.pieces,
                sources: Sources { held, ..Sources::default() },
                surplus: 0,
                cutoff: of_customer.into_iter().chain(of_product).chain(begins).min(),
                first_step,
                extra_step: None,
                late: false,
                bound: None,
                no_extra: None,
                earliest: None,
            });
        }
        Ok(())
    }

    fn line(&self, at: usize) -> ProposedLine {
        self.input.proposal.lines[at]
    }

    fn more(&self, at: usize) -> i64 {
        self.line(at).pieces - self.line(at).held
    }

    fn is_begun(&self, at: usize) -> bool {
        self.answers[at].first_step.as_ref().is_some_and(|step| step.at < self.input.now)
    }

    fn which(&self, begun: bool) -> Vec<usize> {
        (0..self.answers.len()).filter(|&at| self.is_begun(at) == begun).collect()
    }

    /// Nothing more can be had for a time that is past.
    fn after_the_drop(&mut self, drop_at: Timestamp) {
        for answer in &mut self.answers {
            answer.at_most = answer.sources.held;
            answer.cutoff = answer.cutoff.map(|cutoff| cutoff.min(drop_at)).or(Some(drop_at));
            if answer.at_most < answer.asked {
                answer.bound = Some(Bound::DropPast { at: drop_at });
            }
        }
    }

    /// Lines of which no step has begun: the plan itself makes them.
    fn not_begun(&mut self) -> Result<(), PlanError> {
        let open = self.which(false);
        let changes: Vec<(usize, i64)> = open.iter().map(|&at| (at, self.more(at))).collect();
        if changes.iter().all(|&(_, more)| more == 0) {
            return Ok(());
        }
        let tried = self.attempt(&changes)?;
        if tried.bounds.found.is_empty() {
            self.accept(tried, &changes);
            return Ok(());
        }
        // What stands alone was tried alone.
        let mut alone = (changes.len() == 1).then_some(tried);
        for (at, more) in changes {
            let tried = alone.take().map_or_else(|| self.attempt(&[(at, more)]), Ok)?;
            if more <= 0 || tried.bounds.found.is_empty() {
                self.accept(tried, &[(at, more)]);
                continue;
            }
            let (most, bound) = self.most(at, more, tried)?;
            let most = most.map_or((0, None), |(pieces, tried)| (pieces, Some(tried)));
            let useful = self.useful(at, most.0);
            let answer = &mut self.answers[at];
            answer.at_most = answer.sources.held + useful;
            answer.bound = bound;
            if useful > 0 {
                let tried = most.1.filter(|_| useful == most.0);
                let tried = tried.map_or_else(|| self.attempt(&[(at, useful)]), Ok)?;
                self.accept(tried, &[(at, useful)]);
            }
        }
        Ok(())
    }

    /// What is left of a number of pieces in whole sale packs, if the customer can use it.
    fn useful(&self, at: usize, most: i64) -> i64 {
        let line = self.line(at);
        if line.held + most >= line.pieces {
            return most;
        }
        let CheckInput { bakery, proposal, .. } = self.input;
        let customer = &bakery.lists().customers[proposal.customer as usize];
        let pack = bakery.product(line.product).sale_pack.max(1);
        let most = most / pack * pack;
        let too_few = line.held + most < customer.minimum_useful.min(line.pieces);
        if customer.all_or_nothing || too_few { 0 } else { most }
    }

    /// Plans the accepted book with some lines changed.
    fn attempt(&self, changes: &[(usize, i64)]) -> Result<Attempt, PlanError> {
        let CheckInput { bakery, now, until, proposal, .. } = self.input;
        let mut book = self.book.clone().into_owned();
        for &(at, more) in changes {
            add_pieces(&self.input, &mut book, &self.line(at), proposal.service_date, more);
        }
        let plan = plan(bakery, &book, PlanInput { now, until })?;
        let bounds = bounds(&self.input, &book, (&self.plan, &plan))?;
        Ok(Attempt { book, plan, bounds })
    }

    /// Takes what was tried, and says of its lines where their pieces come from.
    fn accept(&mut self, tried: Attempt, changes: &[(usize, i64)]) {
        let Attempt { book, plan, bounds } = tried;
        let date = self.input.proposal.service_date;
        let mut shares: BTreeMap<u32, (i64, i64)> = BTreeMap::new();
        for &(at, more) in changes.iter().filter(|&&(_, more)| more > 0) {
            let product = self.line(at).product;
            let (was, is) = (self.plan.demand.of(date, product), plan.demand.of(date, product));
            let free = shares.entry(product).or_insert_with(|| {
                let of =
                    |line: Option<&PieceLine>, part: fn(&PieceLine) -> i64| line.map_or(0, part);
                let stock = of(is, |line| line.from_stock) - of(was, |line| line.from_stock);
                // What was to be made ahead of orders is beyond what was ordered too.
                let beyond = |line: &PieceLine| line.overs() + line.ahead();
                let overs = of(was, beyond) - of(is, beyond);
                (stock.max(0), overs.max(0))
            });
            let stock = more.min(free.0);
            let overs = (more - stock).min(free.1);
            let load = more - stock - overs;
            *free = (free.0 - stock, free.1 - overs);
            let planned = was.is_some_and(|line| line.start > 0) || self.dough_is_planned(at);
            let load_of = if planned { LoadOf::Larger } else { LoadOf::New };
            let held = self.answers[at].sources.held;
            let load_of = (load > 0).then_some(load_of);
            self.answers[at].sources = Sources { held, stock, overs, load, load_of };
        }
        self.to_order.extend(bounds.to_order);
        self.book = Cow::Owned(book);
        self.plan = Cow::Owned(plan);
    }

    fn dough_is_planned(&self, at: usize) -> bool {
        let CheckInput { bakery, proposal, .. } = self.input;
        let dough = bakery.product(self.line(at).product).dough.as_ref();
        let item = dough.and_then(|code| bakery.index().item(code.as_str()));
        item.is_some_and(|item| self.plan.batch(proposal.service_date, item).is_some())
    }

    /// What is said of a line once all are judged.
    fn finish(mut self) -> Result<Checked, PlanError> {
        let now = self.input.now;
        let mut open = Vec::new();
        for at in 0..self.answers.len() {
            let more = self.more(at);
            let answer = &mut self.answers[at];
            let past = answer.cutoff.filter(|&cutoff| cutoff < now);
            answer.late = past.is_some() && more > 0 && answer.sources.load > 0;
            if answer.late && answer.bound.is_none() {
                answer.bound = past.map(|at| Bound::Cutoff { at });
            }
            if answer.at_most < answer.asked || answer.late {
                open.push(at);
            }
        }
        // What few pieces meet on another day, more of them meet too.
        open.sort_by_key(|&at| self.line(at).pieces);
        let mut other_days = OtherDays::default();
        for at in open {
            let of_line = (&self.line(at), &self.answers[at]);
            self.answers[at].earliest =
                first_step::earliest(&self.input, &mut other_days, of_line)?;
        }
        Ok(Checked { lines: self.answers, to_order: together(self.to_order) })
    }
}

/// What several lines need of an item is bought at once, for the first that needs it.
fn together(mut all: Vec<ToOrder>) -> Vec<ToOrder> {
    all.sort_by_key(|one| (one.item, one.at));
    all.dedup_by(|later, first| {
        let same = later.item == first.item;
        if same {
            first.short_micro = first.short_micro.saturating_add(later.short_micro);
        }
        same
    });
    all.sort_by_key(|one| (one.latest.cutoff, one.item));
    all
}

/// A plan that was tried.
struct Attempt {
    book: Book,
    plan: Plan,
    bounds: Bounds,
}
