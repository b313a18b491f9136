//! One load for the hand at the mixer.

use super::water::{self, WaterView};
use crate::{
    messages::Sentence,
    service::{loads::LineBody, plan::Morning},
    wire::{
        allergens::AllergensView,
        amount::{QuantityView, instant},
        findings,
        printed::{self, PrintedView},
        undecided,
        weigh_out::{ONE_PERSON_UG, Tub, tub},
    },
};
use domain::{
    allergens::Allergens,
    bakery::RecipeLine,
    load::LoadState,
    plan::{
        Batch, NeedUser,
        mixes::{Added, Gives, LoadWater, Mix, MixOf},
    },
    quantity::Unit,
    ratio::{Overflow, Ratio},
    scale::WeighState,
    temperature::Celsius,
    weigh::weigh_amount,
};
use serde::Serialize;
use utoipa::ToSchema;

/// One load of one mixer.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MixLoadView {
    /// Its place in the order of the day, counted from 1.
    pub number: usize,
    /// Which formula.
    #[schema(example = "country")]
    pub formula: String,
    /// What people call it.
    #[schema(example = "Country dough")]
    pub name: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// The mixer, kettle or pan.
    #[schema(example = "floor-spiral")]
    pub mixer: Option<String>,
    /// What people call it.
    pub mixer_name: Option<String>,
    /// Its number among the loads of its formula and date.
    pub load: i64,
    /// Of how many.
    pub loads: i64,
    /// `draft`, `released`, `weighed`, `mixed`, …
    #[schema(example = "released")]
    pub state: &'static str,
    /// Whether it is mixed already: it must not be mixed again.
    pub done: bool,
    /// When to start: RFC 3339 with the bakery's offset; none if no time is on file.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub start: Option<String>,
    /// When the mixer is free again; none if nobody said how long it takes.
    pub end: Option<String>,
    /// All that is weighed for it: the weigh-out's sum of the load.
    pub dough: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Minutes at slow speed; none if they are not on file.
    pub slow_minutes: Option<i64>,
    /// Minutes at fast speed.
    pub fast_minutes: Option<i64>,
    /// How warm the dough should leave the mixer, in degrees Celsius.
    #[schema(example = "26")]
    pub target: Option<String>,
    /// Whether a preferment or old dough goes in, whose temperature counts.
    pub preferment: bool,
    /// Its water.
    pub water: WaterView,
    /// What goes in, in order.
    pub additions: Vec<AdditionView>,
    /// What leaves the bowl.
    pub out: OutView,
    /// The step after all loads of the dough; none if no time is on file.
    pub next: Option<NextView>,
    /// What the load must give.
    pub gives: Vec<GivesView>,
    /// Allergens that the load before in this mixer had and this one has not.
    pub clean_down: Vec<String>,
    /// Allergens of the whole dough.
    pub allergens: AllergensView,
    /// Whether it is heavier than one person should lift.
    pub two_people: bool,
    /// Whether it is smaller than the mixer takes: UNDECIDED until a person chooses.
    pub under_minimum: bool,
    /// What that person may choose from.
    #[schema(value_type = Vec<String>)]
    pub options: Vec<Sentence>,
    /// What else a hand should know.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
}

/// Something that goes into the bowl.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AdditionView {
    /// Which item.
    #[schema(example = "butter")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Butter")]
    pub name: String,
    /// How much: the weigh-out's line.
    pub weigh: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// At which minutes of the mix, 0 at the start; empty if nobody said.
    pub minutes: Vec<i64>,
    /// Whether it is water: its temperature stands in the load's water.
    pub water: bool,
    /// Whether there is too little of it and it can no longer be ordered: UNDECIDED until a
    /// person says what is done.
    pub undecided: bool,
}

/// What leaves the bowl.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OutView {
    /// All of it: what is weighed less what stays in the bowl.
    pub dough: QuantityView,
    /// Tubs for it, none heavier than 25 kg.
    pub tubs: i64,
    /// What one tub weighs, by the scale.
    pub each: PrintedView,
}

/// What comes after the mix.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NextView {
    /// The step's name.
    #[schema(example = "bulk")]
    pub step: String,
    /// When it starts: RFC 3339 with the bakery's offset.
    pub at: String,
    /// When it ends.
    pub until: String,
}

/// What a load must give.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct GivesView {
    /// The product, or the formula whose blocks it makes.
    #[schema(example = "country-large")]
    pub code: String,
    /// What people call it.
    pub name: String,
    /// How many.
    #[schema(example = 26)]
    pub count: i64,
    /// `pieces` or `blocks`.
    #[schema(example = "pieces")]
    pub unit: &'static str,
}

/// Water hotter than this must not meet yeast.
///
/// # Source
/// Common practice.
const HOT: Celsius = Celsius::from_thousandths(40_000);

pub(super) fn load(
    morning: &Morning,
    mix: &Mix,
    found: &Allergens,
    clean_down: Vec<String>,
) -> Result<MixLoadView, Overflow> {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let batch = &morning.plan.batches[mix.batch as usize];
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let formula = bakery.formula_of(recipe);
    let item = bakery.item(batch.item);
    let held = match mix.of {
        MixOf::Held(at) => morning.load_of(at),
        MixOf::Draft(_) => None,
    };
    let mixer = batch.mixer.map(|at| &bakery.lists().mixers[at as usize]);
    let own = (mixer.map(|one| one.code.to_string()), mixer.map(|one| one.name.clone()));
    let (mixer, mixer_name) =
        held.map_or(own, |load| (load.body.mixer.clone(), load.body.mixer_name.clone()));
    let additions = additions(morning, batch, mix);
    let weighed = additions.iter().filter(|line| line.printed.unit != "pieces");
    let sum_ug = weighed_ug(morning, batch, mix)?;
    let notes = notes(morning, batch, mix, weighed.count() < additions.len());
    let hours = mix.hours.as_ref();
    Ok(MixLoadView {
        number: 0,
        formula: item.code.to_string(),
        name: if formula.name.is_empty() { item.name.clone() } else { formula.name.clone() },
        service_date: batch.service_date.to_string(),
        mixer,
        mixer_name,
        load: mix.load,
        loads: batch.all_loads(),
        state: held.map_or("draft", |load| load.state.word()),
        done: held.is_some_and(|load| load.state > LoadState::Weighed),
        start: hours.map(|hours| instant(zone, hours.start)),
        end: hours.and_then(|hours| hours.end).map(|at| instant(zone, at)),
        dough: QuantityView::whole(sum_ug, Unit::Gram),
        printed: printed::sum(sum_ug),
        slow_minutes: formula.mixing.as_ref().map(|mixing| mixing.slow_minutes),
        fast_minutes: formula.mixing.as_ref().map(|mixing| mixing.fast_minutes),
        target: formula.mixing.as_ref().and_then(|mixing| mixing.target).map(|at| at.decimal()),
        preferment: mix.preferment,
        water: water::water(mix),
        additions,
        out: out(morning, mix)?,
        next: hours.and_then(|hours| hours.next.as_ref()).map(|next| NextView {
            step: next.step.clone(),
            at: instant(zone, next.start),
            until: instant(zone, next.end),
        }),
        gives: mix.gives.iter().map(|gives| gives_view(morning, *gives)).collect(),
        clean_down,
        allergens: AllergensView::new(bakery, found),
        two_people: sum_ug > ONE_PERSON_UG,
        under_minimum: held.is_none() && batch.split.under_minimum,
        options: batch.options.iter().map(|one| findings::option(bakery, one)).collect(),
        notes,
    })
}

/// What is weighed for the load, bowl or not; counted lines are not in it.
fn weighed_ug(morning: &Morning, batch: &Batch, mix: &Mix) -> Result<i64, Overflow> {
    let group = match mix.of {
        MixOf::Draft(group) => &batch.groups[group as usize],
        MixOf::Held(at) => {
            return morning.load_of(at).map(|load| load.body.sum_ug).ok_or(Overflow);
        }
    };
    morning
        .plan
        .lines_of(&morning.bakery, batch, group)
        .filter(|(line, _)| !line.flags.counted())
        .try_fold(0_i64, |sum, (_, weighed)| sum.checked_add(weighed.micro))
        .ok_or(Overflow)
}

fn additions(morning: &Morning, batch: &Batch, mix: &Mix) -> Vec<AdditionView> {
    let bakery = &morning.bakery;
    let unit = |counted| if counted { Unit::Each } else { Unit::Gram };
    let user = (batch.service_date, NeedUser::Formula(batch.item));
    let all: Vec<AdditionView> = match mix.of {
        MixOf::Draft(group) => morning
            .plan
            .lines_of(bakery, batch, &batch.groups[group as usize])
            .map(|(line, weighed)| AdditionView {
                item: bakery.item(line.item).code.to_string(),
                name: bakery.item(line.item).name.clone(),
                weigh: QuantityView::whole(
                    weighed.micro,
                    unit(weighed.state == WeighState::Counted),
                ),
                printed: printed::line(bakery.scales(), *weighed),
                minutes: Vec::new(),
                water: line.flags.water(),
                undecided: undecided::of_need(morning, user, line.item),
            })
            .collect(),
        MixOf::Held(at) => morning.load_of(at).map_or_else(Vec::new, |load| {
            load.body.lines.iter().map(|line| held_line(morning, line)).collect()
        }),
    };
    let at = |added: &Added| {
        let line = all.get(added.line)?;
        Some(AdditionView { minutes: added.minutes.clone(), ..line.clone() })
    };
    mix.added.iter().filter_map(at).collect()
}

/// A line as it was released, with the digits that were printed then.
fn held_line(morning: &Morning, line: &LineBody) -> AdditionView {
    let item = morning.bakery.index().item(&line.item).map(|item| morning.bakery.item(item));
    AdditionView {
        item: line.item.clone(),
        name: item.map_or_else(|| line.item.clone(), |item| item.name.clone()),
        weigh: QuantityView::whole(line.micro, if line.counted { Unit::Each } else { Unit::Gram }),
        printed: PrintedView {
            amount: line.printed_amount.clone(),
            unit: printed::unit(&line.printed_unit),
        },
        minutes: Vec::new(),
        water: item.is_some_and(|item| item.water),
        // What is released was taken from its lots.
        undecided: false,
    }
}

/// Equal tubs, by the scale.
fn out(morning: &Morning, mix: &Mix) -> Result<OutView, Overflow> {
    let scales = morning.bakery.scales();
    let each = Ratio::new(mix.out_ug.into(), mix.tubs.max(1).into())?;
    Ok(OutView {
        dough: QuantityView::whole(mix.out_ug, Unit::Gram),
        tubs: mix.tubs,
        each: printed::line(scales, weigh_amount(scales, each)?),
    })
}

fn gives_view(morning: &Morning, gives: Gives) -> GivesView {
    match gives {
        Gives::Pieces(product, count) => {
            let product = morning.bakery.product(product);
            let (code, name) = (product.code.to_string(), product.name.clone());
            GivesView { code, name, count, unit: "pieces" }
        }
        Gives::Blocks(item, count) => {
            let item = morning.bakery.item(item);
            let (code, name) = (item.code.to_string(), item.name.clone());
            GivesView { code, name, count, unit: "blocks" }
        }
    }
}

fn notes(morning: &Morning, batch: &Batch, mix: &Mix, counted: bool) -> Vec<Sentence> {
    let mut notes = Vec::new();
    let liquids = liquids(morning, batch);
    if mix.water_ug > 0 && !liquids.is_empty() {
        let liquids = Sentence::joined(", ", liquids);
        notes.push(Sentence::of("mix-sheet-all-liquid").with("liquids", liquids));
    }
    if let LoadWater::Poured(sum, _) = &mix.water
        && sum.wanted > HOT
    {
        notes.push(Sentence::of("mix-sheet-hot-water"));
    }
    if counted {
        notes.push(Sentence::of("weigh-out-counted-apart"));
    }
    notes
}

/// Liquids of a formula beside its water.
fn liquids(morning: &Morning, batch: &Batch) -> Vec<Sentence> {
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(batch.service_date);
    let lines = recipes.lines_of(&recipes.recipes[batch.recipe as usize]);
    let liquid = |line: &&RecipeLine| {
        !line.flags.water()
            && tub(bakery, line, recipes.of_item(line.item).is_some()) == Tub::Liquid
    };
    let said = |line: &RecipeLine| {
        let name = &bakery.item(line.item).name;
        Sentence::named(name.to_lowercase(), name)
    };
    lines.iter().filter(liquid).map(said).collect()
}
