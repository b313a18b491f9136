//! Planned cost: this plan's weighed amounts, from the lots that it proposes, at what they cost.
//!
//! What leaves stock for a batch or for the pieces of a product is priced lot by lot, then
//! every batch is charged to whoever asks for it, by how much they ask: all that the plan
//! takes from stock stands in its products, and nothing stands there twice.

use super::{Cost, CostPart, Costs, MadeCost, ProductCost, Terms, prices::Prices};
use crate::{
    bakery::{Bakery, Driver},
    demand::PieceLine,
    figure::Figure,
    plan::{NeedUser, Plan},
    ratio::Ratio,
};
use jiff::civil::Date;
use std::collections::BTreeMap;

type Parts = Vec<(CostPart, Cost)>;

/// What the plan's own lots make of everything; `lot_price` gives what a millionth of a lot of
/// the book cost, by its position.
///
/// What no lot covers is priced by the list of its service date. What made stock spares, and
/// loads that are weighed already, have no lot in the plan: their formula is named as missing.
#[must_use]
pub fn planned_costs(
    bakery: &Bakery,
    plan: &Plan,
    lot_price: &dyn Fn(u32) -> Option<Ratio>,
) -> Costs {
    let mut sums = Sums { bakery, plan, batches: BTreeMap::new(), products: BTreeMap::new() };
    sums.take_from_stock(lot_price);
    let made = sums.charge();
    sums.take_products();
    let products = plan.demand.pieces.iter().filter_map(|line| sums.product(line)).collect();
    Costs { products, made }
}

struct Sums<'a> {
    bakery: &'a Bakery,
    plan: &'a Plan,
    /// By date and item that is made.
    batches: BTreeMap<(Date, u32), Cost>,
    /// By date and product, of all start pieces.
    products: BTreeMap<(Date, u32), Parts>,
}

impl Sums<'_> {
    /// Every need at what its lots cost.
    fn take_from_stock(&mut self, lot_price: &dyn Fn(u32) -> Option<Ratio>) {
        let mut lists: BTreeMap<Date, Prices<'_>> = BTreeMap::new();
        for stock in &self.plan.stock {
            for (&at, allocation) in stock.needs.iter().zip(&stock.netting.allocations) {
                let need = &self.plan.needs[at as usize];
                let mut cost = Cost::default();
                for &(lot, micro) in &allocation.from {
                    let price = lot_price(stock.lots[lot].lot).map(Figure::from);
                    let each = price.map_or_else(|| Cost::unknown(stock.item), Cost::of);
                    cost.add(&each, &Figure::whole(micro));
                }
                if allocation.unmet_micro > 0 {
                    let list = lists.entry(need.service_date).or_insert_with(|| {
                        Prices::new(self.bakery, need.service_date, Terms::default())
                    });
                    let each = list.drawn(stock.item);
                    cost.add(&each, &Figure::whole(allocation.unmet_micro));
                }
                self.add(need.user, need.service_date, stock.item, &cost);
            }
        }
    }

    fn add(&mut self, user: NeedUser, date: Date, item: u32, cost: &Cost) {
        let one = Figure::whole(1);
        match user {
            NeedUser::Formula(made) => {
                self.batches.entry((date, made)).or_default().add(cost, &one);
            }
            NeedUser::Product(product) => {
                let parts = self.products.entry((date, product)).or_default();
                super::add_part(parts, CostPart::Item(item), cost, &one);
            }
        }
    }

    /// Charges every batch to who asks for it, what is used before what uses it.
    fn charge(&mut self) -> Vec<MadeCost> {
        let mut made = Vec::new();
        let mut done: Vec<(Date, u32)> = Vec::new();
        for batch in self.plan.batches.iter().rev() {
            let key = (batch.service_date, batch.item);
            // Several mixes of one dough share their costs.
            if done.contains(&key) {
                continue;
            }
            done.push(key);
            let mixes: Vec<_> = self.plan.mixes(batch.service_date, batch.item).collect();
            let mut cost = self.batches.remove(&key).unwrap_or_default();
            if mixes.iter().any(|mix| !mix.from_stock.is_empty() || !mix.held.is_empty()) {
                cost.missing.insert(batch.item);
            }
            let asked = mixes.iter().flat_map(|mix| &mix.asked);
            let asks: Vec<_> = asked.map(|ask| (ask.by, Figure::from(ask.amount))).collect();
            let all: Figure = asks.iter().map(|(_, amount)| amount).sum();
            if all.is_zero() {
                continue;
            }
            for (by, amount) in asks {
                let share = cost.times(&amount.over(&all));
                self.add(by.into(), batch.service_date, batch.item, &share);
            }
            let recipes = self.bakery.recipes(batch.service_date);
            let driver = recipes.recipes[batch.recipe as usize].driver;
            made.push(MadeCost {
                item: batch.item,
                service_date: batch.service_date,
                each: cost.times(&Figure::whole(1).over(&all)),
                net: all,
                by_batch: matches!(driver, Driver::Batch { .. }),
            });
        }
        made.reverse();
        made
    }

    /// Products in other products: a good piece of theirs; of a day outside the plan, of today.
    fn take_products(&mut self) {
        let mut lines: Vec<&PieceLine> = self.plan.demand.pieces.iter().collect();
        // What is taken comes before what takes it: by day, and within it by the recipes.
        let rank = |line: &PieceLine| {
            let order = &self.bakery.recipes(line.service_date).product_order;
            order.iter().position(|&product| product == line.product)
        };
        lines.sort_by_cached_key(|line| (line.service_date, std::cmp::Reverse(rank(line))));
        let draws = &self.plan.demand.stock_draws;
        for line in lines {
            let Some(found) = self.product(line) else { continue };
            let each = found.per_good_piece;
            let taken = line.taken_by.iter().copied();
            let of_day = draws.iter().filter(|draw| {
                (draw.product, draw.service_date) == (line.product, line.service_date)
            });
            let stood_for = of_day.map(|draw| (draw.taken_by, draw.service_date, draw.pieces));
            for (user, date, pieces) in taken.chain(stood_for) {
                let parts = self.products.entry((date, user)).or_default();
                let part = CostPart::Product(line.product);
                super::add_part(parts, part, &each, &Figure::whole(pieces));
            }
        }
    }

    fn product(&self, line: &PieceLine) -> Option<ProductCost> {
        if line.good_planned <= 0 || line.start <= 0 {
            return None;
        }
        let all = self.products.get(&(line.service_date, line.product))?;
        let (start, good) = (Figure::whole(line.start), Figure::whole(line.good_planned));
        let mut per_good_piece = Cost::default();
        for (_, part) in all {
            per_good_piece.add(part, &Figure::whole(1).over(&good));
        }
        let begun =
            |(of, cost): &(CostPart, Cost)| (*of, cost.times(&Figure::whole(1).over(&start)));
        Some(ProductCost {
            product: line.product,
            service_date: line.service_date,
            per_good_piece,
            parts: all.iter().map(begun).collect(),
            start: line.start,
            good: line.good_planned,
        })
    }
}
