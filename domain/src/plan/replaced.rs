//! What a substitute changes on a date: labels, customers, needs. Computed when it is used.

use super::{NeedUser, Plan, PlanError, PlanInput, plan, shortages::users};
use crate::{
    allergens::{Swaps, allergens},
    bakery::{Bakery, SwapError},
    book::Book,
    sign_off::SignOff,
};
use std::collections::BTreeSet;

/// What a product of the date would contain more.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Added {
    /// Position of the product.
    pub product: u32,
    /// What it contains and did not before.
    pub contains: BTreeSet<String>,
    /// What it may contain and did not before.
    pub may_contain: BTreeSet<String>,
    /// Items of it whose allergens nobody knows, and that were not in it before.
    pub unknown: BTreeSet<String>,
}

/// How an item stands before and after.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moved {
    /// Position of the item.
    pub item: u32,
    /// What the horizon needs of it, before and after, in millionths.
    pub needed_micro: (i64, i64),
    /// What of that is short, before and after, in millionths.
    pub short_micro: (i64, i64),
}

/// What a substitute changes.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Replaced {
    /// Products that it goes into, with what is new in each.
    pub products: Vec<Added>,
    /// Whether labels change.
    pub label_change: bool,
    /// Orders of customers who avoid what is new: position of customer and product.
    pub excluded: Vec<(u32, u32)>,
    /// What is replaced, then what is used instead.
    pub items: Vec<Moved>,
    /// Formulas in which released loads keep what they were released with.
    pub released: Vec<u32>,
}

impl Replaced {
    /// All that is new in any product: contains, may contain, not known.
    #[must_use]
    pub fn adds(&self) -> [BTreeSet<String>; 3] {
        let all = |of: fn(&Added) -> &BTreeSet<String>| {
            self.products.iter().flat_map(|product| of(product).iter().cloned()).collect()
        };
        [all(|one| &one.contains), all(|one| &one.may_contain), all(|one| &one.unknown)]
    }
}

/// Why it cannot be told.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReplacedError {
    /// The substitute cannot be used so.
    #[error(transparent)]
    Swap(#[from] SwapError),
    /// There is no plan of it.
    #[error(transparent)]
    Plan(#[from] PlanError),
}

/// What a substitute would change in a plan.
///
/// A substitute whose allergens every product has already changes nothing for its eater;
/// a new may-contain changes the label (readings R20). Unknown excludes whoever avoids
/// anything.
///
/// # Errors
/// [`ReplacedError`]
pub fn replaced(
    bakery: &Bakery,
    book: &Book,
    before: &Plan,
    signed: &SignOff,
    input: PlanInput,
) -> Result<Replaced, ReplacedError> {
    let after = bakery.with_sign_offs(std::slice::from_ref(signed))?;
    let planned = plan(&after, book, input)?;
    let date = signed.service_date;
    let mut found = Replaced::default();
    for product in goes_into(bakery, before, signed) {
        let none = Swaps::new();
        let was = allergens(bakery, bakery.recipes(date), product, &none);
        let now = allergens(&after, after.recipes(date), product, &none);
        let may = now.may_contain.difference(&was.may_contain);
        found.products.push(Added {
            product,
            contains: now.contains.difference(&was.contains).cloned().collect(),
            may_contain: may.filter(|new| !was.contains.contains(*new)).cloned().collect(),
            unknown: now.unknown.difference(&was.unknown).map(ToString::to_string).collect(),
        });
    }
    let lists = bakery.lists();
    let substitute = lists.substitutes.iter().find(|one| one.code == signed.substitute);
    found.label_change = substitute.is_some_and(|one| one.label_change)
        || found.adds().iter().any(|added| !added.is_empty());
    found.excluded = excluded(bakery, book, signed, &found.products);
    let codes = substitute
        .into_iter()
        .flat_map(|one| std::iter::once(&one.item).chain(one.uses.iter().map(|(code, _)| code)));
    for item in codes.filter_map(|code| bakery.index().item(code.as_str())) {
        if bakery.item(item).stocked {
            found.items.push(moved(before, &planned, item));
        }
    }
    for code in &signed.used_in {
        let item = bakery.index().item(code.as_str());
        let held =
            item.filter(|&item| before.mixes(date, item).any(|batch| !batch.held.is_empty()));
        found.released.extend(held);
    }
    Ok(found)
}

/// Products of the date that the named formulas and products go into.
fn goes_into(bakery: &Bakery, plan: &Plan, signed: &SignOff) -> BTreeSet<u32> {
    let mut hit = BTreeSet::new();
    for code in &signed.used_in {
        let index = bakery.index();
        let user = match (index.product(code.as_str()), index.item(code.as_str())) {
            (Some(product), _) => NeedUser::Product(product),
            (None, Some(item)) => NeedUser::Formula(item),
            (None, None) => continue,
        };
        users(plan, signed.service_date, user, &mut hit, &mut BTreeSet::new());
    }
    let mut products: BTreeSet<u32> = hit.into_iter().map(|(_, product)| product).collect();
    // Products taken by others, such as day-old ones, carry it on.
    let lines = plan.demand.pieces.iter().filter(|line| line.service_date == signed.service_date);
    for line in lines {
        if products.contains(&line.product) {
            products.extend(line.taken_by.iter().map(|&(taker, _, _)| taker));
        }
    }
    products
}

fn excluded(bakery: &Bakery, book: &Book, signed: &SignOff, products: &[Added]) -> Vec<(u32, u32)> {
    let mut found = BTreeSet::new();
    for line in book.orders.iter().filter(|line| line.service_date == signed.service_date) {
        let product = bakery.index().product(line.product.as_str());
        let customer = bakery.index().customer(line.customer.as_str());
        let (Some(product), Some(customer)) = (product, customer) else { continue };
        let Some(added) = products.iter().find(|added| added.product == product) else { continue };
        let avoids = &bakery.lists().customers[customer as usize].avoids;
        let new = |one: &String| added.contains.contains(one) || added.may_contain.contains(one);
        if avoids.iter().any(new) || (!added.unknown.is_empty() && !avoids.is_empty()) {
            found.insert((customer, product));
        }
    }
    found.into_iter().collect()
}

fn moved(before: &Plan, after: &Plan, item: u32) -> Moved {
    let of = |plan: &Plan| {
        plan.stock_of(item).map_or((0, 0), |stock| {
            let needed: i64 = stock.needs.iter().map(|&at| plan.needs[at as usize].micro).sum();
            (needed, stock.netting.short_micro)
        })
    };
    let ((needed, short), (needs, lacks)) = (of(before), of(after));
    Moved { item, needed_micro: (needed, needs), short_micro: (short, lacks) }
}

/// Formulas and products of a date that take an item of stock by weight.
#[must_use]
pub fn takers(bakery: &Bakery, plan: &Plan, signed: &SignOff) -> Vec<crate::id::Code> {
    let lists = bakery.lists();
    let Some(found) = lists.substitutes.iter().find(|one| one.code == signed.substitute) else {
        return Vec::new();
    };
    let item = bakery.index().item(found.item.as_str());
    let mut codes = BTreeSet::new();
    for need in plan.needs.iter().filter(|need| Some(need.item) == item && !need.counted) {
        if need.service_date == signed.service_date {
            codes.insert(match need.user {
                NeedUser::Formula(item) => bakery.item(item).code.clone(),
                NeedUser::Product(product) => bakery.product(product).code.clone(),
            });
        }
    }
    codes.retain(|code| found.only_in.is_empty() || found.only_in.contains(code));
    codes.into_iter().collect()
}
