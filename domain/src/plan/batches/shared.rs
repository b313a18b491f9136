//! A dough that several products share: one mix, or as few as their times allow.

use super::{Ask, Asked, AskedBy, Batch, Sweep, held};
use crate::{
    bakery::{Driver, Recipe, Steps},
    formula::Made,
    load::HeldLoad,
    plan::{
        Finding, Plan, PlanError,
        times::{DropLine, mixes::Starts},
    },
    ratio::{Overflow, Ratio},
};
use std::collections::BTreeMap;

impl Sweep<'_, '_> {
    /// What is asked of a dough, mix by mix, if its products have no start in common.
    pub(super) fn mixes(
        &self,
        at: usize,
        asked: &Asked,
        plan: &mut Plan,
    ) -> Result<Option<Vec<Asked>>, PlanError> {
        let recipe = &self.recipes.recipes[at];
        let formula = self.bakery.formula_of(recipe);
        let Made::Products { step } = &formula.made else { return Ok(None) };
        // What goes into other doughs, or back into itself, cannot be told apart by drops.
        let by_products = asked.by.iter().all(|ask| matches!(ask.by, AskedBy::Product(_)));
        if !by_products || formula.keep_back_after_last.is_some() {
            return Ok(None);
        }
        let drops: Vec<DropLine> =
            plan.drops_on(self.bakery, self.service_date, recipe.item).copied().collect();
        if drops.len() < 2 {
            return Ok(None);
        }
        let Some(mix_of) = self.mix_of(recipe, asked, (&drops, step))? else { return Ok(None) };
        let mixes = mix_of.iter().max().map_or(1, |last| last + 1);
        for (drop, &mix) in drops.iter().zip(&mix_of) {
            let same = |line: &&mut DropLine| {
                (line.service_date, line.product, line.at)
                    == (drop.service_date, drop.product, drop.at)
            };
            if let Some(line) = plan.drops.iter_mut().find(same) {
                line.mix = number(mix)?;
            }
        }
        let mut parts = Vec::with_capacity(mixes);
        let mut products = Vec::with_capacity(mixes);
        for mix in 0..mixes {
            let in_mix: Vec<DropLine> = drops
                .iter()
                .zip(&mix_of)
                .filter(|(_, of)| **of == mix)
                .map(|(drop, _)| *drop)
                .collect();
            let part = self.part(asked, &in_mix, (&drops, mix))?;
            products.push(part.mix.iter().flat_map(|(_, pieces)| pieces.keys().copied()).collect());
            parts.push(part);
        }
        let (item, service_date) = (recipe.item, self.service_date);
        plan.findings.push(Finding::Split { item, service_date, mixes: products });
        Ok(Some(parts))
    }

    /// The mix of each drop, from 0; none if one mix suits all that fit.
    fn mix_of(
        &self,
        recipe: &Recipe,
        asked: &Asked,
        (drops, step): (&[DropLine], &str),
    ) -> Result<Option<Vec<usize>>, PlanError> {
        let loads = |asked: &Asked| {
            // What cannot be made is refused where it is made.
            self.loads(recipe, asked).unwrap_or(1)
        };
        let starts = Starts::new(self.clock, drops, step, loads(asked))?;
        if starts.together().is_none_or(|together| !together.is_empty()) {
            return Ok(None);
        }
        let mut mix_of = starts.split();
        // A smaller mix has fewer loads and other starts: it may have to be split again.
        let mut mix = 0;
        while mix <= mix_of.iter().max().copied().unwrap_or(0) {
            let members: Vec<usize> = (0..drops.len()).filter(|&at| mix_of[at] == mix).collect();
            let in_mix: Vec<DropLine> = members.iter().map(|&at| drops[at]).collect();
            let part = self.part(asked, &in_mix, (drops, mix))?;
            let starts = Starts::new(self.clock, &in_mix, step, loads(&part))?;
            if starts.together().is_some_and(|together| together.is_empty()) {
                let next = mix_of.iter().max().map_or(0, |last| last + 1);
                for (&member, split) in members.iter().zip(starts.split()) {
                    if split > 0 {
                        mix_of[member] = next + split - 1;
                    }
                }
            }
            mix += 1;
        }
        Ok(Some(mix_of))
    }

    /// Laminated dough is folded block by block, not mixed; none if it is another dough.
    pub(super) fn folded(
        &self,
        recipe: &Recipe,
        blocks: Option<i64>,
        loads: &[(u32, &HeldLoad)],
        plan: &mut Plan,
    ) -> Result<Option<held::Folded>, Overflow> {
        let Some(blocks) = blocks else { return Ok(None) };
        let folded = held::fold(self.bakery, recipe, blocks, loads)?;
        let of = (self.service_date, recipe.item);
        plan.note_held(self.bakery, of, &folded.drafted, None, Vec::new());
        Ok(Some(folded))
    }

    /// Base dough is asked in blocks, those of released loads too.
    pub(super) fn pass_on_blocks(
        &mut self,
        recipe: &Recipe,
        batch: &Batch,
    ) -> Result<(), PlanError> {
        let (Driver::Blocks { base, step, .. }, Some(blocks)) = (recipe.driver, batch.all_blocks())
        else {
            return Ok(());
        };
        let Some(used) = self.recipes.of_item(base) else { return Ok(()) };
        let count = (blocks / step.max(1)).max(1);
        let mut mass = Ratio::ZERO;
        for issue in batch.issues.iter().chain(&batch.held_issues) {
            if issue.item == base {
                mass = mass.plus(issue.micro)?;
            }
        }
        let mass = mass.over(Ratio::whole(count.into()))?;
        self.asked[used].steps = Some(Steps { count, mass });
        Ok(())
    }

    /// The part of what is asked that falls on some drops.
    fn part(
        &self,
        asked: &Asked,
        in_mix: &[DropLine],
        (all, mix): (&[DropLine], usize),
    ) -> Result<Asked, Overflow> {
        let mut pieces: BTreeMap<u32, i64> = BTreeMap::new();
        for drop in in_mix {
            *pieces.entry(drop.product).or_default() += drop.pieces;
        }
        let mut by = Vec::with_capacity(asked.by.len());
        for ask in &asked.by {
            let AskedBy::Product(product) = ask.by else { continue };
            let start = self.start_of[product as usize];
            if !all.iter().any(|drop| drop.product == product) {
                // A product without a drop is made with the first mix.
                if mix == 0 {
                    pieces.insert(product, start);
                    by.push(*ask);
                }
                continue;
            }
            let Some(&share) = pieces.get(&product) else { continue };
            let amount = ask.amount.times(Ratio::new(share.into(), start.max(1).into())?)?;
            by.push(Ask { by: ask.by, amount });
        }
        Ok(Asked { by, steps: None, mix: Some((number(mix)?, pieces)) })
    }
}

/// A mix as people count it.
fn number(mix: usize) -> Result<u32, Overflow> {
    u32::try_from(mix + 1).map_err(|_| Overflow)
}
