//! Loads as they are answered.

use crate::{
    service::{
        loads::{Draft, LineBody, Load, LoadEvent, LoadHistory},
        plan::Morning,
    },
    wire::{
        amount::{QuantityView, instant},
        weigh_out::blocks_mass,
    },
};
use domain::{bakery::Bakery, plan::Batch, quantity::Unit, ratio::Ratio};
use jiff::{civil::Date, tz::TimeZone};
use serde::Serialize;
use serde_json::Value;
use utoipa::ToSchema;

/// One load with all that happened to it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadView {
    /// UUID of version 7.
    #[schema(example = "01975a30-1c00-7000-8000-000000000000")]
    pub id: String,
    /// Which formula.
    #[schema(example = "bun")]
    pub formula: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Its number among the loads of the formula and date; never given twice.
    pub load: i64,
    /// `released`, `weighed`, `mixed`, `divided`, `baked`, `packed`, `sent`, `cancelled`, `lost`.
    #[schema(example = "released")]
    pub state: &'static str,
    /// States that can be next.
    #[schema(example = json!(["weighed", "cancelled"]))]
    pub next: Vec<&'static str>,
    /// The start of its first step: RFC 3339 with the bakery's offset.
    pub starts_at: String,
    /// The mixer or pan.
    pub mixer: Option<String>,
    /// From when the version of the formula was valid that it keeps; null if always.
    #[schema(example = "2026-06-01")]
    pub formula_valid_from: Option<String>,
    /// What it should weigh in the bowl, exactly.
    pub mix_mass: QuantityView,
    /// Sum of its weighed lines.
    pub weighed: QuantityView,
    /// Its lines as they were released, in the order of the page.
    pub lines: Vec<LoadLineView>,
    /// Whole pieces that are to come of it.
    pub pieces: Vec<LoadPiecesOfView>,
    /// Id of the lot that it became when it was mixed.
    pub lot: Option<String>,
    /// All that happened to it, oldest first.
    pub history: Vec<LoadEventView>,
}

/// One line of a load as it was released.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadLineView {
    /// Its number on the page.
    pub number: usize,
    /// What is taken.
    #[schema(example = "fine-salt")]
    pub item: String,
    /// How much, exactly.
    pub exact: QuantityView,
    /// How much by the scale.
    pub weigh: QuantityView,
    /// Which scale.
    pub scale: Option<String>,
    /// Names of the lots that were proposed.
    pub lots: Vec<String>,
}

/// Pieces of one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadPiecesOfView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// Whole pieces.
    pub pieces: i64,
}

/// One step of a load.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadEventView {
    /// `released`, `weighed`, …, or `count-back`.
    #[schema(example = "weighed")]
    pub step: String,
    /// Who did it.
    #[schema(example = "Ben")]
    pub who: String,
    /// When it happened: RFC 3339 with the bakery's offset.
    pub happened_at: String,
    /// When it was written down.
    pub recorded_at: String,
    /// A remark.
    pub note: Option<String>,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// What was sent, and under `posted` what it did to the stock.
    #[schema(value_type = Object)]
    pub body: Value,
}

/// A load in a list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadRowView {
    /// UUID of a released load; of a draft a name such as `2026-06-12:bun:1`.
    #[schema(example = "2026-06-12:bun:1")]
    pub id: String,
    /// Which formula.
    #[schema(example = "bun")]
    pub formula: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Its number among the loads of the formula and date.
    pub load: i64,
    /// `draft`, `released`, …
    #[schema(example = "draft")]
    pub state: &'static str,
    /// Who set that state; none for a draft.
    pub who: Option<String>,
    /// When that happened.
    pub happened_at: Option<String>,
    /// The start of its first step.
    pub starts_at: String,
    /// When this load goes into its mixer, if its minutes are on file.
    pub mixes_at: Option<String>,
    /// The mixer or pan.
    pub mixer: Option<String>,
    /// What it should weigh in the bowl, exactly.
    pub mix_mass: QuantityView,
}

/// Loads of a work date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadsView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
    /// The local date on which they start.
    pub work_date: String,
    /// Drafts and released loads by their start.
    pub rows: Vec<LoadRowView>,
}

impl LoadView {
    /// A load with its history.
    #[must_use]
    pub fn new(bakery: &Bakery, history: &LoadHistory) -> Self {
        let zone = &bakery.site().time_zone;
        let LoadHistory { load, events, etag: _ } = history;
        let mut lines: Vec<LoadLineView> =
            load.body.lines.iter().map(|line| line_view(load, line)).collect();
        lines.sort_by_key(|line| line.number);
        Self {
            id: load.id.clone(),
            formula: load.formula.clone(),
            name: load.body.name.clone(),
            service_date: load.service_date.to_string(),
            load: load.number,
            state: load.state.word(),
            next: load.state.next().iter().map(|state| state.word()).collect(),
            starts_at: instant(zone, load.starts_at),
            mixer: load.body.mixer.clone(),
            formula_valid_from: load.body.formula_valid_from.clone(),
            mix_mass: QuantityView::mass(load.mass()),
            weighed: QuantityView::whole(load.body.sum_ug, Unit::Gram),
            lines,
            pieces: load.body.pieces.iter().map(pieces).collect(),
            lot: load.lot.clone(),
            history: events.iter().map(|event| event_view(zone, event)).collect(),
        }
    }
}

fn pieces((product, pieces): &(String, i64)) -> LoadPiecesOfView {
    LoadPiecesOfView { product: product.clone(), pieces: *pieces }
}

fn line_view(load: &Load, line: &LineBody) -> LoadLineView {
    let unit = if line.counted { Unit::Each } else { Unit::Gram };
    let draws = load.body.draws.iter().filter(|draw| draw.item == line.item);
    LoadLineView {
        number: line.number,
        item: line.item.clone(),
        exact: QuantityView::new(line.exact_ratio().unwrap_or(Ratio::ZERO), unit),
        weigh: QuantityView::whole(line.micro, unit),
        scale: line.scale.clone(),
        lots: draws.flat_map(|draw| &draw.lots).map(|lot| lot.name.clone()).collect(),
    }
}

fn event_view(zone: &TimeZone, event: &LoadEvent) -> LoadEventView {
    let LoadEvent { step, who, happened_at, recorded_at, body, note, plan_revision } = event;
    LoadEventView {
        step: step.clone(),
        who: who.clone(),
        happened_at: instant(zone, *happened_at),
        recorded_at: instant(zone, *recorded_at),
        note: note.clone(),
        plan_revision: *plan_revision,
        body: body.clone(),
    }
}

/// Loads of a work date: released ones as they are held, and the plan's drafts.
#[must_use]
pub fn loads(morning: &Morning, work_date: Date, held: &[Load]) -> LoadsView {
    let zone = &morning.bakery.site().time_zone;
    let mut rows: Vec<LoadRowView> = held.iter().map(|load| held_row(zone, load)).collect();
    rows.extend(drafts(morning, work_date));
    rows.sort_by(|a, b| {
        let key = |row: &LoadRowView| {
            (row.starts_at.clone(), row.service_date.clone(), row.formula.clone(), row.load)
        };
        key(a).cmp(&key(b))
    });
    LoadsView {
        plan_revision: morning.plan_revision,
        made_at: instant(zone, morning.now),
        work_date: work_date.to_string(),
        rows,
    }
}

fn held_row(zone: &TimeZone, load: &Load) -> LoadRowView {
    LoadRowView {
        id: load.id.clone(),
        formula: load.formula.clone(),
        service_date: load.service_date.to_string(),
        load: load.number,
        state: load.state.word(),
        who: Some(load.who.clone()),
        happened_at: Some(instant(zone, load.happened_at)),
        starts_at: instant(zone, load.starts_at),
        mixes_at: load.mixes_at().map(|at| instant(zone, at)),
        mixer: load.body.mixer.clone(),
        mix_mass: QuantityView::mass(load.mass()),
    }
}

/// Draft loads that start on a local date.
#[must_use]
pub fn drafts(morning: &Morning, work_date: Date) -> Vec<LoadRowView> {
    let of_date =
        |batch: &&Batch| batch.made_at.is_some_and(|at| morning.local_date(at) == work_date);
    let batches = morning.plan.batches.iter().map(|batch| &**batch);
    batches.filter(of_date).flat_map(|batch| of_batch(morning, batch)).collect()
}

fn of_batch(morning: &Morning, batch: &Batch) -> Vec<LoadRowView> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let formula = bakery.item(batch.item).code.to_string();
    let mixer = batch.mixer.map(|at| bakery.lists().mixers[at as usize].code.to_string());
    let mixed =
        batch.groups.iter().flat_map(|group| (0..group.group.loads).map(|_| group.group.mass));
    let folded = batch.blocks.filter(|blocks| *blocks > 0);
    let folded = folded.map(|_| blocks_mass(morning, batch).unwrap_or(batch.gross));
    let masses = mixed.chain(folded);
    batch
        .numbers
        .iter()
        .zip(masses)
        .map(|(&number, mass)| LoadRowView {
            id: Draft { service_date: batch.service_date, formula: formula.clone(), number }.id(),
            formula: formula.clone(),
            service_date: batch.service_date.to_string(),
            load: number,
            state: "draft",
            who: None,
            happened_at: None,
            starts_at: batch.made_at.map(|at| instant(zone, at)).unwrap_or_default(),
            mixes_at: batch.mixes_at(number).map(|at| instant(zone, at)),
            mixer: mixer.clone(),
            mix_mass: QuantityView::mass(mass),
        })
        .collect()
}
