//! Why so many loads of such a size: what is released, what a person set, what is left.

use super::{Why, WhyInput, WhyRule, WhyValue, WhyWord};
use crate::{
    bakery::Bakery,
    demand::PieceLine,
    overrides::{Override, OverrideKind},
    plan::{Batch, HeldPart, Plan},
    product::Product,
    ratio::{Overflow, Ratio},
};

/// Who set a value by hand and why, as the name of an input.
fn set_by(found: &Override) -> WhyInput {
    WhyInput::SetBy { who: found.who.clone(), note: found.note.clone() }
}

impl Why {
    /// Start pieces that a person set in the place of those computed.
    pub(super) fn start_by_hand(&mut self, plan: &Plan, product: &Product, line: &PieceLine) {
        let kind = OverrideKind::StartPieces;
        let found = plan.override_of(line.service_date, kind, &product.code);
        let (Some(found), Some(computed)) = (found, line.computed) else { return };
        let inputs = vec![
            (WhyWord::Computed.into(), WhyValue::Pieces(computed)),
            (set_by(found), WhyValue::Pieces(line.start)),
        ];
        self.step(WhyRule::StartByHand, inputs, WhyValue::Pieces(line.start));
    }

    /// What released loads give, and what they leave to be mixed.
    pub(super) fn held_loads(&mut self, batch: &Batch) -> Result<(), Overflow> {
        if batch.held.is_empty() {
            return Ok(());
        }
        let all = batch.gross.plus(batch.keep_back)?;
        let (mut given, mut inputs) = (Ratio::ZERO, Vec::new());
        for part in &batch.held {
            let gives = part.mass.minus(part.residue)?;
            inputs.push((WhyInput::Load(part.number), WhyValue::Mass(gives)));
            given = given.plus(gives)?;
        }
        let rule = WhyRule::Released;
        self.step(rule, inputs, WhyValue::Mass(given));
        let left = all.minus(given)?;
        let inputs = vec![
            (WhyWord::ToBeMade.into(), WhyValue::Mass(all)),
            (WhyWord::Released.into(), WhyValue::Mass(given)),
        ];
        self.step(WhyRule::Left, inputs, WhyValue::Mass(left));
        if batch.split.loads == 0 {
            let inputs = vec![(WhyWord::Left.into(), WhyValue::Mass(left))];
            let rule = WhyRule::NoMoreLoads;
            self.step(rule, inputs, WhyValue::Loads(0));
        }
        Ok(())
    }

    pub(super) fn loads(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        batch: &Batch,
    ) -> Result<(), Overflow> {
        if batch.split.loads == 0 && !batch.held.is_empty() {
            return Ok(());
        }
        let code = &bakery.item(batch.item).code;
        let by_hand = |kind| plan.override_of(batch.service_date, kind, code);
        let to_mix = batch.raised_from.unwrap_or(batch.to_mix);
        let mut inputs = vec![
            (WhyWord::ToMix.into(), WhyValue::Mass(to_mix)),
            (WhyWord::ResidueOfEach.into(), WhyValue::Mass(batch.split.residue)),
        ];
        inputs.extend(bounds(bakery, batch));
        match by_hand(OverrideKind::Loads) {
            Some(found) => {
                let all = WhyValue::Loads(batch.all_loads());
                let held = i64::try_from(batch.held.len()).map_err(|_| Overflow)?;
                inputs.push((set_by(found), all));
                inputs.push((WhyWord::Released.into(), WhyValue::Loads(held)));
                let rule = WhyRule::LoadsByHand;
                self.step(rule, inputs, WhyValue::Loads(batch.split.loads));
            }
            None => {
                let rule = WhyRule::FewestLoads;
                self.step(rule, inputs, WhyValue::Loads(batch.split.loads));
            }
        }
        if let (Some(from), Some(found)) = (batch.raised_from, by_hand(OverrideKind::UnderMinimum))
        {
            let mut inputs = vec![
                (WhyWord::Computed.into(), WhyValue::Mass(from)),
                (set_by(found), WhyValue::Mass(batch.to_mix)),
                (WhyWord::Residue.into(), WhyValue::Mass(batch.split.residue)),
                (WhyWord::Loads.into(), WhyValue::Loads(batch.split.loads)),
            ];
            inputs.extend(bounds(bakery, batch).into_iter().skip(1));
            let rule = WhyRule::Raised;
            self.step(rule, inputs, WhyValue::Mass(batch.to_mix));
        }
        for group in &batch.groups {
            let mut inputs = vec![
                (WhyWord::ToMix.into(), WhyValue::Mass(batch.to_mix)),
                (WhyWord::Loads.into(), WhyValue::Loads(batch.split.loads)),
                (WhyWord::Residue.into(), WhyValue::Mass(batch.split.residue)),
            ];
            if let Some(steps) = group.group.steps {
                inputs.push((WhyWord::StepsInLoad.into(), WhyValue::Pieces(steps)));
            }
            self.step(WhyRule::LoadMass, inputs, WhyValue::Mass(group.group.mass));
        }
        Ok(())
    }

    /// A line of a released load: it is what it was.
    pub(super) fn held_line(&mut self, batch: &Batch, part: &HeldPart, taken: u32) -> bool {
        let mut any = false;
        for &(_, micro, counted) in part.lines.iter().filter(|(item, ..)| *item == taken) {
            let amount = Ratio::whole(micro.into());
            let value = if counted { WhyValue::Count(amount) } else { WhyValue::Mass(amount) };
            let inputs = vec![(WhyInput::LoadAsReleased(part.number), value)];
            self.step(WhyRule::KeptAsReleased, inputs, value);
            any = true;
        }
        self.because.insert(0, super::WhyOf::Batch(batch.service_date, batch.item));
        any
    }
}

/// The most and the least that the batch's mixer takes.
fn bounds(bakery: &Bakery, batch: &Batch) -> Vec<(WhyInput, WhyValue)> {
    let Some(position) = batch.mixer else { return Vec::new() };
    let mixer = &bakery.lists().mixers[position as usize];
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let class = bakery.formula_of(recipe).dough_class.as_deref().unwrap_or_default();
    let mass = |ug: i64| WhyValue::Mass(Ratio::whole(ug.into()));
    let most = mixer.maximum_ug(class);
    most.map(|most| (WhyInput::MostIn(position), mass(most)))
        .into_iter()
        .chain([(WhyInput::LeastIn(position), mass(mixer.minimum_ug))])
        .collect()
}
