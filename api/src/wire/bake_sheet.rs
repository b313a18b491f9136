//! The bake sheet of a work date: filling after filling, then what came out.

use super::{allergens::AllergensView, amount::instant, findings, piece};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    allergens::{Swaps, allergens},
    calendar::OutOfCalendar,
    ferment::minutes_at,
    plan::bakes::{CountBack, Filling, Prove, bakes},
    product::Baking,
};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// All that is baked on one local date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BakeSheetView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which hands bake.
    #[schema(example = "2026-06-12")]
    pub work_date: String,
    /// The service dates that it is baked for.
    pub service_dates: Vec<String>,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Ovens with their fillings in order of time.
    pub ovens: Vec<OvenFillingsView>,
    /// Boxes for what came out, product by product.
    pub counts: Vec<CountBackView>,
    /// Proving times with their temperature: advice, not a safety control.
    pub proves: Vec<ProveView>,
}

/// One oven's day.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OvenFillingsView {
    /// Which oven; none for what has a time and no deck.
    #[schema(example = "rack")]
    pub oven: Option<String>,
    /// What people call it.
    pub name: Option<String>,
    /// Its fillings in order of time.
    pub fillings: Vec<FillingView>,
}

/// One filling with one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FillingView {
    /// Which deck, from 1; none if no deck is planned.
    pub deck: Option<u32>,
    /// When it goes in: RFC 3339 with the bakery's offset; none if no time is on file.
    #[schema(example = "2026-06-12T04:29:00+02:00")]
    pub in_at: Option<String>,
    /// When it comes out.
    pub out_at: Option<String>,
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What people call it.
    #[schema(example = "Sugar bun")]
    pub name: String,
    /// For which service date.
    pub service_date: String,
    /// Start pieces in it.
    pub pieces: i64,
    /// Whole trays or boards of this product alone; none if it has none.
    pub trays: Option<i64>,
    /// Pieces on a full tray.
    pub per_tray: Option<i64>,
    /// Heat from above, in degrees Celsius; none if no program is on file.
    #[schema(example = "190")]
    pub top: Option<String>,
    /// Heat from below.
    pub bottom: Option<String>,
    /// Steam, as the oven hand says it.
    pub steam: Option<String>,
    /// Minutes in the oven.
    pub minutes: Option<i64>,
    /// Core temperature, only if the site's own plan asks for one.
    pub core: Option<String>,
    /// What goes on or in beside the dough.
    pub goes_on: Vec<piece::GoesOnView>,
    /// What is done when it comes out.
    pub finish: Option<String>,
    /// Until when it cools before it is packed; none if nobody said how long.
    pub cool_until: Option<String>,
    /// When the pieces leave or are fetched.
    pub drop: Option<String>,
    /// Whether they are par-baked and only finished.
    pub par_baked: bool,
}

/// What must come out of one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountBackView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// For which service date.
    pub service_date: String,
    /// Start pieces that are baked on the date.
    pub pieces: i64,
    /// All start pieces of the product for the service date.
    pub start: i64,
    /// Good pieces that must come out of all of them.
    pub good_needed: i64,
    /// Of these, pieces that counters open with and nobody ordered.
    pub par: i64,
    /// Of these, pieces that a forecast expects and nobody ordered yet.
    pub forecast: i64,
    /// How many of all of them may be lost.
    pub may_lose: i64,
    /// Whether no time is on file: it stands on the sheet of its service date.
    pub untimed: bool,
    /// Allergens of the product.
    pub allergens: AllergensView,
}

/// One proving time with its temperature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ProveView {
    /// The step's name.
    #[schema(example = "prove")]
    pub step: String,
    /// Products that prove so.
    pub products: Vec<String>,
    /// When the first of them starts.
    pub from: String,
    /// Minutes as planned.
    pub minutes: i64,
    /// At which temperature that holds, in degrees Celsius; none if it is not on file.
    pub temperature: Option<String>,
    /// The same for warmer and colder, where a rule is known.
    pub guide: Vec<GuideView>,
}

/// Advice for a temperature beside the planned one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct GuideView {
    /// Degrees warmer; below zero colder.
    #[schema(example = 2)]
    pub degrees: i32,
    /// About so many minutes.
    #[schema(example = 99)]
    pub minutes: i64,
}

/// Degrees beside the planned temperature for which a guide is printed.
const GUIDE_DEGREES: [i32; 4] = [-4, -2, 2, 4];

/// Projects a plan to what is baked on a local date.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn bake_sheet(morning: &Morning, work_date: Date) -> Result<BakeSheetView, OutOfCalendar> {
    let bakery = &morning.bakery;
    let found = bakes(bakery, &morning.plan, work_date)?;
    let by_date = found.counts.iter().map(|count| count.service_date);
    let service_dates: BTreeSet<Date> = by_date.collect();
    let ovens = found.fillings.chunk_by(|a, b| a.oven == b.oven).map(|fillings| {
        let oven = fillings[0].oven.map(|at| &bakery.lists().ovens[at as usize]);
        OvenFillingsView {
            oven: oven.map(|oven| oven.code.to_string()),
            name: oven.map(|oven| oven.name.clone()),
            fillings: fillings.iter().map(|one| filling(morning, one)).collect(),
        }
    });
    Ok(BakeSheetView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        service_dates: service_dates.iter().map(ToString::to_string).collect(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        ovens: ovens.collect(),
        counts: found.counts.iter().map(|one| count(morning, one)).collect(),
        proves: proves(morning, &found.fillings),
    })
}

fn filling(morning: &Morning, filling: &Filling) -> FillingView {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let product = bakery.product(filling.product);
    let program: Option<&Baking> = product.baking.as_ref();
    FillingView {
        deck: filling.deck,
        in_at: filling.start.map(|at| instant(zone, at)),
        out_at: filling.end.map(|at| instant(zone, at)),
        product: product.code.to_string(),
        name: product.name.clone(),
        service_date: filling.service_date.to_string(),
        pieces: filling.pieces,
        trays: filling.trays,
        per_tray: product.tray.as_ref().map(|tray| tray.pieces),
        top: program.map(|program| program.top.decimal()),
        bottom: program.map(|program| program.bottom.decimal()),
        steam: program.and_then(|program| program.steam.clone()),
        minutes: match (filling.par_baked, filling.start, filling.end) {
            (true, Some(start), Some(end)) => Some((end.as_second() - start.as_second()) / 60),
            _ => program.map(|program| program.minutes),
        },
        core: program.and_then(|program| program.core).map(|core| core.decimal()),
        goes_on: piece::goes_on(morning, filling.service_date, filling.product),
        finish: program.and_then(|program| program.finish.clone()),
        cool_until: filling.cool_until.map(|at| instant(zone, at)),
        drop: filling.drop.map(|at| instant(zone, at)),
        par_baked: filling.par_baked,
    }
}

fn count(morning: &Morning, count: &CountBack) -> CountBackView {
    let bakery = &morning.bakery;
    let product = bakery.product(count.product);
    let recipes = bakery.recipes(count.service_date);
    let found = allergens(bakery, recipes, count.product, &Swaps::new());
    let line = morning.plan.demand.of(count.service_date, count.product);
    CountBackView {
        product: product.code.to_string(),
        name: product.name.clone(),
        service_date: count.service_date.to_string(),
        pieces: count.pieces,
        start: count.start,
        good_needed: count.net,
        par: line.map_or(0, |line| line.par),
        forecast: line.map_or(0, |line| line.forecast),
        may_lose: count.start - count.net,
        untimed: count.untimed,
        allergens: AllergensView::new(bakery, &found),
    }
}

/// A step, its minutes, and its temperature in thousandths.
type ProveKey<'a> = (&'a str, i64, Option<i64>);

/// Each proving time once, by its first start.
fn proves(morning: &Morning, fillings: &[Filling]) -> Vec<ProveView> {
    let mut same: BTreeMap<ProveKey<'_>, (Vec<&Filling>, &Prove)> = BTreeMap::new();
    for filling in fillings {
        let Some(prove) = &filling.prove else { continue };
        let warmth = prove.temperature.map(|warm| warm.thousandths());
        let entry = same.entry((&prove.step, prove.minutes, warmth)).or_insert((Vec::new(), prove));
        entry.0.push(filling);
        if prove.start < entry.1.start {
            entry.1 = prove;
        }
    }
    let mut found: Vec<_> = same.into_values().collect();
    found.sort_by_key(|(_, prove)| prove.start);
    let zone = &morning.bakery.site().time_zone;
    let view = |(fillings, prove): (Vec<&Filling>, &Prove)| {
        let mut products: Vec<u32> = fillings.iter().map(|filling| filling.product).collect();
        products.sort_unstable();
        products.dedup();
        let name = |product: u32| morning.bakery.product(product).name.clone();
        ProveView {
            step: prove.step.clone(),
            products: products.into_iter().map(name).collect(),
            from: instant(zone, prove.start),
            minutes: prove.minutes,
            temperature: prove.temperature.map(|warm| warm.decimal()),
            guide: guide(prove),
        }
    };
    found.into_iter().map(view).collect()
}

fn guide(prove: &Prove) -> Vec<GuideView> {
    let Some(warm) = prove.temperature else { return Vec::new() };
    let at = |degrees: i32| {
        let minutes = minutes_at(prove.minutes, warm, degrees).ok().flatten()?;
        Some(GuideView { degrees, minutes })
    };
    GUIDE_DEGREES.into_iter().filter_map(at).collect()
}
