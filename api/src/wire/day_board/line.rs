//! One dough on the board.

use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        amount::{QuantityView, instant},
        findings,
        printed::{self, PrintedView},
        undecided, weigh_out,
        why::link,
    },
};
use domain::{
    demand::PieceLine,
    plan::{Batch, HeldPart, board::BoardLine, why::WhyOf},
    quantity::Unit,
    ratio::Overflow,
};
use serde::Serialize;
use utoipa::ToSchema;

/// Something that is made on the date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BoardLineView {
    /// Which formula.
    #[schema(example = "country")]
    pub formula: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    pub service_date: String,
    /// What is weighed for all loads; none for laminated dough, which is folded block by block.
    pub to_mix: Option<QuantityView>,
    /// The same as it stands on paper.
    pub printed: Option<PrintedView>,
    /// Number of loads.
    pub loads: i64,
    /// How far each released load is; those that are not here are drafts.
    pub states: Vec<LoadStateView>,
    /// Whole blocks, for laminated dough.
    pub blocks: Option<i64>,
    /// What people call the mixer; none if it is made without one.
    pub mixer: Option<String>,
    /// When it starts: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub start: Option<String>,
    /// When it may start at the latest; none if nobody said.
    pub latest_start: Option<String>,
    /// Minutes between the two.
    pub slack_minutes: Option<i64>,
    /// Pieces that are divided from it.
    pub pieces: Vec<BoardPiecesView>,
    /// What holds it up.
    pub held_up: Vec<HeldUpView>,
    /// The chain behind its mass and loads.
    pub why: String,
}

/// How far a released load is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct LoadStateView {
    /// Its number among the loads of its formula and date.
    #[schema(example = 1)]
    pub load: i64,
    /// `released`, `weighed`, `mixed`, …
    #[schema(example = "released")]
    pub state: &'static str,
    /// Who set that.
    pub who: String,
    /// When: RFC 3339 with the bakery's offset.
    pub at: String,
}

/// Pieces of one product from a dough.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BoardPiecesView {
    /// Which product.
    #[schema(example = "country-large")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// Pieces to begin with.
    pub start: i64,
    /// Pieces that are ordered.
    pub ordered: i64,
    /// Pieces that counters open with, beyond what is ordered out of their par.
    pub par: i64,
    /// Pieces that nobody ordered yet and a forecast expects.
    pub forecast: i64,
    /// Pieces for customers that finished or frozen stock covers.
    pub from_stock: i64,
    /// Good pieces beyond what was asked.
    pub overs: i64,
    /// The chain behind its start pieces.
    pub why: String,
}

/// What holds something up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct HeldUpView {
    /// `ingredient`, `capacity`, `age` or `person`.
    #[schema(example = "ingredient")]
    pub by: &'static str,
    /// In words.
    #[schema(value_type = String, example = "Rye flour: 1.468 kg short")]
    pub what: Sentence,
}

pub(super) fn line(morning: &Morning, line: &BoardLine) -> Result<BoardLineView, Overflow> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let batch = &morning.plan.batches[line.batch as usize];
    let (date, item) = (batch.service_date, batch.item);
    let to_mix_ug = weighed_ug(morning, batch)?;
    let mixer = batch.mixer.map(|at| bakery.lists().mixers[at as usize].name.clone());
    let slack = line.start.zip(line.latest_start);
    let pieces = &morning.plan.demand.pieces;
    Ok(BoardLineView {
        formula: bakery.item(item).code.to_string(),
        name: weigh_out::formula_name(morning, date, item),
        service_date: date.to_string(),
        to_mix: to_mix_ug.map(|ug| QuantityView::whole(ug, Unit::Gram)),
        printed: to_mix_ug.map(printed::sum),
        loads: batch.all_loads(),
        states: states(morning, batch),
        blocks: batch.blocks,
        mixer,
        start: line.start.map(|at| instant(zone, at)),
        latest_start: line.latest_start.map(|at| instant(zone, at)),
        slack_minutes: slack.map(|(start, latest)| (latest.as_second() - start.as_second()) / 60),
        pieces: line.pieces.iter().map(|&at| of_product(morning, &pieces[at as usize])).collect(),
        held_up: held_up(morning, line, batch),
        why: link(bakery, WhyOf::Batch(date, item)),
    })
}

/// What is weighed for all loads together; blocks are weighed where their base is mixed.
fn weighed_ug(morning: &Morning, batch: &Batch) -> Result<Option<i64>, Overflow> {
    if batch.groups.is_empty() && batch.held.is_empty() {
        return Ok(None);
    }
    let held = batch.held.iter().filter_map(|part| morning.load_of(part.at));
    let held = held.map(|load| (load.body.sum_ug, 1));
    let drafts = batch.groups.iter().map(|group| (group.sum_ug, group.group.loads));
    let mut each = held.chain(drafts);
    let sum = each.try_fold(0_i64, |sum, (ug, loads)| sum.checked_add(ug.checked_mul(loads)?));
    sum.map(Some).ok_or(Overflow)
}

fn states(morning: &Morning, batch: &Batch) -> Vec<LoadStateView> {
    let zone = &morning.bakery.site().time_zone;
    let of = |part: &HeldPart| {
        let load = morning.load_of(part.at)?;
        Some(LoadStateView {
            load: part.number,
            state: load.state.word(),
            who: load.who.clone(),
            at: instant(zone, load.happened_at),
        })
    };
    batch.held.iter().filter_map(of).collect()
}

fn of_product(morning: &Morning, line: &PieceLine) -> BoardPiecesView {
    let product = morning.bakery.product(line.product);
    BoardPiecesView {
        product: product.code.to_string(),
        name: product.name.clone(),
        start: line.start,
        ordered: line.ordered,
        par: line.par,
        forecast: line.forecast,
        from_stock: line.from_stock,
        overs: line.overs(),
        why: link(&morning.bakery, WhyOf::Pieces(line.service_date, line.product)),
    }
}

fn held_up(morning: &Morning, line: &BoardLine, batch: &Batch) -> Vec<HeldUpView> {
    let bakery = &morning.bakery;
    let mut held: Vec<HeldUpView> = line
        .lacking
        .iter()
        .map(|lacking| {
            let item = bakery.item(lacking.item);
            let short = printed::amount(lacking.unmet_micro, item.base_unit);
            let message = match undecided::of_item(morning, lacking.item) {
                true => "day-board-short-undecided",
                false => "day-board-short",
            };
            let what = Sentence::of(message)
                .with("name", &item.name)
                .with("amount", Sentence::amount(short.said()));
            HeldUpView { by: "ingredient", what }
        })
        .collect();
    held.extend(findings::of_batch(morning, batch.service_date, batch.item));
    held
}
