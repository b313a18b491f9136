//! What a mixer's friction adds to a dough: learnt from what hands wrote back, set by a person.

use super::{Refusal, bakery, loads, reference};
use crate::{
    document::equipment::MixerBody,
    state::State,
    store::{Tx, load_events},
};
use domain::{
    bakery::Bakery,
    calendar::add_days,
    id::Code,
    temperature::{Celsius, Kelvin},
    water::{Around, Learnt, Observation, learn},
};
use jiff::civil::Date;
use serde_json::Value;
use std::collections::BTreeMap;

/// Days back in which doughs teach: a mixer and a season are not what they were.
const DAYS_BACK: i64 = 90;
/// What a person may set; more is no mixer.
const FRICTION_MAX: Kelvin = Kelvin::from_thousandths(100_000);

/// What is known of a mixer's friction.
#[derive(Debug, Clone)]
pub struct Friction {
    /// Code of the mixer.
    pub mixer: String,
    /// As it is set; none if nobody set it.
    pub set: Option<Kelvin>,
    /// What all its doughs say together.
    pub all: Lesson,
    /// What the doughs of each formula say, by code.
    pub formulas: BTreeMap<String, Lesson>,
    /// The first service date that is looked at.
    pub since: Date,
}

/// What some doughs say.
#[derive(Debug, Clone, Default)]
pub struct Lesson {
    /// Their friction; none if no dough has all its temperatures.
    pub learnt: Option<Learnt>,
    /// Doughs that lack a temperature.
    pub incomplete: usize,
    observations: Vec<Observation>,
}

impl Lesson {
    fn hear(&mut self, observation: Option<Observation>) {
        match observation {
            Some(observation) => self.observations.push(observation),
            None => self.incomplete += 1,
        }
    }

    fn conclude(&mut self) -> Result<(), Refusal> {
        self.learnt = learn(&self.observations).map_err(super::plan::refused)?;
        Ok(())
    }
}

/// What a person sets.
#[derive(Debug, Clone)]
pub struct Accepted {
    /// The friction.
    pub friction: Kelvin,
    /// Who accepts it.
    pub who: String,
    /// A remark.
    pub note: Option<String>,
}

/// What is set and what was learnt.
///
/// # Errors
/// [`Refusal::Unknown`] for a mixer that is not there.
pub fn find(state: &State, tx: &mut Tx, mixer: &str) -> Result<Friction, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let mixers = &bakery.lists().mixers;
    let Some(found) = mixers.iter().find(|found| found.code.as_str() == mixer) else {
        return Err(Refusal::Unknown { noun: "mixer", code: mixer.to_owned() });
    };
    let today = bakery.site().time_zone.to_datetime(state.now()).date();
    let since = add_days(today, -DAYS_BACK).map_err(super::plan::refused)?;
    let mut friction = Friction {
        mixer: mixer.to_owned(),
        set: found.friction,
        all: Lesson::default(),
        formulas: BTreeMap::new(),
        since,
    };
    for load in loads::list_from(tx, &state.site, since)? {
        if load.body.mixer.as_deref() != Some(mixer) {
            continue;
        }
        let events = load_events::list(tx, &state.site, &load.id)?;
        let Some(mixed) = events.iter().find(|event| event.step == "mixed") else { continue };
        let preferment = takes_preferment(&bakery, load.service_date, &load.formula);
        let observation = observation(&mixed.body, preferment);
        friction.all.hear(observation);
        friction.formulas.entry(load.formula).or_default().hear(observation);
    }
    friction.all.conclude()?;
    friction.formulas.values_mut().try_for_each(Lesson::conclude)?;
    Ok(friction)
}

/// Sets a mixer's friction; the revision keeps who did and why.
///
/// # Errors
/// [`Refusal::Unknown`], [`Refusal::Body`] with every fault.
pub fn accept(
    state: &State,
    tx: &mut Tx,
    mixer: &str,
    accepted: &Accepted,
) -> Result<Friction, Refusal> {
    let Accepted { friction, who, note } = accepted;
    if friction.thousandths().abs() > FRICTION_MAX.thousandths() {
        let detail = format!("friction lies between -{0} and {0}", FRICTION_MAX.decimal());
        let pointer = "/friction".to_owned();
        let fault = crate::document::Fault { pointer, kind: "out-of-range", detail };
        return Err(Refusal::Body(vec![fault]));
    }
    let cause = format!("friction of {mixer} set to {} by {who}", friction.decimal());
    let cause = note.as_ref().map_or(cause.clone(), |note| format!("{cause}: {note}"));
    let change = |record: &mut MixerBody| record.friction = Some(friction.decimal());
    reference::change::<MixerBody>(state, tx, mixer, &cause, change)?;
    find(state, tx, mixer)
}

/// What a hand wrote back, if none of it lacks.
fn observation(body: &str, preferment: bool) -> Option<Observation> {
    let body: Value = serde_json::from_str(body).ok()?;
    let read = |key: &str| Celsius::parse(body.get(key)?.as_str()?).ok();
    let warm = if preferment { Some(read("preferment_temperature")?) } else { None };
    Some(Observation {
        dough: read("dough_temperature")?,
        water: read("water_temperature")?,
        around: Around {
            flour: read("flour_temperature")?,
            room: read("room_temperature")?,
            preferment: warm,
        },
    })
}

/// Whether a formula takes a preferment or old dough, whose temperature counts.
fn takes_preferment(bakery: &Bakery, date: Date, formula: &str) -> bool {
    let item = Code::parse(formula).ok().and_then(|code| bakery.index().item(code.as_str()));
    item.is_some_and(|item| bakery.takes_preferment(bakery.recipes(date), item))
}
