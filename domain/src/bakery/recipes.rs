//! Formulas and make-ups compiled to flat arrays, users before what they use.

mod compile;
mod final_mix;
mod make_up;
mod order;
mod source;
mod swap;

pub use make_up::CompiledMakeUp;
pub use swap::SwapError;

use super::{BakeryDraft, Index, keeping_check};
use crate::{
    fault::{Faults, Faulty},
    id::Code,
    product::At,
    ratio::Ratio,
};
use compile::{Compiler, versions_on};
use jiff::civil::Date;
use std::ops::Range;

/// What a line is, in bits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LineFlags(u8);

impl LineFlags {
    const FLOUR: u8 = 1;
    const PREVIOUS_BATCH: u8 = 2;
    const COUNTED: u8 = 4;
    const WATER: u8 = 8;
    const OUT_OF_BOWL: u8 = 16;

    const fn has(self, bit: u8) -> bool {
        self.0 & bit != 0
    }

    /// It counts as flour.
    #[must_use]
    pub const fn flour(self) -> bool {
        self.has(Self::FLOUR)
    }

    /// It is drawn from a batch made before.
    #[must_use]
    pub const fn previous_batch(self) -> bool {
        self.has(Self::PREVIOUS_BATCH)
    }

    /// It is counted, not weighed: its parts are millionths of a piece.
    #[must_use]
    pub const fn counted(self) -> bool {
        self.has(Self::COUNTED)
    }

    /// It is water.
    #[must_use]
    pub const fn water(self) -> bool {
        self.has(Self::WATER)
    }

    /// It does not go into the mixer with the rest.
    #[must_use]
    pub const fn out_of_bowl(self) -> bool {
        self.has(Self::OUT_OF_BOWL)
    }
}

/// One compiled line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RecipeLine {
    /// Position of the item that it takes.
    pub item: u32,
    /// What it is.
    pub flags: LineFlags,
    /// The scale division may be at most this many millionths of a percent of it.
    pub precision_micro_percent: u32,
    /// The item in whose place it is used, for a substitute.
    pub instead_of: Option<u32>,
    /// Its share of [`Recipe::parts_sum`]; for a batch, micrograms (or millionths
    /// of a piece) per batch.
    pub parts: i64,
}

/// A mass made in whole steps: blocks of butter, pans of custard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Steps {
    /// How many steps.
    pub count: i64,
    /// What one weighs in the bowl.
    pub mass: Ratio,
}

/// What makes a recipe larger or smaller.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Driver {
    /// Mass.
    Mass,
    /// Whole steps of a batch.
    Batch {
        /// What a batch gives in micrograms, if that is known.
        mass_ug: Option<Ratio>,
        /// Pieces that a batch gives, in millionths, if that is known.
        pieces_micro: Option<Ratio>,
        /// The smallest part of a batch.
        step: Ratio,
        /// What one batch weighs in the bowl, in micrograms.
        bowl_ug: Ratio,
    },
    /// Whole blocks of base dough with a fat sheet each.
    Blocks {
        /// Item of the base dough.
        base: u32,
        /// Item of the sheet.
        sheet: u32,
        /// What one sheet weighs, in micrograms.
        sheet_ug: Ratio,
        /// Sheet over base dough.
        ratio: Ratio,
        /// Blocks are made in multiples of this.
        step: i64,
    },
}

/// One formula version, compiled.
#[derive(Debug, Clone)]
pub struct Recipe {
    /// Its position in the bakery's list of formulas.
    pub formula: u32,
    /// The item that it makes.
    pub item: u32,
    /// Steps from the farthest user down to it; users have smaller levels.
    pub level: u32,
    /// What makes it larger or smaller.
    pub driver: Driver,
    /// Its lines in [`Recipes::lines`].
    pub lines: Range<u32>,
    /// Sum of the parts of its lines.
    pub parts_sum: i64,
    /// What is left of a gram after all its losses.
    pub remaining: Ratio,
    /// The mixer and the most of its class that it takes, in micrograms.
    pub mixer: Option<(u32, i64)>,
    /// Whole numbers of [`RecipeLine::parts`] in one part as the baker wrote it.
    pub parts_scale: i64,
    /// Whether any line counts as flour.
    pub has_flour: bool,
    /// Whether no item stands in two lines.
    pub distinct_items: bool,
}

/// All formulas and make-ups in force at one time.
#[derive(Debug, Clone, Default)]
pub struct Recipes {
    /// Recipes in low-level-code order: users before what they use.
    pub recipes: Vec<Recipe>,
    /// All lines, recipe after recipe.
    pub lines: Vec<RecipeLine>,
    /// Position of the recipe that makes an item, by item; `u32::MAX` if none.
    recipe_of_item: Vec<u32>,
    /// All make-up lines, product after product.
    pub make_up: Vec<CompiledMakeUp>,
    /// Where a product's make-up starts; one more than there are products.
    pub make_up_offsets: Vec<u32>,
    /// Item of the dough that a product's pieces are divided from; `u32::MAX` if none.
    dough_of_product: Vec<u32>,
    /// Products so ordered that a product comes before those it takes of the same day.
    pub product_order: Vec<u32>,
    /// Products and the items that a substitute replaces on or in their pieces.
    pub replaced: Vec<(u32, u32)>,
    /// Items that can be made or bought, whichever costs less, of which a price is missing:
    /// nobody decided, and they are drawn from stock.
    pub undecided: Vec<u32>,
}

const NO_RECIPE: u32 = u32::MAX;

impl Recipes {
    /// The recipe that makes an item, if it is made and not bought.
    #[must_use]
    pub fn of_item(&self, item: u32) -> Option<usize> {
        match self.recipe_of_item.get(item as usize) {
            Some(&recipe) if recipe != NO_RECIPE => Some(recipe as usize),
            _ => None,
        }
    }

    /// The recipe of an item, whether it is made by it or bought.
    #[must_use]
    pub fn formula_of(&self, item: u32) -> Option<&Recipe> {
        self.recipes.iter().find(|recipe| recipe.item == item)
    }

    /// A recipe's lines.
    #[must_use]
    pub fn lines_of(&self, recipe: &Recipe) -> &[RecipeLine] {
        &self.lines[recipe.lines.start as usize..recipe.lines.end as usize]
    }

    /// The item of the dough that a product's pieces are divided from.
    #[must_use]
    pub fn dough_of(&self, product: u32) -> Option<u32> {
        self.dough_of_product.get(product as usize).copied().filter(|&item| item != NO_RECIPE)
    }

    /// Whether pieces are divided from an item, or a dough is folded of it.
    #[must_use]
    pub fn is_dough(&self, item: u32) -> bool {
        let folded =
            |recipe: &Recipe| matches!(recipe.driver, Driver::Blocks { base, .. } if base == item);
        self.dough_of_product.contains(&item) || self.recipes.iter().any(folded)
    }

    /// A product's make-up.
    #[must_use]
    pub fn make_up_of(&self, product: u32) -> &[CompiledMakeUp] {
        let at = product as usize;
        let (from, to) = (self.make_up_offsets[at], self.make_up_offsets[at + 1]);
        &self.make_up[from as usize..to as usize]
    }

    /// Compiles the formula versions that hold on a date; notes the faults it finds.
    ///
    /// With a fault anywhere the result has gaps and nobody may use it.
    pub(super) fn compile(
        draft: &BakeryDraft,
        index: &Index,
        on: Date,
        faulty: &Faulty,
        faults: &mut Faults,
    ) -> Self {
        let chosen = versions_on(draft, on);
        let order = order::low_level_order(draft, index, &chosen, faults);
        let mut compiler = Compiler::new(draft, index, (on, &order.formulas));
        // Sub-formulas first: the final mix of an overall formula needs their parts.
        for &(position, level) in order.formulas.iter().rev() {
            let left_out = faulty.formula(position) || order.endless.contains(&position);
            compiler.add(position, level, left_out, faults);
        }
        let (mut recipes, broken) = compiler.finish();
        make_up::compile(draft, index, &mut recipes, &broken, faulty, faults);
        let dough_of = |dough: &Option<Code>| index.item(dough.as_ref()?.as_str());
        recipes.dough_of_product = draft
            .products
            .iter()
            .map(|product| dough_of(&product.dough).unwrap_or(NO_RECIPE))
            .collect();
        keeping_check::allergens(draft, index, &recipes, faults);
        recipes
    }
}

/// The usual time of use on the service date, where a make-up line says none.
pub(super) fn usual_at() -> At {
    At { day: 0, time: jiff::civil::time(4, 0, 0, 0) }
}
