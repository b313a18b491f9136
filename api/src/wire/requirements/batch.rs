//! Batches with their loads, lines and issue totals.

use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        amount::{QuantityView, instant},
        findings, overrides,
        why::link,
    },
};
use domain::{
    bakery::{Driver, RecipeLine},
    plan::{AskedBy, Batch, BatchGroup, FromStock, Issue, why::WhyOf},
    quantity::Unit,
    ratio::{Overflow, Ratio},
    scale::WeighState,
    weigh::{WeighedLine, exact},
};
use serde::Serialize;
use utoipa::ToSchema;

/// One formula made for one service date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BatchView {
    /// Which formula.
    #[schema(example = "country")]
    pub formula: String,
    /// Whether it is a feed: nobody asks for it, it keeps a levain alive on a day without a
    /// build.
    pub feed: bool,
    /// When it is weighed or made; none if no time fits the staffed hours.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub made_at: Option<String>,
    /// Who asks for how much.
    pub asked: Vec<AskView>,
    /// What dough or other made stock of the right age spares it.
    pub aged_dough_credit: QuantityView,
    /// The lots behind that, in the order in which they are taken.
    pub from_stock: Vec<FromStockView>,
    /// Sum of what is asked, less what made stock spares.
    pub net: QuantityView,
    /// The same with its losses.
    pub gross: QuantityView,
    /// Seed kept back for the next build.
    pub keep_back: QuantityView,
    /// All that is mixed, residue included.
    pub mix_mass: QuantityView,
    /// The mixer or pan.
    #[schema(example = "floor-spiral")]
    pub mixer: Option<String>,
    /// Number of loads, released ones included.
    pub loads: i64,
    /// Released and later loads, by number: they never move.
    pub held_loads: Vec<HeldLoadView>,
    /// What a person set by hand, with note and name.
    #[schema(value_type = Vec<String>)]
    pub overrides: Vec<Sentence>,
    /// What stays in the bowl of each load.
    pub residue_per_load: QuantityView,
    /// Whether a load is smaller than the mixer takes: a person must decide.
    pub under_minimum: bool,
    /// What that person may choose from.
    #[schema(value_type = Vec<String>)]
    pub options: Vec<Sentence>,
    /// Whole blocks, for laminated dough.
    pub blocks: Option<i64>,
    /// Its draft loads by size, larger first.
    pub load_groups: Vec<LoadGroupView>,
    /// What it takes over all loads, item by item.
    pub issue_totals: Vec<IssueTotalView>,
    /// Pieces in each draft load, if there are several loads.
    pub pieces_per_load: Vec<LoadPiecesView>,
    /// The chain behind its mass and loads.
    pub why: String,
}

/// A load that was released.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HeldLoadView {
    /// Which load.
    pub load: i64,
    /// Its UUID.
    pub id: String,
    /// `released`, `weighed`, …
    #[schema(example = "released")]
    pub state: &'static str,
    /// Who set that state.
    #[schema(example = "Anna")]
    pub who: String,
    /// What it weighs in the bowl, exactly.
    pub mix_mass: QuantityView,
    /// Its pieces.
    pub pieces: Vec<PiecesOfView>,
}

/// A made lot that is used before new is made.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FromStockView {
    /// The name on the tub.
    #[schema(example = "CD-0610")]
    pub lot: String,
    /// When it is taken: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-11T13:00:00+02:00")]
    pub at: String,
    /// How much of it is taken.
    pub used: QuantityView,
    /// What that spares after the losses of taking it.
    pub credit: QuantityView,
    /// Where it lies.
    #[schema(example = "chiller")]
    pub place: Option<String>,
}

/// What one user asks for.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AskView {
    /// A product or formula.
    #[schema(example = "country-large")]
    pub by: String,
    /// How much: grams, or batches of what is made by the batch.
    pub amount: QuantityView,
}

/// Loads of one size.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadGroupView {
    /// How many of them.
    pub loads: i64,
    /// Whole steps in each, such as pans; none if any mass will do.
    pub units: Option<i64>,
    /// What each weighs in the bowl, exactly.
    pub mix_mass: QuantityView,
    /// What each weighs by its rounded lines.
    pub weighed: QuantityView,
    /// How often the largest flour line was moved to bring the sum closer.
    pub nudges: u32,
    /// Whether the sum is within a quarter percent of the load.
    pub within_quarter_percent: bool,
    /// Whether rounding moved the hydration by more than 0.3 points; none without flour.
    pub hydration_moved: Option<bool>,
    /// Its lines, in order of addition.
    pub lines: Vec<LineView>,
}

/// One line of a load.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LineView {
    /// What is taken.
    #[schema(example = "strong-white")]
    pub item: String,
    /// How much, exactly.
    pub exact: QuantityView,
    /// How much by the scale: this is issued, summed and costed.
    pub weigh: Option<QuantityView>,
    /// Which scale; none for what is counted.
    #[schema(example = "floor")]
    pub scale: Option<String>,
    /// `ok`, `premix` (too little for any scale), `refused` (the scale shows 0) or `counted`.
    #[schema(example = "ok")]
    pub state: &'static str,
    /// Equal weighings, if the scale does not carry it at once.
    pub weighings: Vec<QuantityView>,
    /// The chain behind it.
    pub why: String,
}

/// What a batch takes of one item over all its loads.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct IssueTotalView {
    /// Which item.
    #[schema(example = "shell-egg")]
    pub item: String,
    /// Sum of the rounded lines.
    pub issue: QuantityView,
    /// Whole pieces to crack or cut for it, if stock of it is counted.
    pub count: Option<i64>,
    /// The chain behind one load of it.
    pub why: String,
}

/// Pieces of each product in one load.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadPiecesView {
    /// Which load, counted from 1.
    pub load: i64,
    /// Its pieces.
    pub pieces: Vec<PiecesOfView>,
    /// What they weigh together.
    pub mass: QuantityView,
}

/// Pieces of one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PiecesOfView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Whole pieces.
    pub pieces: i64,
}

pub(super) fn batch(morning: &Morning, batch: &Batch) -> Result<BatchView, Overflow> {
    let bakery = &morning.bakery;
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let by_batch = matches!(recipe.driver, Driver::Batch { .. });
    let asked = |amount: Ratio| {
        if by_batch { QuantityView::batches(amount) } else { QuantityView::mass(amount) }
    };
    let mut first = 0;
    let mut load_groups = Vec::with_capacity(batch.groups.len());
    for group in &batch.groups {
        load_groups.push(load_group(morning, batch, group, batch.number(first))?);
        first += usize::try_from(group.group.loads).map_err(|_| Overflow)?;
    }
    let mixer = batch.mixer.map(|mixer| bakery.lists().mixers[mixer as usize].code.to_string());
    let why_taken = |item| {
        // Blocks are not weighed: their chain is that of the whole batch.
        let held = batch.held.first().map(|part| part.number);
        let load = batch.numbers.first().copied().or(held);
        let of = match load.filter(|_| batch.blocks.is_none()) {
            None => WhyOf::Batch(batch.service_date, batch.item),
            Some(load) => WhyOf::Line(batch.service_date, batch.item, load, item),
        };
        link(bakery, of)
    };
    Ok(BatchView {
        formula: bakery.item(batch.item).code.to_string(),
        feed: batch.feed,
        made_at: batch.made_at.map(|at| instant(&bakery.site().time_zone, at)),
        asked: batch
            .asked
            .iter()
            .map(|ask| AskView { by: asker(morning, ask.by), amount: asked(ask.amount) })
            .collect(),
        aged_dough_credit: asked(batch.credit()?),
        from_stock: from_stock(morning, batch, &asked),
        net: asked(batch.net),
        gross: QuantityView::mass(batch.gross),
        keep_back: QuantityView::mass(batch.keep_back),
        // Blocks are folded, not mixed: there the mass is what must come out of them.
        mix_mass: QuantityView::mass(if batch.blocks.is_some() && batch.groups.is_empty() {
            batch.gross
        } else {
            let held = batch.held.iter().map(|part| part.mass);
            held.into_iter().try_fold(batch.split.mass, Ratio::plus)?
        }),
        mixer,
        loads: batch.all_loads(),
        held_loads: held_loads(morning, batch),
        overrides: overrides::of_batch(morning, batch),
        residue_per_load: QuantityView::mass(batch.split.residue),
        under_minimum: batch.split.under_minimum,
        options: batch.options.iter().map(|one| findings::option(bakery, one)).collect(),
        blocks: batch.blocks,
        load_groups,
        issue_totals: all_issues(batch)?
            .iter()
            .map(|issue| IssueTotalView {
                item: bakery.item(issue.item).code.to_string(),
                issue: QuantityView::new(issue.micro, unit(issue.counted)),
                count: issue.count,
                why: why_taken(issue.item),
            })
            .collect(),
        pieces_per_load: pieces_per_load(morning, batch),
        why: link(bakery, WhyOf::Batch(batch.service_date, batch.item)),
    })
}

/// What drafts and released loads take together; pieces to crack are those of drafts.
fn all_issues(batch: &Batch) -> Result<Vec<Issue>, Overflow> {
    let mut all = batch.issues.clone();
    for held in &batch.held_issues {
        let same = |issue: &&mut Issue| {
            (issue.item, issue.counted, issue.previous_batch)
                == (held.item, held.counted, held.previous_batch)
        };
        match all.iter_mut().find(same) {
            Some(issue) => issue.micro = issue.micro.plus(held.micro)?,
            None => all.push(*held),
        }
    }
    Ok(all)
}

fn held_loads(morning: &Morning, batch: &Batch) -> Vec<HeldLoadView> {
    let held = batch.held.iter();
    let found = held.filter_map(|part| Some((part, morning.load_of(part.at)?)));
    found
        .map(|(part, load)| HeldLoadView {
            load: part.number,
            id: load.id.clone(),
            state: load.state.word(),
            who: load.who.clone(),
            mix_mass: QuantityView::mass(part.mass),
            pieces: load
                .body
                .pieces
                .iter()
                .map(|(product, pieces)| PiecesOfView { product: product.clone(), pieces: *pieces })
                .collect(),
        })
        .collect()
}

fn asker(morning: &Morning, by: AskedBy) -> String {
    match by {
        AskedBy::Product(product) => morning.bakery.product(product).code.to_string(),
        AskedBy::Formula(item) => morning.bakery.item(item).code.to_string(),
    }
}

const fn unit(counted: bool) -> Unit {
    if counted { Unit::Each } else { Unit::Gram }
}

fn pieces_per_load(morning: &Morning, batch: &Batch) -> Vec<LoadPiecesView> {
    let of = |&(product, pieces): &(u32, i64)| PiecesOfView {
        product: morning.bakery.product(product).code.to_string(),
        pieces,
    };
    let loads = batch.numbers.iter().zip(&batch.pieces_per_load);
    loads
        .map(|(&load, held)| LoadPiecesView {
            load,
            pieces: held.pieces.iter().map(of).collect(),
            mass: QuantityView::mass(held.mass),
        })
        .collect()
}

fn from_stock(
    morning: &Morning,
    batch: &Batch,
    asked: &dyn Fn(Ratio) -> QuantityView,
) -> Vec<FromStockView> {
    let zone = &morning.bakery.site().time_zone;
    let view = |taken: &FromStock| {
        let lot = &morning.book.lots[taken.lot as usize];
        FromStockView {
            lot: lot.name.clone(),
            at: instant(zone, taken.at),
            used: QuantityView::whole(taken.used_ug, Unit::Gram),
            credit: asked(taken.credit),
            place: lot.place.as_ref().map(ToString::to_string),
        }
    };
    batch.from_stock.iter().map(view).collect()
}

fn load_group(
    morning: &Morning,
    batch: &Batch,
    group: &BatchGroup,
    first_load: i64,
) -> Result<LoadGroupView, Overflow> {
    let mut lines = Vec::new();
    for (line, weighed) in morning.plan.lines_of(&morning.bakery, batch, group) {
        lines.push(line_view(morning, batch, (line, weighed), group, first_load)?);
    }
    Ok(LoadGroupView {
        loads: group.group.loads,
        units: group.group.steps,
        mix_mass: QuantityView::mass(group.group.mass),
        weighed: QuantityView::whole(group.sum_ug, Unit::Gram),
        nudges: group.nudges,
        within_quarter_percent: group.within_tolerance,
        hydration_moved: group.hydration_moved,
        lines,
    })
}

fn line_view(
    morning: &Morning,
    batch: &Batch,
    (line, weighed): (&RecipeLine, &WeighedLine),
    group: &BatchGroup,
    load: i64,
) -> Result<LineView, Overflow> {
    let bakery = &morning.bakery;
    let unit = unit(line.flags.counted());
    let scales = bakery.scales();
    let weighings = weighed.weighing.map(|weighing| scales.parts_ug(weighing)).unwrap_or_default();
    Ok(LineView {
        item: bakery.item(line.item).code.to_string(),
        exact: QuantityView::new(exact(line, group.factor)?, unit),
        weigh: Some(QuantityView::whole(weighed.micro, unit)),
        scale: weighed.weighing.map(|found| scales.as_slice()[found.scale].code.to_string()),
        state: state_word(weighed.state),
        weighings: weighings.into_iter().map(|ug| QuantityView::whole(ug, unit)).collect(),
        why: link(bakery, WhyOf::Line(batch.service_date, batch.item, load, line.item)),
    })
}

/// How a weighing came out, in the word that answers use.
#[must_use]
pub const fn state_word(state: WeighState) -> &'static str {
    match state {
        WeighState::Ok => "ok",
        WeighState::Premix => "premix",
        WeighState::Refused => "refused",
        WeighState::Counted => "counted",
    }
}
