//! Why less is made than is asked: made stock of the right age goes first.

use super::{Why, WhyRule, WhyValue, WhyWord};
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
        let mut new = vec![(WhyWord::Asked.into(), asked)];
        for taken in &batch.from_stock {
            let inputs = vec![
                (WhyWord::TakenOfLot.into(), WhyValue::Mass(Ratio::whole(taken.used_ug.into()))),
                (WhyWord::LeftOfGram.into(), WhyValue::Number(left)),
            ];
            let rule = WhyRule::Spared;
            self.step(rule, inputs, amount(taken.credit));
            new.push((WhyWord::SparedByLot.into(), amount(Ratio::ZERO.minus(taken.credit)?)));
        }
        self.step(WhyRule::StillToMake, new, amount(batch.net));
        Ok(())
    }
}
