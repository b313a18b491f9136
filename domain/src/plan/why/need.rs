//! Why so much leaves stock.

use super::{Why, WhyOf, WhyValue};
use crate::{
    bakery::Bakery,
    plan::{Need, NeedUser, Plan, Topping},
    quantity::Unit,
    ratio::{Overflow, Ratio},
};

impl Why {
    pub(super) fn need(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        need: &Need,
    ) -> Result<bool, Overflow> {
        let item = bakery.item(need.item);
        let drawn = WhyValue::InBaseUnit(Ratio::whole(need.micro.into()), item.base_unit);
        if item.joint.is_some() {
            self.fruit(bakery, plan, need, drawn);
            return Ok(true);
        }
        let issue =
            if need.counted { WhyValue::Count(need.issue) } else { WhyValue::Mass(need.issue) };
        let mut inputs = vec![("weighed or counted".to_owned(), issue)];
        if !item.weighing_loss_percent.is_zero() {
            let loss = WhyValue::Percent(item.weighing_loss_percent);
            inputs.push(("weighing loss".to_owned(), loss));
        }
        let by_unit = item.grams_per_base_unit().filter(|_| item.base_unit != Unit::Gram);
        if let Some(grams) = by_unit.filter(|_| !need.counted) {
            inputs.push((format!("grams in one {}", item.base_unit), WhyValue::Number(grams)));
        }
        let rule = "what leaves stock: weighed / (1 - weighing loss), whole pieces up";
        self.step(rule, inputs, drawn);
        match need.user {
            NeedUser::Product(product) => {
                self.because.push(WhyOf::Topping(need.service_date, product, need.item));
            }
            NeedUser::Formula(made) => {
                let batch = plan.batch(need.service_date, made);
                if batch.is_some_and(|batch| !batch.groups.is_empty()) {
                    self.because.push(WhyOf::Line(need.service_date, made, 1, need.item));
                }
                self.because.push(WhyOf::Batch(need.service_date, made));
            }
        }
        Ok(true)
    }

    /// Whole fruits for what a user takes of their outputs.
    fn fruit(&mut self, bakery: &Bakery, plan: &Plan, need: &Need, drawn: WhyValue) {
        let outputs = bakery.item(need.item).joint.iter().flat_map(|joint| &joint.outputs);
        let mut inputs = Vec::new();
        for output in outputs {
            let Some(item) = bakery.index().item(output.item.as_str()) else { continue };
            let of = match need.user {
                NeedUser::Product(product) => {
                    let same = |topping: &&Topping| {
                        (topping.service_date, topping.product, topping.item)
                            == (need.service_date, product, item)
                    };
                    plan.toppings.iter().find(same).map(|topping| {
                        let taken = Ratio::whole(topping.weighed.micro.into());
                        (taken, WhyOf::Topping(need.service_date, product, item))
                    })
                }
                NeedUser::Formula(made) => {
                    let batch = plan.batch(need.service_date, made);
                    let mut issues = batch.into_iter().flat_map(|batch| &batch.issues);
                    issues
                        .find(|issue| issue.item == item)
                        .map(|issue| (issue.micro, WhyOf::Line(need.service_date, made, 1, item)))
                }
            };
            if let Some((taken, of)) = of {
                inputs.push((format!("{} taken", output.item), WhyValue::Mass(taken)));
                let yields = WhyValue::Mass(output.yields.ratio());
                inputs.push((format!("{} in one fruit", output.item), yields));
                self.because.push(of);
            }
        }
        let rule = "whole fruits: taken / in one fruit, rounded up, the larger counts; \
                    spare skin and juice of fruits zested before are used first";
        self.step(rule, inputs, drawn);
    }
}
