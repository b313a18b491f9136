//! Draws on stock, each at the instant of the step that takes it.

use super::{Answer, Oracle, amount, big, ceil, fruit, left_after, nearest, whole};
use domain::{
    formula::Made as MadeWhen,
    product::{At, MakeUp, MakeUpAmount, Per},
    quantity::Unit,
};
use jiff::{Timestamp, civil::Date};
use num_rational::BigRational;
use num_traits::Zero;
use std::collections::{BTreeMap, BTreeSet};

/// Which draw: when, what, for what, for which service date.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Need {
    /// The start of the step that takes it.
    pub at: Timestamp,
    /// What is taken.
    pub item: String,
    /// The formula or product it is for.
    pub user: String,
    /// The service date it is for.
    pub service_date: Date,
}

/// One use of a fruit's outputs: when, for which date, by what.
type FruitKey = (Timestamp, Date, String);

impl Oracle<'_> {
    pub(super) fn draw(&mut self, answer: &mut Answer) {
        // What is issued by (draw, whether it is counted).
        let mut issued: BTreeMap<(Need, bool), BigRational> = BTreeMap::new();
        self.issues_of_batches(answer, &mut issued);
        self.toppings(answer, &mut issued);
        let mut fruits: BTreeMap<FruitKey, BTreeMap<String, BigRational>> = BTreeMap::new();
        for ((need, counted), micro) in issued {
            if micro.is_zero() {
                continue;
            }
            if self.is_fruit_output(&need.item) {
                let key = (need.at, need.service_date, need.user.clone());
                let outputs = fruits.entry(key).or_default();
                *outputs.entry(need.item).or_insert_with(|| whole(0)) += micro;
            } else if self.items.get(need.item.as_str()).is_none_or(|item| item.stocked) {
                let drawn = self.drawn(&need.item, &micro, counted);
                *answer.needs.entry(need).or_insert_with(|| whole(0)) += drawn;
            }
        }
        self.fruits(&fruits, answer);
    }

    fn is_fruit_output(&self, item: &str) -> bool {
        self.world
            .draft
            .items
            .iter()
            .filter_map(|fruit| fruit.joint.as_ref())
            .any(|joint| joint.outputs.iter().any(|output| output.item.as_str() == item))
    }

    fn issues_of_batches(&self, answer: &Answer, issued: &mut BTreeMap<(Need, bool), BigRational>) {
        let mut built = BTreeSet::new();
        for ((service_date, code), made) in &answer.made {
            let MadeWhen::At { at, .. } = self.formulas[code.as_str()].made else { continue };
            let first_build = built.insert(code.clone());
            for issue in &made.issued {
                // The first build's seed is in stock; later ones were kept back.
                let from_stock = if issue.previous_batch {
                    first_build
                } else {
                    !self.formulas.contains_key(issue.item.as_str())
                };
                if from_stock {
                    let need = Need {
                        at: self.instant(*service_date, at),
                        item: issue.item.clone(),
                        user: code.clone(),
                        service_date: *service_date,
                    };
                    *issued.entry((need, issue.counted)).or_insert_with(|| whole(0)) +=
                        &issue.amount;
                }
            }
        }
    }

    /// One weighing per product and date, on start pieces; counted things are exact.
    fn toppings(&mut self, answer: &Answer, issued: &mut BTreeMap<(Need, bool), BigRational>) {
        let usual = At { day: 0, time: jiff::civil::time(4, 0, 0, 0) };
        for ((service_date, code), pieces) in &answer.pieces {
            let Some(product) = self.products().iter().find(|found| found.code.as_str() == code)
            else {
                continue;
            };
            for line in &product.make_up {
                let MakeUp::Item { item, amount: MakeUpAmount::Amount(each), per, at, .. } = line
                else {
                    continue;
                };
                if self.formulas.contains_key(item.as_str()) {
                    continue;
                }
                let times = match per {
                    Per::Piece => pieces.start,
                    Per::Tray => pieces.trays.unwrap_or(0),
                };
                let counted = each.unit() == Unit::Each;
                let taken = if counted {
                    whole(ceil(&(amount(*each) * whole(times))))
                } else {
                    let exact = self.grams(item.as_str(), *each) * whole(times);
                    if exact.is_zero() {
                        continue;
                    }
                    self.weigh_amount(item.as_str(), &exact, &whole(1)).weigh
                };
                let need = Need {
                    at: self.instant(*service_date, at.unwrap_or(usual)),
                    item: item.to_string(),
                    user: code.clone(),
                    service_date: *service_date,
                };
                *issued.entry((need, counted)).or_insert_with(|| whole(0)) += taken;
            }
        }
    }

    /// What leaves stock, in the item's base unit.
    fn drawn(&self, item: &str, issue: &BigRational, counted: bool) -> BigRational {
        let Some(found) = self.items.get(item) else { return issue.clone() };
        let lost = issue / left_after(found.weighing_loss_percent);
        let tenth = whole(1) / whole(10);
        match found.base_unit {
            Unit::Each if counted => whole(ceil(&lost)),
            Unit::Each => {
                let each = found.each.map_or_else(|| whole(1), amount);
                whole(ceil(&(lost / each)))
            }
            Unit::Millilitre => {
                nearest(&(lost / found.density.map_or_else(|| whole(1), big)), &tenth)
            }
            Unit::Gram if found.weighing_loss_percent.is_zero() => issue.clone(),
            Unit::Gram => nearest(&lost, &tenth),
        }
    }

    fn fruits(
        &self,
        uses: &BTreeMap<FruitKey, BTreeMap<String, BigRational>>,
        answer: &mut Answer,
    ) {
        for fruit in self.world.draft.items.iter().filter(|item| item.joint.is_some()) {
            let Some(joint) = &fruit.joint else { continue };
            let wanted = |outputs: &BTreeMap<String, BigRational>, first: bool| -> BigRational {
                joint
                    .outputs
                    .iter()
                    .filter(|output| (output.item == joint.first) == first)
                    .filter_map(|output| outputs.get(output.item.as_str()).cloned())
                    .sum()
            };
            let events: Vec<(Timestamp, BigRational, BigRational)> = uses
                .iter()
                .map(|((at, ..), outputs)| (*at, wanted(outputs, true), wanted(outputs, false)))
                .collect();
            let counts = fruit::draws(joint, &events);
            for (((at, service_date, user), _), count) in uses.iter().zip(counts) {
                if count > 0 {
                    let need = Need {
                        at: *at,
                        item: fruit.code.to_string(),
                        user: user.clone(),
                        service_date: *service_date,
                    };
                    *answer.needs.entry(need).or_insert_with(|| whole(0)) += whole(count);
                }
            }
            let mut dates: BTreeMap<Date, BTreeMap<&str, BigRational>> = BTreeMap::new();
            for ((_, service_date, _), outputs) in uses {
                for (output, grams) in outputs {
                    let sums = dates.entry(*service_date).or_default();
                    *sums.entry(output).or_insert_with(|| whole(0)) += grams;
                }
            }
            for (date, sums) in dates {
                let fruits_for = |output: &domain::item::JointOutput| {
                    sums.get(output.item.as_str())
                        .map_or(0, |sum| ceil(&(sum / amount(output.yields))))
                };
                let most = joint.outputs.iter().map(fruits_for).max().unwrap_or(0);
                answer.fruits.insert((fruit.code.to_string(), date), most);
            }
        }
    }
}
