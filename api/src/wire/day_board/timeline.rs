//! The day station by station, in minutes as they elapse from its midnight.

use crate::{
    service::plan::Morning,
    wire::{amount::instant, weigh_out},
};
use domain::plan::{
    Spot,
    board::{Bar, BarOf, Board},
};
use jiff::{Timestamp, ToSpan};
use serde::Serialize;
use utoipa::ToSchema;

/// One station's day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct StationView {
    /// `mixer`, `oven` or `place`.
    #[schema(example = "mixer")]
    pub kind: &'static str,
    /// Its code.
    #[schema(example = "floor-spiral")]
    pub station: String,
    /// What people call it.
    pub name: String,
    /// What occupies it, in order of time.
    pub bars: Vec<BarView>,
}

/// A stretch of time on a station.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BarView {
    /// What it is, in short words.
    #[schema(example = "Country dough 1/2")]
    pub label: String,
    /// Which deck of an oven.
    pub deck: Option<u32>,
    /// When it begins: RFC 3339 with the bakery's offset; it may be on the day before.
    pub start: String,
    /// When it ends; it may be on a day after.
    pub end: String,
    /// Minutes from midnight to its begin, as they elapse; below zero on the day before.
    pub from_minute: i64,
    /// Minutes from midnight to its end.
    pub to_minute: i64,
}

/// All stations that are used on the date, and the minutes that they cover.
pub(super) fn stations(morning: &Morning, board: &Board) -> (Vec<StationView>, (i64, i64)) {
    let minute = |at: Timestamp| (at.as_second() - board.from.as_second()) / 60;
    let day = minute(board.until);
    let mut span: Option<(i64, i64)> = None;
    let mut found: Vec<StationView> = Vec::new();
    let mut last: Option<Spot> = None;
    for bar in &board.bars {
        let (from, to) = (minute(bar.start), minute(bar.end));
        // What stands overnight runs beyond the date: an hour of it is enough.
        let place = matches!(bar.spot, Spot::Place(_));
        let begins = if from < 0 { to - 60 } else { from };
        let ends = if place && to > day { from + 60 } else { to };
        let (first, until) = span.unwrap_or((begins, ends));
        span = Some((first.min(begins.max(0)), until.max(ends.min(day))));
        let view = view(morning, bar, (from, to));
        match found.last_mut() {
            Some(station) if last == Some(bar.spot) => station.bars.push(view),
            _ => found.push(station(morning, bar.spot, view)),
        }
        last = Some(bar.spot);
    }
    let (first, end) = span.unwrap_or((0, day));
    // Whole hours, with room at both ends.
    (found, ((first / 60 * 60).max(0), ((end + 59) / 60 * 60).min(day)))
}

fn station(morning: &Morning, spot: Spot, bar: BarView) -> StationView {
    let lists = morning.bakery.lists();
    let (kind, code, name) = match spot {
        Spot::Mixer(at) => {
            let mixer = &lists.mixers[at as usize];
            ("mixer", &mixer.code, &mixer.name)
        }
        Spot::Oven(at) => {
            let oven = &lists.ovens[at as usize];
            ("oven", &oven.code, &oven.name)
        }
        Spot::Place(at) => {
            let place = &lists.places[at as usize];
            ("place", &place.code, &place.name)
        }
    };
    StationView { kind, station: code.to_string(), name: name.clone(), bars: vec![bar] }
}

fn view(morning: &Morning, bar: &Bar, (from_minute, to_minute): (i64, i64)) -> BarView {
    let zone = &morning.bakery.site().time_zone;
    let name = |product: u32| morning.bakery.product(product).name.as_str();
    let label = match &bar.of {
        BarOf::Load(batch, load) => {
            let batch = &morning.plan.batches[*batch as usize];
            let name = weigh_out::formula_name(morning, batch.service_date, batch.item);
            match batch.all_loads() {
                1 => name,
                loads => format!("{name} {load}/{loads}"),
            }
        }
        BarOf::Step(step, products) => {
            let names: Vec<&str> = products.iter().map(|&product| name(product)).collect();
            format!("{step}: {}", names.join(", "))
        }
        BarOf::Filling(product, pieces) => {
            let deck = bar.deck.map_or_else(String::new, |deck| format!("deck {deck}: "));
            format!("{deck}{pieces} {}", name(*product))
        }
    };
    BarView {
        label,
        deck: bar.deck,
        start: instant(zone, bar.start),
        end: instant(zone, bar.end),
        from_minute,
        to_minute,
    }
}

/// Full hours on the wall within a span; an hour that a clock change repeats stands twice.
pub(super) fn hours(morning: &Morning, board: &Board, span: (i64, i64)) -> Vec<(i64, String)> {
    let zone = &morning.bakery.site().time_zone;
    let mut hours = Vec::new();
    for minute in span.0..=span.1 {
        let Ok(at) = board.from.checked_add(minute.minutes()) else { break };
        let local = zone.to_datetime(at);
        if local.minute() == 0 {
            hours.push((minute, local.strftime("%H:%M").to_string()));
        }
    }
    hours
}
