//! Findings as things that need a person: what holds up, until when, what can be done.

use super::{asking_words, near_miss, times, words};
use crate::{
    service::{book::AskingOrder, orders::OrderState, plan::Morning},
    wire::{
        amount::span,
        day_board::{BoardLeverView, HeldUpView},
        printed,
    },
};
use domain::plan::{AskedBy, Batch, ClashLever, Finding, NeedUser, UnderMinimum};
use jiff::{Timestamp, civil::Date};
use std::ops::RangeInclusive;

/// A finding that needs a person.
pub(in crate::wire) struct Exception {
    /// What holds up: `capacity`, `person` or `order`.
    pub(in crate::wire) by: &'static str,
    /// In words.
    pub(in crate::wire) what: String,
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
        false => vec![
            BoardLeverView::new(
                "make it: say so to the customer",
                Some("as planned here".to_owned()),
            ),
            BoardLeverView::new("send the whole order anew without what cannot be made", None),
        ],
        true => vec![
            BoardLeverView::new("send the next version with standing: replaces", None),
            BoardLeverView::new("send the next version with standing: adds", None),
            BoardLeverView::new("cancel it", None),
        ],
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
fn head(morning: &Morning, finding: &Finding) -> String {
    match finding {
        Finding::Clash { of, service_date, spot, .. } => format!(
            "{} for {service_date} has no place in {}: UNDECIDED",
            times::name(morning, *of),
            times::station(morning, *spot)
        ),
        _ => words(morning, finding),
    }
}

fn levers(morning: &Morning, finding: &Finding, batch: Option<&Batch>) -> Vec<BoardLeverView> {
    let plain = |what: &str| BoardLeverView::new(what, None);
    match finding {
        Finding::UnderMinimum { .. } => batch.map_or_else(Vec::new, |batch| {
            let one = |option| {
                BoardLeverView::new(UnderMinimum::words(option), cost(morning, batch, option))
            };
            batch.options.iter().map(one).collect()
        }),
        Finding::Clash { levers, .. } => clash(morning, levers),
        Finding::Split { .. } => vec![
            BoardLeverView::new("leave it as it is", Some("one mix more".to_owned())),
            plain("change a drop or a window so that its products start together"),
        ],
        Finding::NoTime { no_fit, .. } => {
            let later = no_fit.earliest.map_or_else(
                || "agree on a later drop with the customer".to_owned(),
                |at| format!("agree on a drop at {} or later", times::local(morning, at)),
            );
            let off = no_fit.minutes.map_or_else(
                || "more than any change of hours gives".to_owned(),
                |minutes| format!("at least {}", span(minutes)),
            );
            let lever = |what: &str, cost: String| BoardLeverView::new(what, Some(cost));
            vec![
                lever(&later, "a call to the customer".to_owned()),
                lever("change the hours of the team, or the route", off),
                lever("make it at a time set by hand", "ages and hours are yours to watch".into()),
            ]
        }
        Finding::NoDrop { .. } => {
            vec![BoardLeverView::new("add the drop to the order", Some("a call".to_owned()))]
        }
        Finding::BakedAfterUseBy { lot, .. } => vec![
            plain(&format!("use another lot than {lot}, or mix it earlier")),
            plain("ask whoever keeps the site's own food-safety plan"),
        ],
        Finding::Surplus { .. } => vec![
            plain("counter, freezer, or old dough: write down which"),
            plain("cancel a load that is not weighed yet"),
        ],
        Finding::OversUsed { .. } => vec![
            BoardLeverView::new("leave it", Some("fewer overs, no order".to_owned())),
            plain("release one load more"),
        ],
        Finding::Substituted { .. } => {
            vec![plain("check the labels, or take the sign-off back")]
        }
        Finding::Dropped { .. } | Finding::Decided { .. } => {
            vec![plain("take the decision back, or tell the customers")]
        }
        Finding::FormulaChanged { .. } => vec![
            BoardLeverView::new(
                "keep both versions in this batch",
                Some("both in the trace".to_owned()),
            ),
            plain("cancel loads that are not weighed yet and release them anew"),
        ],
        Finding::OverrideImpossible { .. } => vec![plain("set another value, or take it back")],
        Finding::TooManyLoads { .. } => vec![plain("correct the order that asks for so much")],
        Finding::ToppingRefused { .. } => vec![plain("make a premix")],
        Finding::UnknownInOrder { .. } => {
            vec![plain("put the product or customer back, or cancel the order")]
        }
    }
}

/// Ways out of a clash with what each costs; without any, less is made.
fn clash(morning: &Morning, levers: &[ClashLever]) -> Vec<BoardLeverView> {
    if levers.is_empty() {
        return vec![BoardLeverView::new(
            "make less of it, or share it out over other dates",
            Some("orders cut, or older goods".to_owned()),
        )];
    }
    let cost = |lever: &ClashLever| match *lever {
        ClashLever::OtherMixer { .. } => Some("no order".to_owned()),
        ClashLever::Earlier { unstaffed_minutes: Some(minutes), .. } => {
            Some(format!("{} outside staffed hours", span(minutes)))
        }
        ClashLever::Earlier { unstaffed_minutes: None, minutes, .. } => {
            Some(format!("{} older when it is used", span(minutes)))
        }
        ClashLever::Later { minutes, .. } => Some(format!("{} late", span(minutes))),
        ClashLever::CutOvers { micrograms, .. } => {
            Some(format!("{} of overs", printed::sum(micrograms).said()))
        }
    };
    levers.iter().map(|one| BoardLeverView::new(times::lever(morning, one), cost(one))).collect()
}

/// What a way out of a load under its mixer's minimum costs.
fn cost(morning: &Morning, batch: &Batch, option: &UnderMinimum) -> Option<String> {
    match option {
        UnderMinimum::RaiseToMinimum => raised(morning, batch),
        UnderMinimum::SmallerMixer(_) => Some("no order, no more dough".to_owned()),
        UnderMinimum::MergeWithNextDay => {
            Some("dough a day older on the second day, if its age window allows".to_owned())
        }
        UnderMinimum::MergeWithSisterDough => {
            Some("both on one base, each with its own additions".to_owned())
        }
        UnderMinimum::HandMix => Some("hands, if the formula permits".to_owned()),
        UnderMinimum::Drop => {
            let asks = batch.asked.iter().filter_map(|ask| match ask.by {
                AskedBy::Product(product) => Some(product),
                AskedBy::Formula(_) => None,
            });
            let start = |product| morning.plan.start_of(batch.service_date, product);
            Some(format!("{} pieces are not made", asks.map(start).sum::<i64>()))
        }
    }
}

/// What raising a load to its mixer's minimum takes more of.
fn raised(morning: &Morning, batch: &Batch) -> Option<String> {
    let minimum_ug = morning.bakery.lists().mixers[batch.mixer? as usize].minimum_ug;
    let mass = i64::try_from(batch.split.mass.floor()).ok()?;
    let more = printed::sum(minimum_ug.checked_sub(mass)?).said();
    Some(format!("{more} more dough"))
}

/// When the first thing for a service date is made that can still be changed.
fn first_made(morning: &Morning, date: Date) -> Option<Timestamp> {
    let of_date = morning.plan.batches.iter().filter(|batch| batch.service_date == date);
    of_date.filter_map(|batch| batch.made_at).filter(|&at| at >= morning.now).min()
}
