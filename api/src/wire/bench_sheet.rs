//! The bench sheet of a work date: what is divided and shaped, dough by dough.

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    findings, piece,
    printed::{self, PrintedView},
    undecided, weigh_out,
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    allergens::item_allergens,
    plan::bench::{BenchBlock, BenchLine, bench},
    ratio::Overflow,
    weigh::weigh_amount,
};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// All that is divided and shaped on one local date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BenchSheetView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which hands shape.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The service dates that it is shaped for.
    pub service_dates: Vec<String>,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Doughs by the start of their divide; those without a time last.
    pub blocks: Vec<BenchBlockView>,
}

/// One dough at the bench at one time.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BenchBlockView {
    /// When it starts: RFC 3339 with the bakery's offset; none if no time is on file.
    #[schema(example = "2026-06-11T13:45:00+02:00")]
    pub start: Option<String>,
    /// When the last of it is done.
    pub end: Option<String>,
    /// The formula that is divided.
    #[schema(example = "bun")]
    pub dough: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    pub service_date: String,
    /// Loads of the dough.
    pub loads: i64,
    /// Allergens of the dough.
    pub allergens: AllergensView,
    /// Its products, heaviest piece first.
    pub lines: Vec<BenchLineView>,
}

/// One product of a dough.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BenchLineView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// What one piece weighs raw, exactly; none if it is not weighed.
    pub scale_weight: Option<QuantityView>,
    /// The same as a scale shows it.
    pub printed: Option<PrintedView>,
    /// Start pieces.
    pub pieces: i64,
    /// The same load by load; empty if there is one load, or nobody knows.
    pub per_load: Vec<i64>,
    /// Whole trays or boards of this product alone.
    pub trays: Option<i64>,
    /// Pieces on a full one.
    pub per_tray: Option<i64>,
    /// What goes on or in beside the dough, for one piece.
    pub goes_on: Vec<piece::GoesOnView>,
    /// What there is too little of for it and can no longer be ordered: UNDECIDED until a
    /// person says what is done.
    pub undecided: Vec<String>,
    /// Where they go: the place if it is on file, else the step; none if no time is on file.
    pub to: Option<String>,
    /// When they go there.
    pub next_at: Option<String>,
}

/// Projects a plan to what is divided and shaped on a local date.
///
/// # Errors
/// [`Overflow`] if an amount cannot be written.
pub fn bench_sheet(morning: &Morning, work_date: Date) -> Result<BenchSheetView, Overflow> {
    let bakery = &morning.bakery;
    let found = bench(bakery, &morning.plan, work_date);
    let service_dates: BTreeSet<Date> = found.iter().map(|block| block.service_date).collect();
    let waits = undecided::by_product(morning);
    let blocks = found.iter().map(|one| block(morning, one, &waits));
    Ok(BenchSheetView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        service_dates: service_dates.iter().map(ToString::to_string).collect(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        blocks: blocks.collect::<Result<_, _>>()?,
    })
}

/// What products of service dates wait for.
type Waits = BTreeMap<(Date, u32), Vec<String>>;

fn block(morning: &Morning, block: &BenchBlock, waits: &Waits) -> Result<BenchBlockView, Overflow> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let item = bakery.item(block.dough);
    let recipes = bakery.recipes(block.service_date);
    let lines = block.lines.iter().map(|one| line(morning, block, one, waits));
    Ok(BenchBlockView {
        start: block.start.map(|at| instant(zone, at)),
        end: block.end.map(|at| instant(zone, at)),
        dough: item.code.to_string(),
        name: weigh_out::formula_name(morning, block.service_date, block.dough),
        service_date: block.service_date.to_string(),
        loads: block.loads,
        allergens: AllergensView::new(bakery, &item_allergens(bakery, recipes, block.dough)),
        lines: lines.collect::<Result<_, _>>()?,
    })
}

fn line(
    morning: &Morning,
    block: &BenchBlock,
    line: &BenchLine,
    waits: &Waits,
) -> Result<BenchLineView, Overflow> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let product = bakery.product(line.product);
    let weighed = line.piece.map(|ug| weigh_amount(bakery.scales(), ug)).transpose()?;
    let to = line.onward.as_ref().map(|onward| match onward.place {
        Some(place) => bakery.lists().places[place as usize].name.clone(),
        None => onward.step.clone(),
    });
    Ok(BenchLineView {
        product: product.code.to_string(),
        name: product.name.clone(),
        scale_weight: line.piece.map(QuantityView::mass),
        printed: weighed.map(|weighed| printed::line(bakery.scales(), weighed)),
        pieces: line.pieces,
        per_load: line.per_load.clone(),
        trays: line.trays,
        per_tray: product.tray.as_ref().map(|tray| tray.pieces),
        goes_on: piece::goes_on(morning, block.service_date, line.product),
        undecided: waits.get(&(block.service_date, line.product)).cloned().unwrap_or_default(),
        to,
        next_at: line.onward.as_ref().map(|onward| instant(zone, onward.start)),
    })
}
