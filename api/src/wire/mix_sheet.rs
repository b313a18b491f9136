//! The mix sheet of a work date: load after load, for the hand at the mixer.

mod load;
mod water;

pub use load::{AdditionView, GivesView, MixLoadView, NextView, OutView};
pub use water::{AssumedView, WaterView};

use super::{amount::instant, findings};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    allergens::Allergens,
    plan::mixes::{Temperatures, mixes},
    ratio::Overflow,
};
use jiff::civil::Date;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// All loads of one local date, by their start.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MixSheetView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which hands mix.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The service dates that it is mixed for.
    pub service_dates: Vec<String>,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Temperatures that the water was computed with.
    pub temperatures: AssumedView,
    /// Loads of mixers, kettles and pans, in order of their start.
    pub loads: Vec<MixLoadView>,
    /// What is made without a mixer, in order of its start.
    pub by_hand: Vec<MixLoadView>,
}

/// Projects a plan to what is mixed on a local date.
///
/// What `asked` leaves open is the house's usual temperature.
///
/// # Errors
/// [`Overflow`] if an exact amount cannot be written.
pub fn mix_sheet(
    morning: &Morning,
    work_date: Date,
    asked: Temperatures,
) -> Result<MixSheetView, Overflow> {
    let bakery = &morning.bakery;
    let (assumed, temperatures) = water::assumed(bakery.site().temperatures, asked);
    let mut before: BTreeMap<u32, Allergens> = BTreeMap::new();
    let (mut loads, mut by_hand) = (Vec::new(), Vec::new());
    let mut service_dates = BTreeSet::new();
    for mix in mixes(bakery, &morning.book, &morning.plan, work_date, temperatures)? {
        let batch = &morning.plan.batches[mix.batch as usize];
        service_dates.insert(batch.service_date.to_string());
        let found = super::weigh_out::batch_allergens(morning, batch);
        let mut clean_down = Vec::new();
        if let Some(mixer) = batch.mixer {
            // The bowl matters: what was in this mixer before.
            if let Some(before) = before.insert(mixer, found.clone()) {
                clean_down = super::weigh_out::gone(&before, &found);
            }
        }
        let into = if batch.mixer.is_some() { &mut loads } else { &mut by_hand };
        into.push(load::load(morning, &mix, &found, clean_down)?);
    }
    for list in [&mut loads, &mut by_hand] {
        for (number, load) in (1..).zip(list.iter_mut()) {
            load.number = number;
        }
    }
    Ok(MixSheetView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        service_dates: service_dates.into_iter().collect(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        temperatures: assumed,
        loads,
        by_hand,
    })
}
