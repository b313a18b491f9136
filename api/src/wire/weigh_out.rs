//! The weigh-out of a work date: one block per dough, one page per load.

mod blocks;
mod held;
pub mod lots;
mod page;
mod topping;
mod tub;

pub(crate) use blocks::{blocks_lines, blocks_mass, blocks_ug, folded};
pub(crate) use lots::Handout;
pub use lots::LotProposalView;
pub(super) use page::ONE_PERSON_UG;
pub(crate) use page::{load_lines, page_notes};
pub use tub::Tub;
pub(super) use tub::tub;

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    findings,
    printed::PrintedView,
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    allergens::{Allergens, item_allergens},
    plan::{Batch, day_old::DayOldError},
    ratio::Overflow,
};
use jiff::{Timestamp, civil::Date};
use serde::Serialize;
use std::cmp::Reverse;
use utoipa::ToSchema;

/// All that is weighed on one local date, in mix order.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WeighOutView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which it is weighed.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Doughs, creams and the like by the start of their mix.
    pub blocks: Vec<WeighBlockView>,
    /// What goes onto or into pieces, product by product.
    pub toppings: Vec<ToppingBlockView>,
}

/// One formula made on the date for one service date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WeighBlockView {
    /// Which formula.
    #[schema(example = "country")]
    pub formula: String,
    /// What people call it.
    #[schema(example = "Country dough")]
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Whether it is a feed that keeps a levain alive; nobody asks for it.
    pub feed: bool,
    /// When its first step starts: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub made_at: String,
    /// The mixer or pan.
    #[schema(example = "floor-spiral")]
    pub mixer: Option<String>,
    /// What people call the mixer.
    pub mixer_name: Option<String>,
    /// Number of loads.
    pub loads: i64,
    /// Whole blocks, for laminated dough.
    pub blocks: Option<i64>,
    /// Sum of all lines of all loads.
    pub weighed: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Whether a load is smaller than the mixer takes: UNDECIDED until a person chooses.
    pub under_minimum: bool,
    /// What that person may choose from.
    #[schema(value_type = Vec<String>)]
    pub options: Vec<Sentence>,
    /// Made stock that goes first, in words.
    #[schema(value_type = Vec<String>)]
    pub use_first: Vec<Sentence>,
    /// Allergens that the block before had and this one has not: clean down first.
    pub clean_down: Vec<String>,
    /// What a person set by hand for it, with note and name.
    #[schema(value_type = Vec<String>)]
    pub overrides: Vec<Sentence>,
    /// Allergens of the whole dough.
    pub allergens: AllergensView,
    /// One page for each load.
    pub pages: Vec<WeighPageView>,
    /// The chain behind its mass and loads.
    pub why: String,
}

/// One load on its page.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WeighPageView {
    /// Which load, counted from 1; the number of a load never changes.
    pub load: i64,
    /// Names it for `POST /v1/loads/{id}/release` while it is a draft, and for its later steps.
    #[schema(example = "2026-06-12:bun:1")]
    pub id: String,
    /// `draft` moves with every change; `released`, `weighed`, … does not.
    #[schema(example = "draft")]
    pub state: &'static str,
    /// Who set that state, and when: RFC 3339 with the bakery's offset; none for a draft.
    pub state_by: Option<StateByView>,
    /// Whether it is weighed already: it is not to be weighed again.
    pub done: bool,
    /// When its first step starts: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub starts_at: String,
    /// When this load goes into its mixer, if its minutes are on file.
    #[schema(example = "2026-06-11T11:22:00+02:00")]
    pub mixes_at: Option<String>,
    /// The mixer or pan.
    #[schema(example = "floor-spiral")]
    pub mixer: Option<String>,
    /// What people call the mixer.
    pub mixer_name: Option<String>,
    /// What the load should weigh, exactly.
    pub mix_mass: QuantityView,
    /// Sum of the lines that are weighed.
    pub weighed: QuantityView,
    /// The same as it stands on paper: the printed lines add up to it.
    pub printed: PrintedView,
    /// Whole steps in it, such as pans.
    pub units: Option<i64>,
    /// What a person should know of this load.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Whether it is heavier than one person should lift.
    pub two_people: bool,
    /// Its lines, tub by tub.
    pub lines: Vec<WeighLineView>,
}

/// Who set the state of a load, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct StateByView {
    /// Who did it.
    #[schema(example = "Anna")]
    pub who: String,
    /// When: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T13:05:00+02:00")]
    pub at: String,
}

/// One line of a page.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WeighLineView {
    /// Its number on the page.
    pub number: usize,
    /// What is taken.
    #[schema(example = "fine-salt")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Fine salt")]
    pub name: String,
    /// How much, exactly.
    pub exact: QuantityView,
    /// How much by the scale: this is issued, summed and costed.
    pub weigh: QuantityView,
    /// The same as it stands on paper, weighing by weighing.
    pub printed: PrintedView,
    /// Which scale; none for what is counted.
    #[schema(example = "bench")]
    pub scale: Option<String>,
    /// `ok`, `premix` (too little for any scale), `refused` (the scale shows 0) or `counted`.
    #[schema(example = "ok")]
    pub state: &'static str,
    /// Which tub: `flour`, `dry`, `salt`, `yeast`, `cold`, `own tub`, `liquid`, `at use`.
    #[schema(example = "salt")]
    pub tub: &'static str,
    /// Lots that are proposed, first expired first.
    pub lots: Vec<LotProposalView>,
    /// What no lot covers, in the item's base unit.
    pub short: Option<QuantityView>,
    /// Whether that can no longer be ordered by anybody on record: UNDECIDED until a person
    /// chooses what to do.
    pub undecided: bool,
    /// Where it comes from instead of a lot, and what else a hand should know.
    #[schema(value_type = Vec<String>)]
    pub remarks: Vec<Sentence>,
    /// Its allergens.
    pub allergens: AllergensView,
    /// The chain behind it.
    pub why: String,
}

/// What goes onto or into the pieces of one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ToppingBlockView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// When the first of it is used: RFC 3339 with the bakery's offset.
    pub at: String,
    /// Pieces to begin with.
    pub pieces: i64,
    /// What a person set by hand for it, with note and name.
    #[schema(value_type = Vec<String>)]
    pub overrides: Vec<Sentence>,
    /// Its lines.
    pub lines: Vec<WeighLineView>,
    /// Pieces of an earlier bake that it is made of, lot by lot.
    pub day_old: Vec<WeighLineView>,
}

/// Projects a plan to what is weighed on a local date.
///
/// # Errors
/// [`DayOldError`] if an exact amount cannot be written, or beyond all calendars.
pub fn weigh_out(morning: &Morning, work_date: Date) -> Result<WeighOutView, DayOldError> {
    let blocks = blocks_of(morning, work_date)?;
    Ok(WeighOutView {
        plan_revision: morning.plan_revision,
        made_at: instant(&morning.bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        bakery: morning.bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        blocks: blocks.into_iter().map(|(_, block)| block).collect(),
        toppings: topping::toppings(morning, work_date)?,
    })
}

/// The blocks of a local date, each with its batch.
///
/// # Errors
/// [`Overflow`] if an exact amount cannot be written.
pub(super) fn blocks_of(
    morning: &Morning,
    work_date: Date,
) -> Result<Vec<(&Batch, WeighBlockView)>, Overflow> {
    let mut before: Option<Allergens> = None;
    let mut blocks = Vec::new();
    for batch in in_mix_order(morning, work_date) {
        let found = batch_allergens(morning, batch);
        let clean_down = before.as_ref().map_or_else(Vec::new, |before| gone(before, &found));
        blocks.push((batch, page::block(morning, batch, work_date, (&found, clean_down))?));
        before = Some(found);
    }
    Ok(blocks)
}

/// Batches of a local date by the start of their mix; at one time, what is used first.
fn in_mix_order(morning: &Morning, work_date: Date) -> Vec<&Batch> {
    let mut order: Vec<(Timestamp, usize, &Batch)> = morning
        .plan
        .batches
        .iter()
        .enumerate()
        .filter_map(|(at, batch)| Some((first_start(morning, batch, work_date)?, at, &**batch)))
        .collect();
    order.sort_by_key(|&(start, at, batch)| (start, batch.service_date, Reverse(at)));
    order.into_iter().map(|(_, _, batch)| batch).collect()
}

/// The first start of a batch's loads on a local date, held or drafted.
fn first_start(morning: &Morning, batch: &Batch, work_date: Date) -> Option<Timestamp> {
    let new = batch.split.loads > 0 || batch.blocks.is_some_and(|blocks| blocks > 0);
    let drafted = batch.made_at.filter(|_| new || !batch.from_stock.is_empty());
    let held = batch.held.iter().map(|part| morning.book.held[part.at as usize].starts_at);
    let starts = held.chain(drafted).filter(|at| morning.local_date(*at) == work_date);
    starts.min()
}

/// What people call a formula, or what it makes.
pub(super) fn formula_name(morning: &Morning, date: Date, item: u32) -> String {
    let recipes = morning.bakery.recipes(date);
    let recipe = recipes.of_item(item).map(|at| &recipes.recipes[at]);
    let name = recipe.map(|recipe| &morning.bakery.formula_of(recipe).name);
    let named = name.filter(|name| !name.is_empty());
    named.unwrap_or(&morning.bakery.item(item).name).clone()
}

pub(super) fn batch_allergens(morning: &Morning, batch: &Batch) -> Allergens {
    let recipes = morning.bakery.recipes(batch.service_date);
    item_allergens(&morning.bakery, recipes, batch.item)
}

/// What the block before had in it, and this one has not.
///
/// What nobody knows of the block before counts as an allergen.
pub(super) fn gone(before: &Allergens, now: &Allergens) -> Vec<String> {
    let mut gone: Vec<String> = before.contains.difference(&now.contains).cloned().collect();
    let unknown = before.unknown.difference(&now.unknown);
    gone.extend(unknown.map(|item| format!("{item} (allergens not known)")));
    gone
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        command::demo::Demo,
        service::plan::{self, Horizon},
    };
    use domain::id::Code;

    fn with(contains: &[&str], unknown: &[&str]) -> Allergens {
        Allergens {
            contains: contains.iter().map(|&word| word.to_owned()).collect(),
            unknown: unknown.iter().map(|code| Code::parse(code).expect("a code")).collect(),
            ..Allergens::default()
        }
    }

    #[test]
    fn a_block_without_the_allergen_of_the_one_before_needs_a_clean_down() {
        // Source: trade rules, part 6: free of X after X needs a full clean.
        let (nut, plain) = (with(&["almond", "wheat"], &[]), with(&["wheat"], &[]));
        assert_eq!(gone(&nut, &plain), ["almond"]);
        assert!(gone(&plain, &nut).is_empty());
        assert_eq!(gone(&with(&[], &["paste"]), &plain), ["paste (allergens not known)"]);
    }

    /// Tenths of a milligram in a printed amount, all weighings together.
    fn printed_tenths(printed: &PrintedView) -> i64 {
        let decimals = if printed.unit == "kg" { 7 } else { 4 };
        let tenths = |text: &str| {
            let (whole, part) = text.split_once('.').unwrap_or((text, ""));
            format!("{whole}{part:0<decimals$}").parse::<i64>().expect("digits")
        };
        let weighing = |text: &str| match text.split_once(" × ") {
            Some((count, each)) => count.parse::<i64>().expect("a count") * tenths(each),
            None => tenths(text),
        };
        printed.amount.split(" + ").map(weighing).sum()
    }

    #[test]
    fn printed_lines_add_up_to_the_printed_sums_and_salt_never_meets_yeast() {
        let (state, _folder) = Demo::open().expect("the demo bakery loads").into_parts();
        let mut lines = 0;
        for day in ["2026-06-10", "2026-06-11", "2026-06-12", "2026-06-13"] {
            let date: Date = day.parse().expect("a date");
            let morning = plan::load(&state, Horizon::WorkDate(date)).expect("a plan");
            let view = weigh_out(&morning, date).expect("a view");
            for block in view.blocks.iter().filter(|block| block.loads > 0) {
                let mut all = 0;
                for page in &block.pages {
                    let weighed = page.lines.iter().filter(|line| line.state != "counted");
                    let sum: i64 = weighed.map(|line| printed_tenths(&line.printed)).sum();
                    assert_eq!(sum, printed_tenths(&page.printed), "{} {}", block.name, page.load);
                    all += sum;
                    lines += page.lines.len();
                    let tub = |word: &str| {
                        page.lines.iter().find(|line| line.item.contains(word)).map(|line| line.tub)
                    };
                    if let (Some(salt), Some(yeast)) = (tub("salt"), tub("yeast")) {
                        assert_ne!(salt, yeast, "{}", block.name);
                    }
                }
                assert_eq!(all, printed_tenths(&block.printed), "{}", block.name);
            }
        }
        assert!(lines > 100, "only {lines} lines were added up");
    }
}
