//! Recipes of one date with substitutes in the place of what is short.

use super::{CompiledMakeUp, Driver, LineFlags, RecipeLine, Recipes};
use crate::{
    bakery::Bakery,
    ratio::{Overflow, Ratio},
    sign_off::SignOff,
    supplier::Substitute,
};

/// Why a substitute cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SwapError {
    /// Nothing has this name.
    #[error("there is no substitute `{0}`")]
    Unknown(String),
    /// Nobody approved it.
    #[error("substitute `{0}` is not approved")]
    NotApproved(String),
    /// What is used instead is made here, or its weight is not known.
    #[error("`{0}` is made here or has no known weight: change the formula instead")]
    NoWeight(String),
    /// It is not allowed there.
    #[error("substitute `{substitute}` is not allowed in `{used_in}`")]
    NotAllowed {
        /// Which substitute.
        substitute: String,
        /// Where it was to be used.
        used_in: String,
    },
    /// More of a line would be replaced than is allowed.
    #[error("at most {0} % of a line may be replaced")]
    OverShare(String),
    /// Nothing there takes what it replaces.
    #[error("`{used_in}` takes no `{item}` by weight, or another substitute is in its place")]
    NotTaken {
        /// Where it was to be used.
        used_in: String,
        /// What it replaces.
        item: String,
    },
    /// The numbers are too large.
    #[error(transparent)]
    Overflow(#[from] Overflow),
}

/// What replaces a gram of an item.
struct Swap {
    item: u32,
    share: Ratio,
    /// Each item with the grams of it for a gram.
    uses: Vec<(u32, Ratio)>,
}

impl Bakery {
    /// The bakery with substitutes in use on the dates for which they were signed.
    ///
    /// What is short keeps its part of a line; what comes in its place stands in lines of
    /// its own behind it. Substitutes are never chained: a line that is one stays.
    ///
    /// # Errors
    /// [`SwapError`] for the first that cannot be used.
    pub fn with_sign_offs(&self, signed: &[SignOff]) -> Result<Self, SwapError> {
        let mut bakery = self.clone();
        for one in signed {
            let swap = swap(self, one)?;
            let recipes = bakery.recipes(one.service_date).clone();
            let swapped = recipes.swapped(self, one, &swap)?;
            bakery.days.insert(one.service_date, swapped);
        }
        Ok(bakery)
    }
}

fn swap(bakery: &Bakery, signed: &SignOff) -> Result<Swap, SwapError> {
    let code = &signed.substitute;
    let found = bakery.lists().substitutes.iter().find(|one| one.code == *code);
    let Some(substitute) = found else { return Err(SwapError::Unknown(code.to_string())) };
    if !substitute.approved {
        return Err(SwapError::NotApproved(code.to_string()));
    }
    check_share(substitute, signed)?;
    let no_weight = |code: &crate::id::Code| SwapError::NoWeight(code.to_string());
    let index = bakery.index();
    let item = index.item(substitute.item.as_str()).ok_or_else(|| no_weight(&substitute.item))?;
    let per = bakery.item(item).mass_ug(substitute.per)?;
    let per = per.filter(|per| per.is_positive()).ok_or_else(|| no_weight(&substitute.item))?;
    let mut uses = Vec::with_capacity(substitute.uses.len());
    for (code, quantity) in &substitute.uses {
        let used = index.item(code.as_str()).ok_or_else(|| no_weight(code))?;
        let made = bakery.recipes(signed.service_date).of_item(used).is_some();
        let mass = bakery.item(used).mass_ug(*quantity)?.filter(|_| !made);
        uses.push((used, mass.ok_or_else(|| no_weight(code))?.over(per)?));
    }
    Ok(Swap { item, share: signed.share_percent.over(Ratio::whole(100))?, uses })
}

fn check_share(substitute: &Substitute, signed: &SignOff) -> Result<(), SwapError> {
    let most = substitute.max_share_percent.unwrap_or(Ratio::whole(100));
    if !signed.share_percent.is_positive() || signed.share_percent > most {
        return Err(SwapError::OverShare(most.to_decimal(6)));
    }
    for used_in in &signed.used_in {
        if !substitute.only_in.is_empty() && !substitute.only_in.contains(used_in) {
            return Err(SwapError::NotAllowed {
                substitute: substitute.code.to_string(),
                used_in: used_in.to_string(),
            });
        }
    }
    Ok(())
}

impl Recipes {
    fn swapped(
        mut self,
        bakery: &Bakery,
        signed: &SignOff,
        swap: &Swap,
    ) -> Result<Self, SwapError> {
        for used_in in &signed.used_in {
            let index = bakery.index();
            let recipe = index.item(used_in.as_str()).and_then(|item| self.of_item(item));
            let product = index.product(used_in.as_str());
            let changed = match (recipe, product) {
                (Some(recipe), _) => self.swap_lines(bakery, recipe, swap)?,
                (None, Some(product)) => self.swap_make_up(product, swap)?,
                (None, None) => false,
            };
            if !changed {
                let item = bakery.item(swap.item).code.to_string();
                return Err(SwapError::NotTaken { used_in: used_in.to_string(), item });
            }
        }
        Ok(self)
    }

    /// Whether a recipe took what is replaced; its lines are then others.
    fn swap_lines(&mut self, bakery: &Bakery, at: usize, swap: &Swap) -> Result<bool, Overflow> {
        let mut lines = Vec::new();
        let mut changed = false;
        for line in self.lines_of(&self.recipes[at]).to_vec() {
            let LineFlags(bits) = line.flags;
            let kept_as_it_is = line.item != swap.item
                || line.instead_of.is_some()
                || line.flags.counted()
                || line.flags.previous_batch();
            if kept_as_it_is {
                lines.push(line);
                continue;
            }
            changed = true;
            let taken = Ratio::whole(line.parts.into()).times(swap.share)?;
            let left = line.parts - whole(taken)?;
            if left > 0 {
                lines.push(RecipeLine { parts: left, ..line });
            }
            for &(item, each) in &swap.uses {
                let water = if bakery.item(item).water { LineFlags::WATER } else { 0 };
                let flags = LineFlags(bits & !LineFlags::WATER | water);
                let parts = whole(taken.times(each)?)?;
                lines.push(RecipeLine { item, flags, parts, instead_of: Some(line.item), ..line });
            }
        }
        self.put_lines(bakery, at, lines)?;
        Ok(changed)
    }

    /// Puts other lines in the place of a recipe's.
    fn put_lines(
        &mut self,
        bakery: &Bakery,
        at: usize,
        lines: Vec<RecipeLine>,
    ) -> Result<(), Overflow> {
        let before = self.recipes[at].lines.clone();
        let longer = i64::try_from(lines.len()).map_err(|_| Overflow)?
            - i64::from(before.end - before.start);
        let mut bowl = Ratio::ZERO;
        for line in lines.iter().filter(|line| !line.flags.out_of_bowl()) {
            let mut mass = Ratio::whole(line.parts.into());
            if line.flags.counted() {
                let grams = bakery.item(line.item).grams_per_base_unit();
                mass = mass.times(grams.unwrap_or(Ratio::ZERO))?;
            }
            bowl = bowl.plus(mass)?;
        }
        let recipe = &mut self.recipes[at];
        recipe.parts_sum = lines.iter().map(|line| line.parts).sum::<i64>().max(1);
        recipe.distinct_items = false;
        if let Driver::Batch { bowl_ug, .. } = &mut recipe.driver {
            *bowl_ug = bowl;
        }
        self.lines.splice(before.start as usize..before.end as usize, lines);
        let moved = |mark: u32| u32::try_from(i64::from(mark) + longer).map_err(|_| Overflow);
        for (other, recipe) in self.recipes.iter_mut().enumerate() {
            if other == at {
                recipe.lines.end = moved(before.end)?;
            } else if recipe.lines.start >= before.end {
                recipe.lines = moved(recipe.lines.start)?..moved(recipe.lines.end)?;
            }
        }
        Ok(())
    }

    /// Whether a product took what is replaced onto or into its pieces.
    fn swap_make_up(&mut self, product: u32, swap: &Swap) -> Result<bool, Overflow> {
        let mut lines = Vec::new();
        let mut changed = false;
        for line in self.make_up_of(product).to_vec() {
            let CompiledMakeUp::Mass { item, ug, per, at } = line else {
                lines.push(line);
                continue;
            };
            if item != swap.item {
                lines.push(line);
                continue;
            }
            changed = true;
            let taken = ug.times(swap.share)?;
            let left = ug.minus(taken)?;
            if left.is_positive() {
                lines.push(CompiledMakeUp::Mass { item, ug: left, per, at });
            }
            for &(item, each) in &swap.uses {
                lines.push(CompiledMakeUp::Mass { item, ug: taken.times(each)?, per, at });
            }
        }
        if changed {
            self.replaced.push((product, swap.item));
        }
        let (from, to) = (product as usize, product as usize + 1);
        let span = self.make_up_offsets[from] as usize..self.make_up_offsets[to] as usize;
        let longer = i64::try_from(lines.len()).map_err(|_| Overflow)?
            - i64::try_from(span.len()).map_err(|_| Overflow)?;
        self.make_up.splice(span, lines);
        for mark in &mut self.make_up_offsets[to..] {
            *mark = u32::try_from(i64::from(*mark) + longer).map_err(|_| Overflow)?;
        }
        Ok(changed)
    }
}

fn whole(parts: Ratio) -> Result<i64, Overflow> {
    i64::try_from(parts.round_half_up()?).map_err(|_| Overflow)
}
