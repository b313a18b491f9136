//! Findings as things that need a person: what holds up, until when, what can be done.

use super::{asking_words, near_miss, option, times, words};
use crate::{
    messages::Sentence,
    service::{book::AskingOrder, orders::OrderState, plan::Morning},
    wire::{
        amount::span,
        day_board::{BoardLeverView, HeldUpView},
        printed,
    },
};
use domain::plan::{AskedBy, Batch, ClashLever, Finding, NeedUser, NoFit, UnderMinimum};
use jiff::{Timestamp, civil::Date};
use std::ops::RangeInclusive;

/// A finding that needs a person.
pub(in crate::wire) struct Exception {
    /// What holds up: `capacity`, `person` or `order`.
    pub(in crate::wire) by: &'static str,
    /// In words.
    pub(in crate::wire) what: Sentence,
    /// The latest moment at which somebody can act; none at once.
    pub(in crate::wire) act_by: Option<Timestamp>,
    /// What can be done.
    pub(in crate::wire) levers: Vec<BoardLeverView>,
}

/// Findings about service dates, and those about none.
pub(in crate::wire) fn exceptions(
    morning: &Morning,
    dates: RangeInclusive<Date>,
) -> Vec<Exception> {
    let wanted =
        |finding: &&Finding| super::concerns(finding).is_none_or(|date| dates.contains(&date));
    let found = morning.plan.findings.iter().filter(wanted);
    let mut found: Vec<Exception> = found.map(|finding| exception(morning, finding)).collect();
    found.extend(near_miss::exceptions(morning, |date| dates.contains(&date)));
    let waiting = morning.asking.iter().filter(|order| dates.contains(&order.service_date));
    found.extend(waiting.map(|order| waits(morning, order)));
    found
}

/// An order that waits for a person.
fn waits(morning: &Morning, order: &AskingOrder) -> Exception {
    let duplicate = order.state == OrderState::HeldDuplicate;
    let levers = match duplicate {
        false => vec![lever("board-make-it", "board-as-planned"), plain("board-send-anew")],
        true => ["board-replaces", "board-adds", "board-cancel-order"].map(plain).to_vec(),
    };
    Exception {
        by: "order",
        what: asking_words(order.service_date, duplicate, &order.order_ref),
        act_by: first_made(morning, order.service_date),
        levers,
    }
}

/// What holds up one batch, beside ingredients.
pub(in crate::wire) fn of_batch(morning: &Morning, date: Date, item: u32) -> Vec<HeldUpView> {
    let about = |finding: &&Finding| subject(morning, finding) == Some((date, item));
    let found = morning.plan.findings.iter().filter(about);
    found.map(|finding| HeldUpView { by: kind(finding), what: head(morning, finding) }).collect()
}

fn exception(morning: &Morning, finding: &Finding) -> Exception {
    let batch = subject(morning, finding).and_then(|(date, item)| morning.plan.batch(date, item));
    Exception {
        by: kind(finding),
        what: head(morning, finding),
        act_by: batch.and_then(|batch| batch.made_at),
        levers: levers(morning, finding, batch),
    }
}

/// The batch that a finding is about; of pieces, the dough that they are divided from.
fn subject(morning: &Morning, finding: &Finding) -> Option<(Date, u32)> {
    let dough = |date: Date, product: u32| morning.bakery.recipes(date).dough_of(product);
    match finding {
        Finding::UnderMinimum { service_date, item }
        | Finding::TooManyLoads { service_date, item }
        | Finding::Split { service_date, item, .. }
        | Finding::Surplus { service_date, item, .. }
        | Finding::OversUsed { service_date, item, .. }
        | Finding::Dropped { service_date, item, .. }
        | Finding::FormulaChanged { service_date, item, .. } => Some((*service_date, *item)),
        Finding::NoTime { service_date, of, .. }
        | Finding::Clash { service_date, of, .. }
        | Finding::BakedAfterUseBy { service_date, user: of, .. } => {
            let item = match of {
                NeedUser::Formula(item) => Some(*item),
                NeedUser::Product(product) => dough(*service_date, *product),
            };
            item.map(|item| (*service_date, item))
        }
        Finding::NoDrop { product, service_date } => {
            dough(*service_date, *product).map(|item| (*service_date, item))
        }
        Finding::Decided { product, service_date, .. } => {
            dough(*service_date, *product).map(|item| (*service_date, item))
        }
        Finding::ToppingRefused { .. }
        | Finding::Substituted { .. }
        | Finding::OverrideImpossible { .. }
        | Finding::UnknownInOrder { .. } => None,
    }
}

const fn kind(finding: &Finding) -> &'static str {
    match finding {
        Finding::NoTime { .. }
        | Finding::Split { .. }
        | Finding::Clash { .. }
        | Finding::TooManyLoads { .. } => "capacity",
        Finding::UnderMinimum { .. }
        | Finding::Surplus { .. }
        | Finding::OversUsed { .. }
        | Finding::Dropped { .. }
        | Finding::Decided { .. }
        | Finding::Substituted { .. }
        | Finding::FormulaChanged { .. }
        | Finding::OverrideImpossible { .. }
        | Finding::ToppingRefused { .. } => "person",
        Finding::BakedAfterUseBy { .. } => "age",
        Finding::NoDrop { .. } | Finding::UnknownInOrder { .. } => "order",
    }
}

/// What it is, without its levers: these stand beside it.
fn head(morning: &Morning, finding: &Finding) -> Sentence {
    match finding {
        Finding::Clash { of, service_date, spot, .. } => Sentence::of("finding-clash-head")
            .with("what", times::name(morning, *of))
            .with("date", Sentence::date(service_date))
            .with("station", times::station(morning, *spot)),
        _ => words(morning, finding),
    }
}

/// A lever of which nobody knows what it costs.
fn plain(what: &'static str) -> BoardLeverView {
    BoardLeverView::new(Sentence::of(what), None)
}

fn lever(what: &'static str, cost: &'static str) -> BoardLeverView {
    BoardLeverView::new(Sentence::of(what), Some(Sentence::of(cost)))
}

fn levers(morning: &Morning, finding: &Finding, batch: Option<&Batch>) -> Vec<BoardLeverView> {
    match finding {
        Finding::UnderMinimum { .. } => batch.map_or_else(Vec::new, |batch| {
            let one =
                |one| BoardLeverView::new(option(&morning.bakery, one), cost(morning, batch, one));
            batch.options.iter().map(one).collect()
        }),
        Finding::Clash { levers, .. } => clash(morning, levers),
        Finding::Split { .. } => {
            vec![lever("board-leave-as-is", "board-one-mix-more"), plain("board-change-drop")]
        }
        Finding::NoTime { no_fit, .. } => no_time(morning, no_fit),
        Finding::NoDrop { .. } => vec![lever("board-add-drop", "board-a-call")],
        Finding::BakedAfterUseBy { lot, .. } => {
            let other = Sentence::of("board-other-lot").with("lot", lot);
            vec![BoardLeverView::new(other, None), plain("board-ask-food-safety")]
        }
        Finding::Surplus { .. } => vec![plain("board-write-where"), plain("board-cancel-load")],
        Finding::OversUsed { .. } => {
            vec![lever("board-leave-it", "board-fewer-overs"), plain("board-release-more")]
        }
        Finding::Substituted { .. } => vec![plain("board-check-labels")],
        Finding::Dropped { .. } | Finding::Decided { .. } => {
            vec![plain("board-take-back-decision")]
        }
        Finding::FormulaChanged { .. } => {
            vec![lever("board-keep-versions", "board-both-in-trace"), plain("board-release-anew")]
        }
        Finding::OverrideImpossible { .. } => vec![plain("board-set-other")],
        Finding::TooManyLoads { .. } => vec![plain("board-correct-order")],
        Finding::ToppingRefused { .. } => vec![plain("board-make-premix")],
        Finding::UnknownInOrder { .. } => vec![plain("board-put-back")],
    }
}

/// Ways out for what has no time.
fn no_time(morning: &Morning, no_fit: &NoFit) -> Vec<BoardLeverView> {
    let later = no_fit.earliest.map_or_else(
        || Sentence::of("board-later-drop"),
        |at| Sentence::of("board-drop-at").with("at", times::local(morning, at)),
    );
    let off = no_fit.minutes.map_or_else(
        || Sentence::of("board-more-than-hours"),
        |minutes| Sentence::of("board-at-least").with("span", span(minutes)),
    );
    vec![
        BoardLeverView::new(later, Some(Sentence::of("board-call-customer"))),
        BoardLeverView::new(Sentence::of("board-change-hours"), Some(off)),
        lever("board-set-time", "board-ages-yours"),
    ]
}

/// Ways out of a clash with what each costs; without any, less is made.
fn clash(morning: &Morning, levers: &[ClashLever]) -> Vec<BoardLeverView> {
    if levers.is_empty() {
        return vec![lever("finding-make-less", "board-cut-or-older")];
    }
    let cost = |lever: &ClashLever| match *lever {
        ClashLever::OtherMixer { .. } => Sentence::of("board-no-order"),
        ClashLever::Earlier { unstaffed_minutes: Some(minutes), .. } => {
            Sentence::of("board-outside-hours").with("span", span(minutes))
        }
        ClashLever::Earlier { unstaffed_minutes: None, minutes, .. } => {
            Sentence::of("board-older").with("span", span(minutes))
        }
        ClashLever::Later { minutes, .. } => Sentence::of("board-late").with("span", span(minutes)),
        ClashLever::CutOvers { micrograms, .. } => {
            Sentence::of("board-of-overs").with("mass", mass(micrograms))
        }
    };
    let view = |one| BoardLeverView::new(times::lever(morning, one), Some(cost(one)));
    levers.iter().map(view).collect()
}

fn mass(micrograms: i64) -> Sentence {
    Sentence::amount(printed::sum(micrograms).said())
}

/// What a way out of a load under its mixer's minimum costs.
fn cost(morning: &Morning, batch: &Batch, option: &UnderMinimum) -> Option<Sentence> {
    Some(match option {
        UnderMinimum::RaiseToMinimum => return raised(morning, batch),
        UnderMinimum::SmallerMixer(_) => Sentence::of("board-no-more-dough"),
        UnderMinimum::MergeWithNextDay => Sentence::of("board-day-older"),
        UnderMinimum::MergeWithSisterDough => Sentence::of("board-on-one-base"),
        UnderMinimum::HandMix => Sentence::of("board-hands"),
        UnderMinimum::Drop => {
            let asks = batch.asked.iter().filter_map(|ask| match ask.by {
                AskedBy::Product(product) => Some(product),
                AskedBy::Formula(_) => None,
            });
            let start = |product| morning.plan.start_of(batch.service_date, product);
            let pieces = asks.map(start).sum::<i64>();
            Sentence::of("board-pieces-not-made").with("pieces", pieces.to_string())
        }
    })
}

/// What raising a load to its mixer's minimum takes more of.
fn raised(morning: &Morning, batch: &Batch) -> Option<Sentence> {
    let minimum_ug = morning.bakery.lists().mixers[batch.mixer? as usize].minimum_ug;
    let own = i64::try_from(batch.split.mass.floor()).ok()?;
    let more = mass(minimum_ug.checked_sub(own)?);
    Some(Sentence::of("board-more-dough").with("mass", more))
}

/// When the first thing for a service date is made that can still be changed.
fn first_made(morning: &Morning, date: Date) -> Option<Timestamp> {
    let of_date = morning.plan.batches.iter().filter(|batch| batch.service_date == date);
    of_date.filter_map(|batch| batch.made_at).filter(|&at| at >= morning.now).min()
}
