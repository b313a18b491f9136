//! What has no time, no place or no start in common, in words.

use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        amount::{instant, span},
        printed,
    },
};
use domain::plan::{ClashLever, Finding, Hindrance, NeedUser, NoFit, Spot};
use jiff::Timestamp;

pub(super) fn words(morning: &Morning, finding: &Finding) -> Sentence {
    match finding {
        Finding::NoTime { of, service_date, drop, no_fit } => {
            let offer = no_fit.earliest.map_or_else(
                || Sentence::of("finding-change-route"),
                |at| Sentence::of("finding-earliest-drop").with("at", local(morning, at)),
            );
            Sentence::of("finding-no-time")
                .with("what", name(morning, *of))
                .with("date", Sentence::date(service_date))
                .with("off", off(no_fit, drop.is_some()))
                .with("offer", offer)
        }
        Finding::NoDrop { product, service_date } => Sentence::of("finding-no-drop")
            .with("product", name(morning, NeedUser::Product(*product)))
            .with("date", Sentence::date(service_date)),
        Finding::Split { item, service_date, mixes } => {
            let mix = |(number, products): (u32, &Vec<u32>)| {
                let names = products.iter().map(|&at| name(morning, NeedUser::Product(at)));
                Sentence::of("finding-split-mix")
                    .with("number", number.to_string())
                    .with("products", Sentence::joined(", ", names))
            };
            Sentence::of("finding-split")
                .with("made", name(morning, NeedUser::Formula(*item)))
                .with("date", Sentence::date(service_date))
                .with("count", mixes.len().to_string())
                .with("mixes", Sentence::joined("; ", (1..).zip(mixes).map(mix)))
        }
        Finding::Clash { of, service_date, spot, minutes, levers } => {
            let off = minutes.map_or_else(
                || Sentence::of("finding-takes-too-much"),
                |minutes| Sentence::of("finding-taken-too-long").with("span", span(minutes)),
            );
            let ways = levers.iter().map(|found| lever(morning, found));
            let ways = Sentence::chained("finding-or", ways);
            Sentence::of("finding-clash")
                .with("what", name(morning, *of))
                .with("date", Sentence::date(service_date))
                .with("station", station(morning, *spot))
                .with("off", off)
                .with("ways", ways.unwrap_or_else(|| Sentence::of("finding-make-less")))
        }
        _ => Sentence::from(""),
    }
}

/// What keeps something from having a time.
fn off(NoFit { step, minutes, by, earliest: _ }: &NoFit, has_drop: bool) -> Sentence {
    let message = match (minutes, by) {
        _ if step.is_empty() => return Sentence::of("finding-too-many-windows"),
        (Some(_), Hindrance::Staff) => "finding-misses-staff",
        (Some(_), Hindrance::AgeWindow) => "finding-misses-age-window",
        (None, _) if has_drop => "finding-no-staffed-hours",
        (None, _) => "finding-no-drop-and-route",
    };
    let said = Sentence::of(message).with("step", step);
    match minutes {
        Some(minutes) => said.with("span", span(*minutes)),
        None => said,
    }
}

pub(super) fn name(morning: &Morning, of: NeedUser) -> String {
    match of {
        NeedUser::Formula(item) => morning.bakery.item(item).name.clone(),
        NeedUser::Product(product) => morning.bakery.product(product).name.clone(),
    }
}

pub(super) fn station(morning: &Morning, spot: Spot) -> String {
    spot.called(&morning.bakery).1.to_owned()
}

pub(super) fn lever(morning: &Morning, lever: &ClashLever) -> Sentence {
    let (message, start) = match *lever {
        ClashLever::OtherMixer { start, .. } => ("finding-lever-other-mixer", start),
        ClashLever::Earlier { start, unstaffed_minutes, .. } => match unstaffed_minutes {
            Some(0) => ("finding-lever-earlier-staffed", start),
            Some(_) => ("finding-lever-earlier-unstaffed", start),
            None => ("finding-lever-earlier", start),
        },
        ClashLever::Later { start, .. } => ("finding-lever-later", start),
        ClashLever::CutOvers { micrograms, loads } => {
            return Sentence::of("finding-lever-cut-overs")
                .with("mass", Sentence::amount(printed::sum(micrograms).said()))
                .with("loads", Sentence::of("finding-loads").with("count", loads));
        }
    };
    let said = Sentence::of(message).with("start", local(morning, start));
    match *lever {
        ClashLever::OtherMixer { mixer, .. } => {
            said.with("station", station(morning, Spot::Mixer(mixer)))
        }
        ClashLever::Earlier { minutes, unstaffed_minutes, .. } => said
            .with("span", span(minutes))
            .with("minutes", unstaffed_minutes.unwrap_or(0).to_string()),
        ClashLever::Later { minutes, .. } => said.with("span", span(minutes)),
        ClashLever::CutOvers { .. } => said,
    }
}

pub(super) fn local(morning: &Morning, at: Timestamp) -> Sentence {
    Sentence::moment(instant(&morning.bakery.site().time_zone, at))
}
