//! What has no time, no place or no start in common, in words.

use crate::{
    service::plan::Morning,
    wire::{amount::span, printed},
};
use domain::plan::{ClashLever, Finding, Hindrance, NeedUser, NoFit, Spot};
use jiff::Timestamp;

pub(super) fn words(morning: &Morning, finding: &Finding) -> String {
    match finding {
        Finding::NoTime { of, service_date, drop, no_fit } => {
            let NoFit { step, minutes, by, earliest } = no_fit;
            let what = name(morning, *of);
            let off = match minutes {
                _ if step.is_empty() => {
                    "its route has too many windows to try; give it narrower ones".to_owned()
                }
                Some(minutes) => {
                    let misses = match by {
                        Hindrance::Staff => "staffed hours",
                        Hindrance::AgeWindow => "age window",
                    };
                    format!("step `{step}` misses its {misses} by {}", span(*minutes))
                }
                None if drop.is_none() => {
                    format!("no product on it has a drop and a route with step `{step}`")
                }
                None => format!("step `{step}` fits no staffed hours before the drop"),
            };
            let offer = earliest.map_or_else(
                || "change the route or the hours".to_owned(),
                |at| format!("the earliest drop from now on is {}", local(morning, at)),
            );
            format!("{what} for {service_date} has no time: {off}; {offer}")
        }
        Finding::NoDrop { product, service_date } => format!(
            "{} for {service_date} has no time: an order says no drop; add the drop to the order",
            name(morning, NeedUser::Product(*product))
        ),
        Finding::Split { item, service_date, mixes } => {
            let mixes: Vec<String> = (1..)
                .zip(mixes)
                .map(|(number, products): (u32, _)| {
                    let names: Vec<String> = products
                        .iter()
                        .map(|product| name(morning, NeedUser::Product(*product)))
                        .collect();
                    format!("mix {number}: {}", names.join(", "))
                })
                .collect();
            format!(
                "{} for {service_date} is made in {} mixes because its products have no start in \
                 common ({})",
                name(morning, NeedUser::Formula(*item)),
                mixes.len(),
                mixes.join("; ")
            )
        }
        Finding::Clash { of, service_date, spot, minutes, levers } => {
            let off = minutes.map_or_else(
                || "it takes more than there is".to_owned(),
                |minutes| format!("it is taken for {} too long", span(minutes)),
            );
            let mut ways: Vec<String> = levers.iter().map(|found| lever(morning, found)).collect();
            if ways.is_empty() {
                ways.push("make less of it, or share it out over other dates".to_owned());
            }
            format!(
                "{} for {service_date} has no place in {}: {off}. UNDECIDED, choose: {}",
                name(morning, *of),
                station(morning, *spot),
                ways.join("; or ")
            )
        }
        _ => String::new(),
    }
}

pub(super) fn name(morning: &Morning, of: NeedUser) -> String {
    match of {
        NeedUser::Formula(item) => morning.bakery.item(item).name.clone(),
        NeedUser::Product(product) => morning.bakery.product(product).name.clone(),
    }
}

pub(super) fn station(morning: &Morning, spot: Spot) -> String {
    let lists = morning.bakery.lists();
    match spot {
        Spot::Mixer(at) => lists.mixers[at as usize].name.clone(),
        Spot::Oven(at) => lists.ovens[at as usize].name.clone(),
        Spot::Place(at) => lists.places[at as usize].name.clone(),
    }
}

pub(super) fn lever(morning: &Morning, lever: &ClashLever) -> String {
    match *lever {
        ClashLever::OtherMixer { mixer, start } => {
            format!("use {} from {}", station(morning, Spot::Mixer(mixer)), local(morning, start))
        }
        ClashLever::Earlier { start, minutes, unstaffed_minutes } => {
            let cost = match unstaffed_minutes {
                Some(0) => ", inside all hours".to_owned(),
                Some(unstaffed) => format!(", {unstaffed} min of it outside staffed hours"),
                None => String::new(),
            };
            format!("start {} sooner, at {}{cost}", span(minutes), local(morning, start))
        }
        ClashLever::Later { start, minutes } => {
            format!("start at {}, which is {} late", local(morning, start), span(minutes))
        }
        ClashLever::CutOvers { micrograms, loads } => {
            let mass = printed::sum(micrograms).said();
            let loads = if loads == 1 { "1 load".to_owned() } else { format!("{loads} loads") };
            format!("cut {mass} of overs, so that it goes in {loads}")
        }
    }
}

pub(super) fn local(morning: &Morning, at: Timestamp) -> String {
    morning.bakery.site().time_zone.to_datetime(at).strftime("%a %-d %b %H:%M").to_string()
}
