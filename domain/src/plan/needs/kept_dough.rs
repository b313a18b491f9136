//! Old dough that earlier mixes of the plan keep for later ones.
//!
//! What a mix is planned to keep covers the old dough of a later one, if its age fits then;
//! only the rest is drawn from lots in the house.

use crate::{
    bakery::Bakery,
    calendar::add_minutes,
    plan::{Batch, Issue, Plan},
    ratio::{Overflow, Ratio},
};
use jiff::Timestamp;

/// What one mix keeps.
struct Kept {
    item: u32,
    made_at: Timestamp,
    left: Ratio,
}

/// All that mixes of the plan keep for later ones, oldest first.
pub(super) struct KeptDough(Vec<Kept>);

impl KeptDough {
    pub(super) fn new(bakery: &Bakery, plan: &Plan) -> Self {
        let mut kept = Vec::new();
        for batch in &plan.batches {
            let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
            let keeps = bakery.formula_of(recipe).keeping.keep_for_next;
            if let (Some(keeps), Some(made_at)) = (keeps, batch.made_at)
                && batch.split.loads > 0
            {
                kept.push(Kept { item: batch.item, made_at, left: keeps.ratio() });
            }
        }
        kept.sort_by_key(|kept| kept.made_at);
        Self(kept)
    }

    /// What earlier mixes give of the old dough that a batch takes.
    pub(super) fn take(
        &mut self,
        bakery: &Bakery,
        batch: &Batch,
        issue: &Issue,
    ) -> Result<Ratio, Overflow> {
        let (Some(at), true) = (batch.made_at, issue.previous_batch) else {
            return Ok(Ratio::ZERO);
        };
        let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
        let code = &bakery.item(issue.item).code;
        let lines = &bakery.formula_of(recipe).lines;
        let old = lines.iter().filter(|line| line.item == *code).find_map(|line| line.old_dough);
        // Nobody said how old it may be: as old as a mix that is over by then.
        let (least, most) = old.map_or((0, i64::from(i32::MAX)), |old| old.age_minutes);
        let mut taken = Ratio::ZERO;
        for kept in self.0.iter_mut().filter(|kept| kept.item == issue.item) {
            let ready = add_minutes(kept.made_at, least).is_ok_and(|ready| ready <= at);
            let good = add_minutes(kept.made_at, most).map_or(true, |last| at <= last);
            if kept.made_at < at && ready && good {
                let part = issue.micro.minus(taken)?.min(kept.left);
                kept.left = kept.left.minus(part)?;
                taken = taken.plus(part)?;
            }
        }
        Ok(taken)
    }
}
