//! Why so much leaves stock.

use super::{Why, WhyInput, WhyOf, WhyRule, WhyValue, WhyWord};
use crate::{
    bakery::Bakery,
    plan::{Batch, FruitDrawLine, Need, NeedUser, Plan},
    quantity::Unit,
    ratio::{Overflow, Ratio},
};

impl Why {
    /// All that a user takes of an item for a date: its drafts, and each released load.
    pub(super) fn needs(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        needs: &[&Need],
    ) -> Result<bool, Overflow> {
        let Some(first) = needs.first() else { return Ok(false) };
        let unit = bakery.item(first.item).base_unit;
        let (mut sum, mut inputs) = (0_i64, Vec::new());
        for need in needs {
            let drawn = WhyValue::InBaseUnit(Ratio::whole(need.micro.into()), unit);
            match need.load {
                None => {
                    self.need(bakery, plan, need)?;
                    inputs.push((WhyWord::Drafts.into(), drawn));
                }
                Some(load) => {
                    inputs.push((WhyInput::LoadAsReleased(load), drawn));
                    self.because.push(WhyOf::Batch(need.service_date, made_by(need)));
                }
            }
            sum = sum.checked_add(need.micro).ok_or(Overflow)?;
        }
        if needs.len() > 1 || first.load.is_some() {
            let all = WhyValue::InBaseUnit(Ratio::whole(sum.into()), unit);
            self.step(WhyRule::AllDrawn, inputs, all);
        }
        self.because.dedup();
        Ok(true)
    }

    fn need(&mut self, bakery: &Bakery, plan: &Plan, need: &Need) -> Result<bool, Overflow> {
        let item = bakery.item(need.item);
        let drawn = WhyValue::InBaseUnit(Ratio::whole(need.micro.into()), item.base_unit);
        if item.joint.is_some() {
            self.fruit(bakery, plan, need, drawn)?;
            return Ok(true);
        }
        let issue =
            if need.counted { WhyValue::Count(need.issue) } else { WhyValue::Mass(need.issue) };
        let mut inputs = vec![(WhyWord::Weighed.into(), issue)];
        if !item.weighing_loss_percent.is_zero() {
            let loss = WhyValue::Percent(item.weighing_loss_percent);
            inputs.push((WhyWord::WeighingLoss.into(), loss));
        }
        let by_unit = item.grams_per_base_unit().filter(|_| item.base_unit != Unit::Gram);
        if let Some(grams) = by_unit.filter(|_| !need.counted) {
            inputs.push((WhyInput::GramsInOne(item.base_unit), WhyValue::Number(grams)));
        }
        let rule = WhyRule::Drawn;
        self.step(rule, inputs, drawn);
        match need.user {
            NeedUser::Product(product) => {
                self.because.push(WhyOf::Topping(need.service_date, product, need.item));
            }
            NeedUser::Formula(made) => {
                // Blocks are not weighed line by line.
                let batch = plan.batch(need.service_date, made);
                let batch = batch.filter(|batch| batch.blocks.is_none());
                if let Some(&first) = batch.and_then(|batch| batch.numbers.first()) {
                    self.because.push(WhyOf::Line(need.service_date, made, first, need.item));
                }
                self.because.push(WhyOf::Batch(need.service_date, made));
            }
        }
        Ok(true)
    }

    /// Whole fruits for what a user takes of their outputs.
    fn fruit(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        need: &Need,
        drawn: WhyValue,
    ) -> Result<(), Overflow> {
        let same = |line: &&FruitDrawLine| {
            (line.fruit, line.user, line.service_date) == (need.item, need.user, need.service_date)
        };
        let outputs = bakery.item(need.item).joint.iter().flat_map(|joint| &joint.outputs);
        let lines = plan.fruit_draws.iter().filter(same).flat_map(|line| &line.draw.outputs);
        let mut cut = Vec::new();
        for (output, draw) in outputs.zip(lines) {
            if draw.needed.is_zero() {
                continue;
            }
            let still = draw.needed.minus(draw.from_spare)?;
            let inputs = vec![
                (WhyInput::FruitTaken(output.item.clone()), WhyValue::Mass(draw.needed)),
                (WhyWord::Spare.into(), WhyValue::Mass(draw.from_spare)),
            ];
            self.step(WhyRule::StillToTake, inputs, WhyValue::Mass(still));
            let inputs = vec![
                (WhyWord::StillToTake.into(), WhyValue::Mass(still)),
                (WhyWord::InOneFruit.into(), WhyValue::Mass(output.yields.ratio())),
                (WhyWord::CutBefore.into(), WhyValue::Pieces(draw.cut_before)),
            ];
            let rule = WhyRule::FruitsToCut;
            self.step(rule, inputs, WhyValue::Pieces(draw.fresh));
            cut.push((WhyInput::FruitFor(output.item.clone()), WhyValue::Pieces(draw.fresh)));
            if let Some(item) = bakery.index().item(output.item.as_str()) {
                self.because.push(match need.user {
                    NeedUser::Product(product) => WhyOf::Topping(need.service_date, product, item),
                    NeedUser::Formula(made) => {
                        let first = plan.batch(need.service_date, made).map_or(1, first_load);
                        WhyOf::Line(need.service_date, made, first, item)
                    }
                });
            }
        }
        self.step(WhyRule::WholeFruits, cut, drawn);
        Ok(())
    }
}

/// The number of a load of a batch, a draft if there is one.
fn first_load(batch: &Batch) -> i64 {
    let held = batch.held.first().map(|part| part.number);
    batch.numbers.first().copied().or(held).unwrap_or(1)
}

/// Position of what a held need is for: only formulas have loads.
const fn made_by(need: &Need) -> u32 {
    match need.user {
        NeedUser::Formula(item) | NeedUser::Product(item) => item,
    }
}
