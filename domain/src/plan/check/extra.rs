//! Lines whose first step is past: from stock, from overs, from an extra load, or not.

use super::{Bound, Judge, LoadOf, Sources, add_pieces, bounds, first_step::start_of, most::part};
use crate::{
    book::Book,
    lot::LotUse,
    plan::{Plan, PlanError, PlanInput, plan},
    quantity::MICRO,
};
use jiff::Timestamp;
use std::collections::BTreeMap;

/// A plan of the extra loads alone.
struct Extra {
    plan: Plan,
    found: Vec<Bound>,
}

impl Judge<'_> {
    /// Lines of which a step has begun: what is mixed stays as it is.
    ///
    /// # Source
    /// trade.md 2.10 and 7, cases 3 and 4.
    pub(super) fn begun(&mut self) -> Result<(), PlanError> {
        let lines = self.which(true);
        let date = self.input.proposal.service_date;
        let mut overs: BTreeMap<u32, i64> = BTreeMap::new();
        for &at in &lines {
            let (more, product) = (self.more(at), self.line(at).product);
            let planned = self.input.base.demand.of(date, product);
            let free = overs
                .entry(product)
                .or_insert_with(|| planned.map_or(0, super::PieceLine::overs).max(0));
            if more < 0 {
                *free -= more;
                self.answers[at].surplus = -more;
            }
        }
        let mut wanted = Vec::new();
        for &at in &lines {
            let mut rest = self.more(at);
            if rest <= 0 {
                continue;
            }
            let product = self.line(at).product;
            let ahead = self.take_ahead(at, rest);
            rest -= ahead;
            let stock = self.draw_stock(at, rest)?;
            rest -= stock;
            let free = overs.entry(product).or_default();
            let from_overs = rest.min(*free);
            *free -= from_overs;
            rest -= from_overs;
            let sources = &mut self.answers[at].sources;
            (sources.stock, sources.overs) = (stock, ahead + from_overs);
            if rest > 0 {
                wanted.push((at, rest));
            }
        }
        // Pieces that another line of the order takes again are no surplus.
        for &at in &lines {
            let free = overs.entry(self.line(at).product).or_default();
            self.answers[at].surplus = self.answers[at].surplus.min(*free);
            *free -= self.answers[at].surplus;
        }
        self.extra_loads(&wanted)
    }

    /// Pieces more that were to be made ahead of orders; they are ordered at once.
    fn take_ahead(&mut self, at: usize, more: i64) -> i64 {
        let date = self.input.proposal.service_date;
        let product = &self.input.bakery.product(self.line(at).product).code;
        let ahead = |book: &Book| -> i64 {
            let own = book.orders.iter().filter(|line| {
                line.wanted.is_ahead() && line.service_date == date && line.product == *product
            });
            own.fold(0, |sum, line| sum.saturating_add(line.pieces))
        };
        let before = ahead(&self.book);
        if before == 0 {
            return 0;
        }
        let with = |pieces| {
            let mut book = self.book.clone().into_owned();
            add_pieces(&self.input, &mut book, &self.line(at), date, pieces);
            book
        };
        let taken = (before - ahead(&with(more))).clamp(0, more);
        self.book = std::borrow::Cow::Owned(with(taken));
        taken
    }

    /// Pieces more that finished stock covers; they are drawn at once.
    fn draw_stock(&mut self, at: usize, more: i64) -> Result<i64, PlanError> {
        let (date, product) = (self.input.proposal.service_date, self.line(at).product);
        let code = &self.input.bakery.product(product).code;
        if !self.book.lots.iter().any(|lot| lot.item == *code && lot.usage != LotUse::Ingredient) {
            return Ok(0);
        }
        let from_stock = |plan: &Plan| plan.demand.of(date, product).map_or(0, |l| l.from_stock);
        let was = from_stock(&self.plan);
        let whole = from_stock(&self.attempt(&[(at, more)])?.plan);
        let gained = (whole - was).clamp(0, more);
        if gained > 0 {
            let tried = self.attempt(&[(at, gained)])?;
            self.book = std::borrow::Cow::Owned(tried.book);
            self.plan = std::borrow::Cow::Owned(tried.plan);
        }
        Ok(gained)
    }

    fn extra_loads(&mut self, wanted: &[(usize, i64)]) -> Result<(), PlanError> {
        if wanted.is_empty() {
            return Ok(());
        }
        let left = self.left_over();
        let whole = self.extra(&left, wanted)?;
        if whole.found.is_empty() {
            for &(at, rest) in wanted {
                self.give_extra(at, rest, &whole.plan);
            }
            return Ok(());
        }
        // A line by itself is planned once.
        let alone = (wanted.len() == 1).then_some(whole.found);
        let mut given: Vec<(usize, i64)> = Vec::new();
        for &(at, rest) in wanted {
            let most = self.most_extra(&left, &given, (at, rest), alone.as_deref())?;
            given.push((at, self.useful_extra(at, most)));
        }
        given.retain(|&(_, pieces)| pieces > 0);
        let together = if given.is_empty() { None } else { Some(self.extra(&left, &given)?) };
        for &(at, rest) in wanted {
            let pieces = given.iter().find(|one| one.0 == at).map_or(0, |one| one.1);
            if let Some(together) = together.as_ref().filter(|_| pieces > 0)
                && together.found.is_empty()
            {
                self.give_extra(at, pieces, &together.plan);
            }
            let got = self.answers[at].sources.load;
            if got < rest {
                let found = match &alone {
                    Some(found) => found.first().cloned(),
                    None => self.extra(&left, &[(at, rest)])?.found.into_iter().next(),
                };
                self.too_late(at, found);
            }
        }
        Ok(())
    }

    /// Most pieces of a line beside those given that meet nothing lasting; what all of them
    /// meet may be known.
    fn most_extra(
        &self,
        left: &Book,
        given: &[(usize, i64)],
        (at, rest): (usize, i64),
        met: Option<&[Bound]>,
    ) -> Result<i64, PlanError> {
        let fits = |pieces: i64| -> Result<bool, PlanError> {
            let mut all = given.to_vec();
            all.push((at, pieces));
            let found = self.extra(left, &all)?.found;
            Ok(found.iter().all(Bound::is_under_minimum))
        };
        let all_fit = met.map(|met| met.iter().all(Bound::is_under_minimum));
        if all_fit.map_or_else(|| fits(rest), Ok)? {
            return Ok(rest);
        }
        // What one piece meets, more of them meet too.
        if !fits(1)? {
            return Ok(0);
        }
        let (mut fit, mut fail) = (1, rest);
        while fail - fit > 1 {
            let middle = part(fit, fail);
            if fits(middle)? { fit = middle } else { fail = middle }
        }
        Ok(fit)
    }

    fn useful_extra(&self, at: usize, most: i64) -> i64 {
        let sources = self.answers[at].sources;
        self.useful(at, sources.stock + sources.overs + most)
            .saturating_sub(sources.stock + sources.overs)
            .max(0)
    }

    fn give_extra(&mut self, at: usize, pieces: i64, plan: &Plan) {
        let steps = plan.batches.iter().filter_map(|batch| start_of(self.input.bakery, batch));
        let first = steps.min_by_key(|step| (step.at, step.item));
        let answer = &mut self.answers[at];
        answer.sources.load = pieces;
        answer.sources.load_of = Some(LoadOf::Extra);
        answer.extra_step = first;
    }

    /// What is not covered is too late, and why no extra load makes it.
    fn too_late(&mut self, at: usize, no_extra: Option<Bound>) {
        let Sources { stock, overs, load, .. } = self.answers[at].sources;
        let most = self.useful(at, stock + overs + load);
        let mut back = stock + overs + load - most;
        let answer = &mut self.answers[at];
        let Sources { stock, overs, load, .. } = &mut answer.sources;
        // What the customer cannot use goes back, what is not made yet first.
        for part in [load, overs, stock] {
            let less = back.min(*part);
            *part -= less;
            back -= less;
        }
        answer.at_most = answer.sources.held + most;
        answer.bound = answer.first_step.clone().map(Bound::TooLate);
        answer.no_extra = no_extra;
    }

    /// What the accepted plan leaves in stock.
    fn left_over(&self) -> Book {
        let bakery = self.input.bakery;
        let mut book = Book { orders: Vec::new(), ..self.book.clone().into_owned() };
        for stock in &self.plan.stock {
            for allocation in &stock.netting.allocations {
                for &(lot, micro) in &allocation.from {
                    book.lots[stock.lots[lot].lot as usize].balance_micro -= micro;
                }
            }
        }
        for draw in &self.plan.demand.stock_draws {
            let code = &bakery.product(draw.product).code;
            let mut pieces = draw.pieces.saturating_mul(MICRO);
            for lot in &mut book.lots {
                if lot.item == *code && lot.baked == Some(draw.baked) {
                    let taken = pieces.min(lot.balance_micro.max(0));
                    lot.balance_micro -= taken;
                    pieces -= taken;
                }
            }
        }
        // Finished pieces were given out before.
        let sold = |code: &crate::id::Code| bakery.index().product(code.as_str()).is_some();
        book.lots.retain(|lot| !(lot.usage != LotUse::Ingredient && sold(&lot.item)));
        book
    }

    /// Plans some pieces alone, on what is left.
    fn extra(&self, left: &Book, wanted: &[(usize, i64)]) -> Result<Extra, PlanError> {
        let super::CheckInput { bakery, now, until, proposal, .. } = self.input;
        let mut book = left.clone();
        for &(at, rest) in wanted {
            add_pieces(&self.input, &mut book, &self.line(at), proposal.service_date, rest);
        }
        let plan = plan(bakery, &book, PlanInput { now, until })?;
        let mut found = bounds(&self.input, &book, (&Plan::default(), &plan))?.found;
        // What is planned and not begun takes the extra mass with it.
        found.retain(|bound| match bound {
            Bound::Mixer { item, service_date, under: Some(_) } => {
                let planned = self.plan.batch(*service_date, *item);
                let begins: Option<Timestamp> = planned.and_then(|batch| batch.made_at);
                begins.is_none_or(|at| at < now)
            }
            _ => true,
        });
        Ok(Extra { plan, found })
    }
}
