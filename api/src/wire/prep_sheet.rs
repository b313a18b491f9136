//! The prep sheet of a work date: what is made ready beside the doughs.

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    findings, printed,
    printed::PrintedView,
    weigh_out::{self, WeighBlockView},
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::{Morning, refused},
    },
};
use domain::{
    allergens::item_allergens,
    bakery::Driver,
    plan::{
        Ask, AskedBy, Batch, NeedUser,
        made_stock::made_window,
        prep::{FruitCut, fruit_cuts, is_prep},
    },
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// All that is made ready on one local date, by its start.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PrepSheetView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which hands work.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Levains, soakers, creams, washes and the like.
    pub rows: Vec<PrepRowView>,
    /// Fruit that is cut, by the start of what takes it.
    pub fruit: Vec<PrepFruitView>,
}

/// One thing to make ready.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PrepRowView {
    /// Which formula.
    #[schema(example = "levain")]
    pub formula: String,
    /// What people call it.
    #[schema(example = "Levain")]
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Whether it is a feed that keeps a levain alive; nobody asks for it.
    pub feed: bool,
    /// When to start: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-11T02:00:00+02:00")]
    pub start: String,
    /// The latest start with which every drop is met; none if nobody knows.
    pub latest_start: Option<String>,
    /// All loads that are still to be weighed, as the weigh-out sums them.
    pub weighed: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Number of loads or pans.
    pub loads: i64,
    /// Whether all of it is weighed already.
    pub done: bool,
    /// For what, and how much of it.
    #[serde(rename = "for")]
    pub used_by: Vec<PrepUseView>,
    /// Seed that is kept back for the next build at least, up to a whole gram; none if none is.
    pub keep_back: Option<PrintedView>,
    /// From when it may be used, by its least age.
    pub use_from: Option<String>,
    /// Until when, by its greatest age or its life; none if nobody said: ask.
    pub use_until: Option<String>,
    /// Made stock that goes first, in words.
    #[schema(value_type = Vec<String>)]
    pub use_first: Vec<Sentence>,
    /// Whether a load is smaller than the pan takes: UNDECIDED until a person chooses.
    pub under_minimum: bool,
    /// What that person may choose from.
    #[schema(value_type = Vec<String>)]
    pub options: Vec<Sentence>,
    /// What is in it.
    pub allergens: AllergensView,
}

/// Who takes something that is made ready.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PrepUseView {
    /// A formula or product.
    #[schema(example = "country")]
    pub code: String,
    /// What people call it.
    pub name: String,
    /// How much it takes; none where whole pans are asked for.
    pub printed: Option<PrintedView>,
}

/// Fruit that is cut for one use.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PrepFruitView {
    /// Which fruit.
    #[schema(example = "lemons")]
    pub fruit: String,
    /// What people call it.
    pub name: String,
    /// When what takes it begins.
    pub at: String,
    /// What takes it.
    #[serde(rename = "for")]
    #[schema(example = "lemon-syrup")]
    pub used_by: String,
    /// What people call that.
    pub used_by_name: String,
    /// For which service date.
    pub service_date: String,
    /// Whole fruits from stock; 0 if fruit that was cut before gives all of it.
    pub fruits: i64,
    /// What it must give, skin before juice.
    pub outputs: Vec<PrepOutputView>,
}

/// What fruit must give.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PrepOutputView {
    /// Which item.
    #[schema(example = "lemon-zest")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// How much.
    pub printed: PrintedView,
    /// What of it is spare of fruit that was cut before.
    pub from_spare: Option<PrintedView>,
    /// Fruits cut before, or for another output of this use, that still hold it.
    pub cut_before: i64,
}

/// Projects a plan to what is made ready on a local date.
///
/// # Errors
/// [`Refusal`] if an exact amount cannot be written, or a date is beyond all calendars.
pub fn prep_sheet(morning: &Morning, work_date: Date) -> Result<PrepSheetView, Refusal> {
    let bakery = &morning.bakery;
    let mut rows = Vec::new();
    for (batch, block) in weigh_out::blocks_of(morning, work_date).map_err(refused)? {
        if is_prep(bakery, batch) {
            rows.push(row(morning, batch, block)?);
        }
    }
    let cuts = fruit_cuts(bakery, &morning.plan, work_date).map_err(refused)?;
    let fruit = cuts.iter().map(|cut| fruit(morning, cut)).collect::<Result<_, _>>();
    Ok(PrepSheetView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        rows,
        fruit: fruit.map_err(refused)?,
    })
}

fn row(morning: &Morning, batch: &Batch, block: WeighBlockView) -> Result<PrepRowView, Refusal> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let window = batch.made_at.map(|at| made_window(bakery, recipe, at)).transpose();
    let window = window.map_err(refused)?;
    let by_mass = recipe.driver == Driver::Mass;
    let uses = batch.asked.iter().map(|ask| used_by(morning, ask, by_mass));
    let kept = batch.keep_back.is_positive();
    Ok(PrepRowView {
        start: block.made_at,
        latest_start: batch.latest_start.map(|at| instant(zone, at)),
        done: !block.pages.is_empty() && block.pages.iter().all(|page| page.done),
        used_by: uses.collect::<Result<_, _>>().map_err(refused)?,
        keep_back: kept.then(|| at_least(batch.keep_back)).transpose().map_err(refused)?,
        use_from: window.map(|window| instant(zone, window.ready)),
        use_until: window.and_then(|window| window.last).map(|at| instant(zone, at)),
        formula: block.formula,
        name: block.name,
        service_date: block.service_date,
        feed: block.feed,
        weighed: block.weighed,
        printed: block.printed,
        loads: block.loads,
        use_first: block.use_first,
        under_minimum: block.under_minimum,
        options: block.options,
        allergens: AllergensView::new(
            bakery,
            &item_allergens(bakery, bakery.recipes(batch.service_date), batch.item),
        ),
    })
}

/// An exact mass as it is said: to the milligram, half up.
fn grams(ug: Ratio) -> Result<PrintedView, Overflow> {
    let milligram = Ratio::whole(1_000);
    let milligrams = ug.over(milligram)?.round_half_up()?;
    let micro = i64::try_from(milligrams).ok().and_then(|mg| mg.checked_mul(1_000));
    Ok(printed::amount(micro.ok_or(Overflow)?, Unit::Gram))
}

/// An exact mass in whole grams, rounded up.
fn at_least(ug: Ratio) -> Result<PrintedView, Overflow> {
    let grams = i64::try_from(ug.over(Ratio::whole(MICRO.into()))?.ceil()).ok();
    let micro = grams.and_then(|grams| grams.checked_mul(MICRO));
    Ok(printed::amount(micro.ok_or(Overflow)?, Unit::Gram))
}

fn used_by(morning: &Morning, ask: &Ask, by_mass: bool) -> Result<PrepUseView, Overflow> {
    let (code, name) = match ask.by {
        AskedBy::Product(product) => named_product(morning, product),
        AskedBy::Formula(item) => named_item(morning, item),
    };
    let printed = by_mass.then(|| grams(ask.amount)).transpose()?;
    Ok(PrepUseView { code, name, printed })
}

fn named_item(morning: &Morning, item: u32) -> (String, String) {
    let found = morning.bakery.item(item);
    (found.code.to_string(), found.name.clone())
}

fn named_product(morning: &Morning, product: u32) -> (String, String) {
    let found = morning.bakery.product(product);
    (found.code.to_string(), found.name.clone())
}

fn fruit(morning: &Morning, cut: &FruitCut) -> Result<PrepFruitView, Overflow> {
    let bakery = &morning.bakery;
    let (fruit, name) = named_item(morning, cut.fruit);
    let (used_by, used_by_name) = match cut.user {
        NeedUser::Product(product) => named_product(morning, product),
        NeedUser::Formula(item) => named_item(morning, item),
    };
    let output = |(item, draw): &(u32, domain::fruit::OutputDraw)| {
        let (item, name) = named_item(morning, *item);
        let spare = draw.from_spare.is_positive();
        Ok(PrepOutputView {
            item,
            name,
            printed: grams(draw.needed)?,
            from_spare: spare.then(|| grams(draw.from_spare)).transpose()?,
            cut_before: draw.cut_before,
        })
    };
    Ok(PrepFruitView {
        fruit,
        name,
        at: instant(&bakery.site().time_zone, cut.at),
        used_by,
        used_by_name,
        service_date: cut.service_date.to_string(),
        fruits: cut.fruits,
        outputs: cut.outputs.iter().map(output).collect::<Result<_, Overflow>>()?,
    })
}
