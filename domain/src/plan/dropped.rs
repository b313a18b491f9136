//! A load or a whole dough that is lost: what is left, and who gets it.

use super::{
    AskedBy, Batch, Plan, PlanError,
    check::{FirstStep, first_step_alone},
};
use crate::{
    bakery::Bakery,
    book::Book,
    order::OrderLine,
    ratio::Ratio,
    share::{Wish, share},
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// Which loads are lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DroppedInput {
    /// For which service date they were made.
    pub service_date: Date,
    /// Position of the item that they make.
    pub item: u32,
    /// How many, counted from the last; all if not said.
    pub loads: Option<i64>,
    /// The moment of asking.
    pub now: Timestamp,
}

/// What a customer gets of a product whose dough is lost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cut {
    /// Position of the product.
    pub product: u32,
    /// Position of the customer.
    pub customer: u32,
    /// What it ordered.
    pub ordered: i64,
    /// Its fair share of what is left.
    pub gets: i64,
}

/// What a lost load means.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Dropped {
    /// Loads that there were.
    pub loads: i64,
    /// Start pieces that are lost, by product.
    pub lost: Vec<(u32, i64)>,
    /// Who gets less.
    pub cuts: Vec<Cut>,
    /// When a new mix would have to begin, if that is still to come.
    pub remake: Option<FirstStep>,
}

/// Shares what is left of a dough, by tier of customers.
///
/// # Errors
/// [`PlanError`]
///
/// # Source
/// trade.md 5: a dropped load is a fair share that starts from the dough left.
pub fn dropped(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    input: DroppedInput,
) -> Result<Dropped, PlanError> {
    let DroppedInput { service_date, item, loads, now } = input;
    let Some(batch) = plan.batch(service_date, item) else { return Ok(Dropped::default()) };
    let there = batch.split.loads.max(1);
    let gone = loads.unwrap_or(there).clamp(0, there);
    let mut found = Dropped { loads: there, ..Dropped::default() };
    for (&product, &lost) in &lost_pieces(plan, batch, gone, there) {
        found.lost.push((product, lost));
        cut(bakery, book, plan, (service_date, product, lost), &mut found.cuts)?;
        let drops = book.orders.iter().filter(|line| {
            line.service_date == service_date && bakery.product(product).code == line.product
        });
        // Whoever is served first must have it first.
        let Some(drop) = drops.filter_map(|line| line.drop).min() else { continue };
        let step = first_step_alone(bakery, product, lost, service_date, drop)?;
        found.remake = match (found.remake.take(), step.filter(|step| step.at >= now)) {
            (Some(a), Some(b)) => Some(if a.at <= b.at { a } else { b }),
            (a, b) => a.or(b),
        };
    }
    Ok(found)
}

/// Start pieces behind lost loads, by product.
fn lost_pieces(plan: &Plan, batch: &Batch, gone: i64, there: i64) -> BTreeMap<u32, i64> {
    let mut lost = BTreeMap::new();
    if !batch.pieces_per_load.is_empty() {
        let kept = usize::try_from(there - gone).unwrap_or(0);
        for load in batch.pieces_per_load.iter().skip(kept) {
            for &(product, pieces) in &load.pieces {
                *lost.entry(product).or_default() += pieces;
            }
        }
        return lost;
    }
    let products = products_of(plan, batch);
    for line in &plan.demand.pieces {
        if line.service_date == batch.service_date && products.contains(&line.product) {
            // Nobody knows which load makes which pieces: a like part of each, rounded up.
            lost.insert(line.product, (line.start * gone + there - 1) / there);
        }
    }
    lost
}

/// Products that a batch goes into, through whatever is made of it.
#[must_use]
pub fn products_of(plan: &Plan, batch: &Batch) -> BTreeSet<u32> {
    let mut products = BTreeSet::new();
    users(plan, batch, &mut products);
    products
}

fn users(plan: &Plan, batch: &Batch, products: &mut BTreeSet<u32>) {
    for ask in &batch.asked {
        match ask.by {
            AskedBy::Product(product) => {
                products.insert(product);
            }
            AskedBy::Formula(item) => {
                if let Some(user) = plan.batch(batch.service_date, item) {
                    users(plan, user, products);
                }
            }
        }
    }
}

/// Shares what is left of a product among those who ordered it.
fn cut(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    (date, product, lost): (Date, u32, i64),
    cuts: &mut Vec<Cut>,
) -> Result<(), PlanError> {
    let Some(line) = plan.demand.of(date, product) else { return Ok(()) };
    let found = bakery.product(product);
    let kept = found.reject_percent.left_after_percent()?;
    let good = Ratio::whole((line.start - lost).max(0).into()).times(kept)?.floor();
    let good = i64::try_from(good).map_err(|_| crate::ratio::Overflow)?;
    let left = (line.from_stock + good - line.test_pieces).clamp(0, line.asked());
    let mut asked = asked(bakery, book, date, product);
    // Older orders first: they win ties.
    asked.sort_by_key(|(customer, line)| (line.taken_at, *customer));
    let wishes: Vec<Wish> = asked
        .iter()
        .map(|&(customer, line)| {
            let who = &bakery.lists().customers[customer as usize];
            Wish {
                tier: who.tier_of(line.wanted),
                pieces: line.pieces,
                minimum_useful: who.minimum_useful,
                all_or_nothing: who.all_or_nothing,
            }
        })
        .collect();
    let shares = share(left, found.sale_pack, &wishes)?;
    let mut of: BTreeMap<u32, (i64, i64)> = BTreeMap::new();
    for (&(customer, line), gets) in asked.iter().zip(shares) {
        let sum = of.entry(customer).or_default();
        *sum = (sum.0 + line.pieces, sum.1 + gets);
    }
    let fewer = of.into_iter().filter(|(_, (ordered, gets))| gets < ordered);
    cuts.extend(fewer.map(|(customer, (ordered, gets))| Cut { product, customer, ordered, gets }));
    Ok(())
}

fn asked<'a>(
    bakery: &Bakery,
    book: &'a Book,
    date: Date,
    product: u32,
) -> Vec<(u32, &'a OrderLine)> {
    let code = &bakery.product(product).code;
    let of = |line: &&OrderLine| line.service_date == date && line.product == *code;
    let known =
        |line: &'a OrderLine| Some((bakery.index().customer(line.customer.as_str())?, line));
    book.orders.iter().filter(of).filter_map(known).collect()
}

/// The book in which everybody has ordered no more than they get.
#[must_use]
pub fn book_after(bakery: &Bakery, book: &Book, service_date: Date, cuts: &[Cut]) -> Book {
    let mut book = book.clone();
    for cut in cuts {
        let customer = &bakery.lists().customers[cut.customer as usize].code;
        let product = &bakery.product(cut.product).code;
        let mut less = cut.ordered - cut.gets;
        // What nobody ordered gives first, then the newest lines.
        let mut lines: Vec<&mut OrderLine> = book
            .orders
            .iter_mut()
            .filter(|line| {
                line.service_date == service_date
                    && line.customer == *customer
                    && line.product == *product
            })
            .collect();
        lines.sort_by_key(|line| std::cmp::Reverse((line.wanted.is_ahead(), line.taken_at)));
        for line in lines {
            let given = less.min(line.pieces);
            line.pieces -= given;
            less -= given;
        }
    }
    book
}
