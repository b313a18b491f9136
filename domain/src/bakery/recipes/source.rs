//! Made or bought, where an item can be both: whichever costs less on a date.

use super::{Driver, Recipe, RecipeLine, compile::Compiler};
use crate::{figure::Figure, item::Item, price::price_of_received, ratio::Overflow};
use std::collections::BTreeMap;

/// What a microgram of each made item costs that was worked out already.
type Known = BTreeMap<u32, Option<Figure>>;

impl Compiler<'_> {
    /// Whether making an item costs less than buying it by the prices of the date; none if a
    /// price is missing on either side. Where both cost the same it is bought: nobody works
    /// for nothing.
    ///
    /// # Source
    /// trade.md 7, case 20; made at standard cost (2.11): formula, prices and losses, without
    /// scales, loads and labour.
    pub(super) fn making_costs_less(
        &self,
        recipe: &Recipe,
        lines: &[RecipeLine],
    ) -> Result<Option<bool>, Overflow> {
        let made = self.cost_made(recipe, lines, &mut Known::new())?;
        let (Some(made), Some(bought)) = (made, self.cost_bought(recipe.item)?) else {
            return Ok(None);
        };
        Ok(Some(made < bought))
    }

    /// What a microgram costs that a recipe makes, in minor units.
    fn cost_made(
        &self,
        recipe: &Recipe,
        lines: &[RecipeLine],
        known: &mut Known,
    ) -> Result<Option<Figure>, Overflow> {
        let gives = match recipe.driver {
            Driver::Mass => Some(Figure::whole(recipe.parts_sum)),
            Driver::Batch { mass_ug, .. } => mass_ug.map(Figure::from),
            Driver::Blocks { .. } => None,
        };
        let Some(gives) = gives.filter(Figure::is_positive) else { return Ok(None) };
        let mut all = Figure::zero();
        for line in lines {
            let Some(each) = self.cost_of(line, known)? else { return Ok(None) };
            all = all.plus(&each.times(&Figure::whole(line.parts)));
        }
        Ok(Some(all.over(&gives).over(&Figure::from(recipe.remaining))))
    }

    /// What a part of a line costs: a microgram, or a millionth of a piece of what is counted.
    fn cost_of(&self, line: &RecipeLine, known: &mut Known) -> Result<Option<Figure>, Overflow> {
        let item = &self.draft.items[line.item as usize];
        // A seed is of its own kind: it costs what it is made of (readings R23).
        let made = self.compiled(line.item).filter(|_| !line.flags.previous_batch());
        let each = match made {
            // What several lines take is worked out once, however deep it stands.
            Some((recipe, lines)) => match known.get(&line.item) {
                Some(each) => each.clone(),
                None => {
                    let each = self.cost_made(recipe, lines, known)?;
                    known.insert(line.item, each.clone());
                    each
                }
            },
            None => self.cost_bought(line.item)?,
        };
        let grams = item.grams_per_base_unit().filter(|_| line.flags.counted());
        Ok(match (each, grams) {
            (Some(each), Some(grams)) => Some(each.times(&Figure::from(grams))),
            (each, None) if !line.flags.counted() => each,
            _ => None,
        })
    }

    /// What a microgram of something bought costs by the price list of the date.
    fn cost_bought(&self, item: u32) -> Result<Option<Figure>, Overflow> {
        let found: &Item = &self.draft.items[item as usize];
        if found.free {
            return Ok(Some(Figure::zero()));
        }
        let price = price_of_received(found, &self.draft.packs, None, (self.on, None))?;
        let grams = found.grams_per_base_unit().filter(|grams| grams.is_positive());
        let (Some(price), Some(grams)) = (price, grams) else { return Ok(None) };
        Ok(Some(Figure::from(price).over(&Figure::from(grams))))
    }
}
