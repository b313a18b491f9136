//! When it is too late to order: two ways to cut, side by side.
//!
//! What a piece takes of something short is read off the plan, rounded up. Each way to cut
//! is then planned anew, and where roundings or whole loads leave something short after
//! all, there is taken to be that much less of it and it is cut again.

mod scarce;

pub use scarce::ScarceItem;

use super::{Plan, PlanError, PlanInput, plan};
use crate::{
    bakery::Bakery,
    book::Book,
    order::Wanted,
    ratio::Overflow,
    share::{Best, Breach, Claim, Claims, best, fair},
};
use jiff::civil::{Date, Time};
use scarce::Kinds;

/// How often a way to cut is planned anew before what is left short is just told.
const TRIES_MAX: usize = 4;

/// Service dates that are looked at together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CutInput {
    /// The moment of asking, and how far the plan looks.
    pub plan: PlanInput,
    /// First service date whose orders may be cut.
    pub from: Date,
    /// Last such date.
    pub to: Date,
}

/// Orders of one customer, product and drop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutLine {
    /// Position of the customer.
    pub customer: u32,
    /// Position of the product.
    pub product: u32,
    /// For which service date.
    pub service_date: Date,
    /// For which drop.
    pub drop: Option<Time>,
    /// Why they are wanted: orders, whatever they come out of, stand in one line.
    pub wanted: Wanted,
    /// Pieces that are asked.
    pub asked: i64,
}

impl CutLine {
    /// Whether two lines are the same but for the pieces that they ask.
    fn is_same(&self, other: &Self) -> bool {
        Self { asked: other.asked, ..self.clone() } == *other
    }
}

/// One way to cut.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Way {
    /// Pieces of each line.
    pub kept: Vec<i64>,
    /// Its worth, all tiers together.
    pub worth: i128,
    /// What the plan of it leaves short all the same: position of the item, millionths.
    pub still_short: Vec<(u32, i64)>,
    /// For each line that is cut, what stands in the way of more; none for the others.
    pub stops: Vec<Option<Stop>>,
}

/// What stands in the way of more pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stop {
    /// Something scarce, by position in [`Cuts::scarce`].
    Scarce {
        /// Which.
        at: u32,
        /// What is left of it, in millionths.
        left_micro: i128,
        /// What the next pieces that it could be given would take, in millionths.
        next_micro: i128,
        /// How many pieces these are.
        pieces: i64,
    },
    /// A dough would be under its mixer's minimum, by position of the item.
    Dough(u32),
    /// Packs and useful numbers.
    Pieces,
}

/// Two ways to cut what cannot all be made.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cuts {
    /// The orders that take something scarce, older first.
    pub lines: Vec<CutLine>,
    /// What is scarce, in order of time.
    pub scarce: Vec<ScarceItem>,
    /// The fair way.
    pub fair: Way,
    /// Doughs that it leaves out whole, by position of item and date.
    pub left_out: Vec<(u32, Date)>,
    /// The way that keeps the most.
    pub best: Way,
    /// How good that is known to be.
    pub proof: Best,
    /// Products without a price: then worth is counted in pieces, not in money.
    pub without_price: Vec<u32>,
}

/// Cuts the orders of some service dates to what there is; none if nothing is short.
///
/// # Errors
/// [`PlanError`]
///
/// # Source
/// trade.md 5, who is cut; readings R21.
pub fn cuts(
    bakery: &Bakery,
    book: &Book,
    of: &Plan,
    input: CutInput,
) -> Result<Option<Cuts>, PlanError> {
    let kinds = Kinds::new(bakery, of, input)?;
    if kinds.scarce.is_empty() {
        return Ok(None);
    }
    let mut found = Cuts { scarce: kinds.scarce.clone(), ..Cuts::default() };
    found.lines = lines(bakery, book, &kinds, input);
    let products = found.lines.iter().map(|line| line.product);
    found.without_price =
        products.filter(|&product| bakery.product(product).price.is_none()).collect();
    found.without_price.sort_unstable();
    found.without_price.dedup();
    let mut claims = kinds.claims();
    claims.claims = found.lines.iter().map(|line| claim(bakery, &kinds, &found, line)).collect();

    let again = Again { bakery, book, input, lines: &found.lines, kinds: &kinds };
    let (mut shared, mut most) = (crate::share::Fair::default(), Best::default());
    let way = again.settle(&claims, |claims| {
        shared = fair(claims)?;
        Ok(shared.kept.clone())
    })?;
    found.fair = way;
    found.left_out = shared.left_out.iter().map(|&at| kinds.doughs[at as usize]).collect();
    // The fair cut that holds in the plan is a start that holds for the best one too.
    let start = found.fair.kept.clone();
    found.best = again.settle(&claims, |claims| {
        most = best(claims, &start)?;
        Ok(most.kept.clone())
    })?;
    found.proof = most;
    Ok(Some(found))
}

fn lines(bakery: &Bakery, book: &Book, kinds: &Kinds, input: CutInput) -> Vec<CutLine> {
    let mut orders: Vec<_> = book
        .orders
        .iter()
        .filter(|line| line.pieces > 0 && (input.from..=input.to).contains(&line.service_date))
        .filter_map(|line| {
            let product = bakery.index().product(line.product.as_str())?;
            let customer = bakery.index().customer(line.customer.as_str())?;
            kinds.of(line.service_date, product)?;
            let wanted = if line.wanted.is_ahead() { line.wanted } else { Wanted::Ordered };
            let key = (line.service_date, customer, product, line.drop, wanted);
            let age = (wanted, line.taken_at.is_none(), line.taken_at);
            Some((age, key, line.pieces))
        })
        .collect();
    orders.sort_by_key(|&(age, key, _)| (age, key));
    let mut lines: Vec<CutLine> = Vec::new();
    for (_, (service_date, customer, product, drop, wanted), pieces) in orders {
        let line = CutLine { customer, product, service_date, drop, wanted, asked: 0 };
        let at = lines.iter().position(|held| held.is_same(&line));
        let at = at.unwrap_or_else(|| {
            lines.push(line);
            lines.len() - 1
        });
        lines[at].asked = lines[at].asked.saturating_add(pieces);
    }
    lines
}

fn claim(bakery: &Bakery, kinds: &Kinds, found: &Cuts, line: &CutLine) -> Claim {
    let customer = &bakery.lists().customers[line.customer as usize];
    let product = bakery.product(line.product);
    let least = match line.wanted.is_ahead() {
        true => 1,
        false if customer.all_or_nothing => line.asked,
        false => customer.minimum_useful,
    };
    let worth = match product.price {
        Some(price) if found.without_price.is_empty() => price.minor.max(0),
        _ => 1,
    };
    Claim {
        kind: kinds.of(line.service_date, line.product).unwrap_or(0),
        tier: customer.tier_of(line.wanted),
        pieces: line.asked,
        pack: product.sale_pack.max(1),
        least: least.clamp(1, line.asked.max(1)),
        worth,
    }
}

/// What the orders of a customer, product and drop get at most by a way to cut, with what is
/// made ahead for it, where that is less than is asked.
#[must_use]
pub fn less(lines: &[CutLine], kept: &[i64]) -> Vec<(CutLine, i64)> {
    let mut all: Vec<(CutLine, i64)> = Vec::new();
    for (line, pieces) in lines.iter().zip(kept) {
        let whole = CutLine { wanted: Wanted::Ordered, ..line.clone() };
        match all.iter_mut().find(|held| held.0.is_same(&whole)) {
            Some((held, sum)) => {
                held.asked = held.asked.saturating_add(line.asked);
                *sum = sum.saturating_add(*pieces);
            }
            None => all.push((whole, *pieces)),
        }
    }
    all.retain(|(line, pieces)| *pieces < line.asked);
    all
}

/// The book with lines cut to some pieces.
#[must_use]
pub fn book_after(bakery: &Bakery, book: &Book, lines: &[CutLine], kept: &[i64]) -> Book {
    let cap = |(line, pieces): (CutLine, i64)| crate::decision::Cap {
        decision: String::new(),
        customer: bakery.lists().customers[line.customer as usize].code.clone(),
        service_date: line.service_date,
        product: bakery.product(line.product).code.clone(),
        drop: line.drop,
        pieces,
        asked: 0,
        who: String::new(),
        note: String::new(),
    };
    let mut after = book.clone();
    after.caps = less(lines, kept).into_iter().map(cap).collect();
    crate::decision::apply(&mut after);
    after.caps.clone_from(&book.caps);
    after
}

struct Again<'a> {
    bakery: &'a Bakery,
    book: &'a Book,
    input: CutInput,
    lines: &'a [CutLine],
    kinds: &'a Kinds,
}

impl Again<'_> {
    /// Cuts, plans what is left, and cuts again while something is short after all.
    fn settle(
        &self,
        claims: &Claims,
        mut cut: impl FnMut(&Claims) -> Result<Vec<i64>, Overflow>,
    ) -> Result<Way, PlanError> {
        let mut tighter = claims.clone();
        let mut way = Way::default();
        let items = self.kinds.items();
        for tried in 0..TRIES_MAX {
            if tried == TRIES_MAX / 2 {
                // What was freed does not help where it is short: then need by need.
                tighter.scarce.extend(self.kinds.alone.iter().cloned());
            }
            way.kept = cut(&tighter)?;
            let book = book_after(self.bakery, self.book, self.lines, &way.kept);
            let planned = plan(self.bakery, &book, self.input.plan)?;
            way.still_short = scarce::short(self.bakery, &planned, self.input)?;
            way.still_short.retain(|(item, _)| items.contains(item));
            if way.still_short.is_empty() {
                break;
            }
            for (scarce, own) in tighter.scarce.iter_mut().zip(self.kinds.scarce.iter().cycle()) {
                let short = way.still_short.iter().find(|(item, _)| *item == own.item);
                let less = short.map_or(0, |(_, micro)| *micro);
                scarce.capacity = scarce.capacity.saturating_sub(less).max(0);
            }
        }
        for tier in claims.tiers() {
            way.worth = way.worth.saturating_add(claims.worth(&way.kept, tier)?);
        }
        way.stops = (0..way.kept.len())
            .map(|at| self.stop(&tighter, &way.kept, at))
            .collect::<Result<_, _>>()?;
        Ok(way)
    }

    /// What stands in the way of more pieces of a line that is cut.
    fn stop(&self, claims: &Claims, kept: &[i64], at: usize) -> Result<Option<Stop>, Overflow> {
        let claim = &claims.claims[at];
        let Some(more) = claim.above(kept[at]) else { return Ok(None) };
        let mut tried = kept.to_vec();
        tried[at] = more;
        Ok(Some(match claims.breach(&tried)? {
            Some(Breach::Scarce(found)) => {
                let scarce = &claims.scarce[found];
                let left_micro = claims.left(kept, scarce)?;
                Stop::Scarce {
                    at: u32::try_from(found % self.kinds.scarce.len()).map_err(|_| Overflow)?,
                    left_micro,
                    next_micro: left_micro - claims.left(&tried, scarce)?,
                    pieces: more - kept[at],
                }
            }
            Some(Breach::Dough(found)) => Stop::Dough(self.kinds.doughs[found].0),
            Some(Breach::Pieces(_)) | None => Stop::Pieces,
        }))
    }
}
