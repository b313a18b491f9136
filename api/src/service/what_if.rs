//! What would be otherwise: a change is put into a copy of the bakery and its book, and
//! the same plan is made of both. Nothing of it is kept.

mod apply;

use super::{
    Refusal,
    orders::Asked,
    plan::{self, Horizon, Morning, refused},
};
use crate::{document::Fault, state::State};
use apply::Applied;
use domain::{
    id::Code,
    plan::{
        ShortageLine,
        difference::{Difference, Side, difference},
        dropped::Dropped,
        shortages,
    },
    quantity::Quantity,
    route::Team,
};
use jiff::{Timestamp, civil::Date};
use std::sync::Arc;

/// A change that somebody thinks of; the place of each part in its list is its place in
/// the body.
#[derive(Debug, Clone, Default)]
pub struct Proposed {
    /// Another moment of asking.
    pub now: Option<Timestamp>,
    /// Last service date looked at.
    pub until: Option<Date>,
    /// Whole orders in place of what is held under their names.
    pub orders: Vec<Asked>,
    /// Names of orders that are called off.
    pub cancellations: Vec<String>,
    /// Lots that are not there.
    pub lots_gone: Vec<(Code, String)>,
    /// What would come in.
    pub receipts: Vec<Incoming>,
    /// What is there of an item in all.
    pub balances: Vec<(Code, Quantity)>,
    /// Mixers that take another most.
    pub mixers: Vec<MixerMost>,
    /// Mixers that stand still for a time.
    pub outages: Vec<Outage>,
    /// Teams with other hours.
    pub teams: Vec<Team>,
    /// Loads that are lost.
    pub dropped: Vec<DroppedLoads>,
}

/// Something that would come in.
#[derive(Debug, Clone)]
pub struct Incoming {
    /// Which item.
    pub item: Code,
    /// How much.
    pub quantity: Quantity,
    /// When it can be used; at once if not said.
    pub arrives: Option<Timestamp>,
    /// Last local date of use.
    pub use_by: Option<Date>,
}

/// Another most of a mixer.
#[derive(Debug, Clone)]
pub struct MixerMost {
    /// Which mixer.
    pub mixer: Code,
    /// For which class of dough.
    pub dough_class: String,
    /// The most in one load.
    pub maximum: Quantity,
}

/// A mixer that stands still for a time.
#[derive(Debug, Clone)]
pub struct Outage {
    /// Which mixer.
    pub mixer: Code,
    /// From when.
    pub from: Timestamp,
    /// Until when.
    pub to: Timestamp,
}

/// A batch that would begin while its mixer stands still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopped {
    /// Position of the mixer.
    pub mixer: u32,
    /// For which service date.
    pub service_date: Date,
    /// Position of what is made.
    pub item: u32,
    /// When it would begin.
    pub at: Timestamp,
}

/// Loads that are lost.
#[derive(Debug, Clone)]
pub struct DroppedLoads {
    /// What they make.
    pub formula: Code,
    /// For which service date.
    pub service_date: Date,
    /// How many; all if not said.
    pub loads: Option<i64>,
}

/// What a change would mean.
#[derive(Debug)]
pub struct WhatIf {
    /// As it is.
    pub was: Arc<Morning>,
    /// As it would be.
    pub now: Morning,
    /// What differs.
    pub difference: Difference,
    /// What runs short as it is.
    pub was_short: Vec<ShortageLine>,
    /// What would run short.
    pub now_short: Vec<ShortageLine>,
    /// What each lost load means, in the order of the body.
    pub dropped: Vec<Dropped>,
    /// Batches that would begin while their mixer stands still.
    pub stopped: Vec<Stopped>,
}

/// Works out what a change would mean.
///
/// # Errors
/// [`Refusal::Body`] with the faults found before and every unknown name, in the order of
/// their places; [`Refusal`] if either side cannot be planned.
pub fn what_if(
    state: &State,
    proposed: &Proposed,
    mut faults: Vec<Fault>,
) -> Result<WhatIf, Refusal> {
    let now = state.now();
    let horizon = proposed.until.map_or(Horizon::Usual, Horizon::Until);
    let (was, held) = state.store.read(|tx| -> Result<_, Refusal> {
        let was = plan::kept(state, tx, now, horizon)?;
        let held = apply::held_orders(state, tx, &was, proposed)?;
        Ok((was, held))
    })?;
    let Applied { bakery, mut book, found } = apply::apply(&was, proposed, held);
    for fault in found {
        // What cannot be read is not also said to be unknown.
        if !faults.iter().any(|known| fault.pointer.starts_with(&known.pointer)) {
            faults.push(fault);
        }
    }
    let (Some(bakery), true) = (bakery, faults.is_empty()) else {
        faults.sort_by(|a, b| a.pointer.cmp(&b.pointer));
        return Err(Refusal::Body(faults));
    };
    let dropped = apply::drop_loads(&was, &bakery, &mut book, proposed)?;
    let then = proposed.now.unwrap_or(now);
    let revision = was.plan_revision;
    let horizon = Horizon::Until(was.until);
    let now = Morning::new((bakery, book, revision), then, horizon)?;
    let short = |morning: &Morning| {
        shortages(&morning.bakery, &morning.book, &morning.plan, morning.now).map_err(refused)
    };
    let (was_short, now_short) = (short(&was)?, short(&now)?);
    let difference = difference(
        Side { plan: &was.plan, shortages: &was_short },
        Side { plan: &now.plan, shortages: &now_short },
    );
    let stopped = stopped(&now, &proposed.outages);
    Ok(WhatIf { was, now, difference, was_short, now_short, dropped, stopped })
}

/// Batches of a plan that begin while their mixer stands still, as they stand in the plan.
fn stopped(morning: &Morning, outages: &[Outage]) -> Vec<Stopped> {
    let mut found = Vec::new();
    for batch in &morning.plan.batches {
        let (Some(mixer), Some(at)) = (batch.mixer, batch.made_at) else { continue };
        let code = &morning.bakery.lists().mixers[mixer as usize].code;
        // What lies in the mixer, or what begins then if nobody says how long it mixes.
        let in_mixer = |outage: &Outage| {
            let mut times = batch.load_times.iter();
            times.any(|load| load.start < outage.to && outage.from < load.end)
        };
        let still = |outage: &Outage| {
            let begins = outage.from <= at && at < outage.to;
            outage.mixer == *code && (begins || in_mixer(outage))
        };
        if outages.iter().any(still) {
            let (service_date, item) = (batch.service_date, batch.item);
            found.push(Stopped { mixer, service_date, item, at });
        }
    }
    found
}
