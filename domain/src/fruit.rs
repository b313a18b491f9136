//! Joint fruits: one lemon gives zest and juice, and is counted once.

use crate::{
    item::Joint,
    ratio::{Overflow, Ratio},
};
use jiff::Timestamp;
use std::collections::VecDeque;

/// One use of a fruit's outputs at an instant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FruitUse {
    /// When.
    pub at: Timestamp,
    /// How much of each output, in the fruit's listed order, in micrograms.
    pub needs: Vec<Ratio>,
}

/// What one use takes of one output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OutputDraw {
    /// How much is needed, in micrograms.
    pub needed: Ratio,
    /// What spare of earlier fruits covers of it, in micrograms.
    pub from_spare: Ratio,
    /// Fruits cut before, or for another output of this use, that still hold it.
    pub cut_before: i64,
    /// Fruits cut for it beyond those.
    pub fresh: i64,
}

/// What one use takes of a fruit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FruitDraw {
    /// Whole fruits from stock.
    pub fruits: i64,
    /// Each output, in the fruit's listed order.
    pub outputs: Vec<OutputDraw>,
}

/// How many whole fruits each use takes from stock, and why.
///
/// The first output (the skin) is taken before the others. Fruit whose skin was
/// used gives its juice within the keeping time, oldest first; spare skin and
/// juice are used first if they are kept, else lost. Spare juice keeps as long as
/// its fruit would have. Uses are in order of time.
///
/// # Errors
/// [`Overflow`]
pub fn fruit(joint: &Joint, uses: &[FruitUse]) -> Result<Vec<FruitDraw>, Overflow> {
    let first = joint.outputs.iter().position(|output| output.item == joint.first).unwrap_or(0);
    let mut store = Store {
        joint,
        first,
        spare_first: Ratio::ZERO,
        zested: VecDeque::new(),
        spare: vec![VecDeque::new(); joint.outputs.len()],
    };
    uses.iter().map(|one| store.draw(one)).collect()
}

/// Fruits whose skin was taken at one time, and what each output has left of them.
struct Zested {
    until: Timestamp,
    /// Whole fruits not yet pressed, by output.
    whole: Vec<i64>,
}

struct Store<'a> {
    joint: &'a Joint,
    first: usize,
    spare_first: Ratio,
    zested: VecDeque<Zested>,
    /// Spare of the other outputs, and until when it keeps.
    spare: Vec<VecDeque<(Timestamp, Ratio)>>,
}

impl Store<'_> {
    fn draw(&mut self, one: &FruitUse) -> Result<FruitDraw, Overflow> {
        self.zested.retain(|zested| zested.until >= one.at);
        for spare in &mut self.spare {
            spare.retain(|(until, _)| *until >= one.at);
        }
        let skin = self.take_first(one)?;
        let mut outputs = Vec::with_capacity(self.joint.outputs.len());
        for output in 0..self.joint.outputs.len() {
            outputs.push(if output == self.first { skin } else { self.take_other(output, one)? });
        }
        Ok(FruitDraw { fruits: outputs.iter().map(|output| output.fresh).sum(), outputs })
    }

    fn yields(&self, output: usize) -> Ratio {
        self.joint.outputs[output].yields.ratio()
    }

    fn take_first(&mut self, one: &FruitUse) -> Result<OutputDraw, Overflow> {
        let wanted = one.needs[self.first];
        let from_spare = wanted.min(self.spare_first);
        self.spare_first = self.spare_first.minus(from_spare)?;
        let rest = wanted.minus(from_spare)?;
        let fruits = self.cut(rest.over(self.yields(self.first))?.ceil(), one.at)?;
        let gained = self.yields(self.first).times(Ratio::whole(fruits.into()))?;
        self.keep_first(gained.minus(rest)?)?;
        Ok(OutputDraw { needed: wanted, from_spare, cut_before: 0, fresh: fruits })
    }

    /// New fruits: their skin is off, their other outputs are still inside.
    fn cut(&mut self, fruits: i128, at: Timestamp) -> Result<i64, Overflow> {
        let fruits = i64::try_from(fruits).map_err(|_| Overflow)?;
        if fruits > 0 {
            let until =
                crate::calendar::add_minutes(at, self.joint.keep_minutes).map_err(|_| Overflow)?;
            let whole = vec![fruits; self.joint.outputs.len()];
            self.zested.push_back(Zested { until, whole });
        }
        Ok(fruits)
    }

    fn keep_first(&mut self, spare: Ratio) -> Result<(), Overflow> {
        if self.joint.surplus_keeps {
            self.spare_first = self.spare_first.plus(spare)?;
        }
        Ok(())
    }

    fn take_other(&mut self, output: usize, one: &FruitUse) -> Result<OutputDraw, Overflow> {
        let needed = one.needs[output];
        let mut wanted = needed;
        while let Some((until, spare)) = self.spare[output].pop_front() {
            let used = wanted.min(spare);
            wanted = wanted.minus(used)?;
            let left = spare.minus(used)?;
            if left.is_positive() {
                self.spare[output].push_front((until, left));
                break;
            }
        }
        let yields = self.yields(output);
        let have: i64 = self.zested.iter().map(|zested| zested.whole[output]).sum();
        let fruits = i64::try_from(wanted.over(yields)?.ceil()).map_err(|_| Overflow)?;
        let fresh = (fruits - have).max(0);
        if fresh > 0 {
            // Skin before juice: what they give of it is spare now.
            self.cut(fresh.into(), one.at)?;
            let skin = self.yields(self.first).times(Ratio::whole(fresh.into()))?;
            self.keep_first(skin)?;
        }
        let mut left = fruits;
        let mut until = one.at;
        for zested in &mut self.zested {
            let pressed = left.min(zested.whole[output]);
            if pressed > 0 {
                zested.whole[output] -= pressed;
                left -= pressed;
                until = zested.until;
            }
        }
        let spare = yields.times(Ratio::whole(fruits.into()))?.minus(wanted)?;
        if self.joint.surplus_keeps && spare.is_positive() {
            self.spare[output].push_back((until, spare));
        }
        let from_spare = needed.minus(wanted)?;
        Ok(OutputDraw { needed, from_spare, cut_before: have, fresh })
    }
}
