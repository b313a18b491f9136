//! Back from drops to the start of every step, and loads in their mixers.

use super::{amount::instant, findings, named};
use crate::{
    messages::Sentence,
    service::plan::{Asked, Morning},
};
use domain::plan::{Bake, Batch, Finding, Hindrance, NeedUser, NoFit, Run, Spot, TimedStep};
use jiff::{Timestamp, civil::Date};
use serde::Serialize;
use utoipa::ToSchema;

/// When everything for one service date happens.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ScheduleView {
    /// The bakery's name.
    pub bakery: String,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which the goods are sold.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Products with a route, by drop, then as the bakery lists them.
    pub products: Vec<ProductScheduleView>,
    /// Batches, users before what they use.
    pub batches: Vec<BatchScheduleView>,
}

/// The way of one product to one drop.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductScheduleView {
    /// Which product.
    #[schema(example = "custard-bun")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// When it leaves or is fetched.
    #[schema(example = "2026-06-12T07:00:00+02:00")]
    pub drop: String,
    /// Whether they are par-baked and only finished.
    pub par_baked: bool,
    /// Start pieces.
    pub pieces: i64,
    /// Trays or boards; none if the product has none.
    pub trays: Option<i64>,
    /// Loads of its dough.
    pub loads: i64,
    /// The mix of its dough that it is divided from, from 1.
    pub mix: u32,
    /// Which part of the drop, from 1; several if no oven takes all of it at once.
    pub part: u32,
    /// Its steps, first to last; none if they do not fit.
    pub steps: Vec<StepTimeView>,
    /// Oven fillings.
    pub bakes: Vec<BakeView>,
    /// Minutes for which it stands ready because the oven was only free before.
    pub waits_minutes: i64,
    /// Why its steps do not fit.
    pub no_fit: Option<NoFitView>,
}

/// One step with its times.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StepTimeView {
    /// Its name.
    #[schema(example = "retard")]
    pub step: String,
    /// When it starts: RFC 3339 with the bakery's offset at that moment.
    #[schema(example = "2026-06-11T15:00:00+02:00")]
    pub start: String,
    /// When it ends.
    #[schema(example = "2026-06-12T02:17:00+02:00")]
    pub end: String,
    /// Minutes that pass, whatever the clocks on the wall do.
    #[schema(example = 677)]
    pub elapsed_minutes: i64,
    /// What it occupies.
    pub station: Option<SpotView>,
}

/// What a step occupies.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SpotView {
    /// `mixer`, `oven` or `place`.
    #[schema(example = "place")]
    pub kind: &'static str,
    /// Its code.
    #[schema(value_type = String, example = "retarder")]
    pub code: Sentence,
}

/// One filling of an oven deck.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BakeView {
    /// Which oven.
    #[schema(example = "rack")]
    pub oven: String,
    /// The deck, from 1.
    pub deck: u32,
    /// Pieces on it.
    pub pieces: i64,
    /// Trays or boards on it.
    pub trays: i64,
    /// When the goods go in.
    pub start: String,
    /// When they come out.
    pub end: String,
}

/// Why steps do not fit before a drop.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NoFitView {
    /// The step that never fitted.
    #[schema(example = "pack")]
    pub step: String,
    /// Fewest minutes by which it would have to move; none if nobody is ever there.
    pub minutes: Option<i64>,
    /// What keeps it out: `staff`, or `age-window` if it would fit were a window or an age
    /// between two events longer or shorter.
    #[schema(example = "staff")]
    pub reason: &'static str,
    /// The earliest drop that works from now on; none if there is none in two weeks.
    pub earliest: Option<String>,
}

/// When a batch is made.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BatchScheduleView {
    /// What it makes.
    #[schema(example = "bun")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// Which mix of it for the date, from 1.
    pub mix: u32,
    /// The start of the step that takes its ingredients; none if no time fits.
    pub made_at: Option<String>,
    /// Its loads in their mixer; none if nobody says how long it mixes or none is free.
    pub loads: Vec<LoadTimeView>,
}

/// One load in its mixer.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LoadTimeView {
    /// The load, from 1.
    pub load: i64,
    /// Which mixer.
    #[schema(value_type = String, example = "bun-spiral")]
    pub mixer: Sentence,
    /// When it starts.
    pub start: String,
    /// When it stops.
    pub end: String,
}

/// Projects a plan to the times of one service date.
#[must_use]
pub fn schedule(morning: &Morning, date: Date) -> ScheduleView {
    let plan = &morning.plan;
    let runs = plan.runs.iter().filter(|run| run.service_date == date);
    let mut products: Vec<_> =
        runs.map(|run| ((run.drop, run.product), of_run(morning, run))).collect();
    for finding in &plan.findings {
        if let Finding::NoTime { of, service_date, drop: Some(drop), no_fit } = finding
            && let NeedUser::Product(product) = *of
            && *service_date == date
        {
            products.push(((*drop, product), without_time(morning, date, product, *drop, no_fit)));
        }
    }
    products.sort_by_key(|(key, _)| *key);
    let batches = plan.batches.iter().filter(|batch| batch.service_date == date);
    ScheduleView {
        notes: findings::of_service_date(morning, date),
        products: products.into_iter().map(|(_, view)| view).collect(),
        batches: batches.map(|batch| of_batch(morning, batch)).collect(),
        ..empty(morning, date)
    }
}

/// The answer to one product and drop alone.
#[must_use]
pub fn asked(morning: &Morning, date: Date, asked: &Asked) -> ScheduleView {
    let Asked { product, drop, trial } = asked;
    let view = ProductScheduleView {
        product: morning.bakery.product(*product).code.to_string(),
        name: morning.bakery.product(*product).name.clone(),
        drop: at(morning, *drop),
        par_baked: false,
        pieces: trial.pieces,
        trays: None,
        loads: trial.loads,
        mix: 1,
        part: 1,
        steps: steps(morning, trial.route, &trial.steps),
        bakes: Vec::new(),
        waits_minutes: 0,
        no_fit: trial.no_fit.as_ref().map(|found| no_fit(morning, found)),
    };
    ScheduleView { products: vec![view], ..empty(morning, date) }
}

fn empty(morning: &Morning, date: Date) -> ScheduleView {
    ScheduleView {
        bakery: morning.bakery.site().name.clone(),
        plan_revision: morning.plan_revision,
        made_at: at(morning, morning.now),
        service_date: date.to_string(),
        notes: Vec::new(),
        products: Vec::new(),
        batches: Vec::new(),
    }
}

fn of_run(morning: &Morning, run: &Run) -> ProductScheduleView {
    ProductScheduleView {
        product: morning.bakery.product(run.product).code.to_string(),
        name: morning.bakery.product(run.product).name.clone(),
        drop: at(morning, run.drop),
        par_baked: run.is_finishing(),
        pieces: run.pieces,
        trays: run.trays,
        loads: loads(morning, run.service_date, run.product, run.mix),
        mix: run.mix,
        part: run.part,
        steps: steps(morning, run.route, &run.steps),
        bakes: run.bakes.iter().map(|bake| of_bake(morning, bake)).collect(),
        waits_minutes: run.waits_minutes,
        no_fit: None,
    }
}

fn without_time(
    morning: &Morning,
    date: Date,
    product: u32,
    drop: Timestamp,
    why: &NoFit,
) -> ProductScheduleView {
    let line = morning
        .plan
        .drops
        .iter()
        .find(|line| (line.service_date, line.product, line.at) == (date, product, drop));
    let mix = line.map_or(1, |line| line.mix);
    ProductScheduleView {
        product: morning.bakery.product(product).code.to_string(),
        name: morning.bakery.product(product).name.clone(),
        drop: at(morning, drop),
        par_baked: false,
        pieces: line.map_or(0, |line| line.pieces),
        trays: None,
        loads: loads(morning, date, product, mix),
        mix,
        part: 1,
        steps: Vec::new(),
        bakes: Vec::new(),
        waits_minutes: 0,
        no_fit: Some(no_fit(morning, why)),
    }
}

/// Loads of the mix that a product is divided from.
fn loads(morning: &Morning, date: Date, product: u32, mix: u32) -> i64 {
    let dough = morning.bakery.recipes(date).dough_of(product);
    let mut mixes = dough.into_iter().flat_map(|dough| morning.plan.mixes(date, dough));
    mixes.find(|batch| batch.mix == mix).map_or(1, |batch| batch.all_loads())
}

fn steps(morning: &Morning, route: u32, steps: &[TimedStep]) -> Vec<StepTimeView> {
    let route = &morning.bakery.lists().routes[route as usize];
    let view = |step: &TimedStep| StepTimeView {
        step: route.steps[step.step as usize].name.clone(),
        start: at(morning, step.start),
        end: at(morning, step.end),
        elapsed_minutes: (step.end.as_second() - step.start.as_second()) / 60,
        station: step.spot.map(|spot| of_spot(morning, spot)),
    };
    steps.iter().map(view).collect()
}

fn of_spot(morning: &Morning, spot: Spot) -> SpotView {
    let kind = match spot {
        Spot::Mixer(_) => "mixer",
        Spot::Oven(_) => "oven",
        Spot::Place(_) => "place",
    };
    SpotView { kind, code: named::station(&morning.bakery, spot) }
}

fn of_bake(morning: &Morning, bake: &Bake) -> BakeView {
    BakeView {
        oven: morning.bakery.lists().ovens[bake.oven as usize].code.to_string(),
        deck: bake.deck,
        pieces: bake.pieces,
        trays: bake.trays,
        start: at(morning, bake.start),
        end: at(morning, bake.end),
    }
}

fn of_batch(morning: &Morning, batch: &Batch) -> BatchScheduleView {
    let load = |load: &domain::plan::LoadTime| LoadTimeView {
        load: load.load,
        mixer: named::station(&morning.bakery, Spot::Mixer(load.mixer)),
        start: at(morning, load.start),
        end: at(morning, load.end),
    };
    BatchScheduleView {
        item: morning.bakery.item(batch.item).code.to_string(),
        name: morning.bakery.item(batch.item).name.clone(),
        mix: batch.mix,
        made_at: batch.made_at.map(|made| at(morning, made)),
        loads: batch.load_times.iter().map(load).collect(),
    }
}

fn no_fit(morning: &Morning, why: &NoFit) -> NoFitView {
    NoFitView {
        step: why.step.clone(),
        minutes: why.minutes,
        reason: match why.by {
            Hindrance::Staff => "staff",
            Hindrance::AgeWindow => "age-window",
        },
        earliest: why.earliest.map(|earliest| at(morning, earliest)),
    }
}

fn at(morning: &Morning, moment: Timestamp) -> String {
    instant(&morning.bakery.site().time_zone, moment)
}
