//! Why less is made than is asked: made stock of the right age goes first.

use super::{Why, WhyValue};
use crate::{
    bakery::Bakery,
    plan::{Batch, made_stock::after_taking},
    ratio::{Overflow, Ratio},
};

impl Why {
    pub(super) fn spared(
        &mut self,
        bakery: &Bakery,
        batch: &Batch,
        asked: WhyValue,
        amount: &dyn Fn(Ratio) -> WhyValue,
    ) -> Result<(), Overflow> {
        if batch.from_stock.is_empty() {
            return Ok(());
        }
        let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
        let left = after_taking(bakery.formula_of(recipe))?;
        let mut new = vec![("asked".to_owned(), asked)];
        for taken in &batch.from_stock {
            let inputs = vec![
                ("taken of it".to_owned(), WhyValue::Mass(Ratio::whole(taken.used_ug.into()))),
                ("left of a gram after the losses of taking it".to_owned(), WhyValue::Number(left)),
            ];
            let rule = "a made lot of the right age spares its mass less what taking it loses";
            self.step(rule, inputs, amount(taken.credit));
            new.push(("spared by a made lot".to_owned(), amount(Ratio::ZERO.minus(taken.credit)?)));
        }
        self.step("still to be made: the sum of these", new, amount(batch.net));
        Ok(())
    }
}
