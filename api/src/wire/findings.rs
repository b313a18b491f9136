//! What a person should know of a plan, in words.

mod board;
mod near_miss;
mod over_age;
mod reasons;
mod times;

pub(super) use board::{exceptions, of_batch};
pub(super) use over_age::stopped;

use super::{amount::instant, named};
use crate::{
    messages::Sentence,
    service::{orders::OrderState, plan::Morning, supplier_orders::OverdueOrder},
};
use domain::{
    bakery::Bakery,
    id::Code,
    overrides::OverrideKind,
    plan::{Finding, UnderMinimum},
    ratio::Ratio,
};
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};

/// Remarks that concern one service date.
#[must_use]
pub fn of_service_date(morning: &Morning, date: Date) -> Vec<Sentence> {
    let mut notes: Vec<Sentence> = morning
        .plan
        .findings
        .iter()
        .filter(|finding| concerns(finding).is_none_or(|on| on == date))
        .map(|finding| words(morning, finding))
        .collect();
    notes.extend(ahead(morning, |on| on == date));
    notes.extend(undecided_supply(morning, |on| on == date));
    notes.extend(near_miss::notes(morning, |on| on == date));
    notes.extend(asking(morning, |on| on == date));
    if !morning.plan.dates.contains(&date) {
        notes.push(Sentence::of("finding-no-order").with("date", Sentence::date(date)));
    }
    notes
}

/// Remarks of the whole plan.
#[must_use]
pub fn all(morning: &Morning) -> Vec<Sentence> {
    let mut notes: Vec<Sentence> =
        morning.plan.findings.iter().map(|finding| words(morning, finding)).collect();
    notes.extend(undecided_supply(morning, |_| true));
    notes.extend(asking(morning, |_| true));
    notes.extend(overdue(morning));
    notes
}

/// Remarks on a sheet of one work date; what must not be used any more comes first.
#[must_use]
pub fn of_work_date(morning: &Morning, date: Date) -> Vec<Sentence> {
    let mut notes = over_age::notes(morning, date);
    notes.extend(of_plan(morning, date));
    notes
}

/// The same without what is over its age, for a sheet that says so of each lot.
#[must_use]
pub fn of_plan(morning: &Morning, date: Date) -> Vec<Sentence> {
    // What concerns one load or one line stands beside it.
    let beside = |finding: &&Finding| {
        !matches!(finding, Finding::UnderMinimum { .. } | Finding::ToppingRefused { .. })
    };
    // A use-by day concerns the hand that weighs on it.
    let today = |finding: &&Finding| match finding {
        Finding::BakedAfterUseBy { at, .. } => morning.local_date(*at) == date,
        _ => true,
    };
    let findings = morning.plan.findings.iter().filter(beside).filter(today);
    let mut notes: Vec<Sentence> = findings.map(|finding| words(morning, finding)).collect();
    let worked_on = worked_on(morning, date);
    notes.extend(ahead(morning, |on| worked_on.contains(&on)));
    notes.extend(undecided_supply(morning, |_| true));
    notes.extend(asking(morning, |_| true));
    notes.extend(overdue(morning));
    notes.extend(past(morning, date));
    notes
}

/// Pieces that nobody ordered, in words; none if there are none.
#[must_use]
pub fn ahead_words(par: i64, forecast: i64) -> Option<Sentence> {
    let says = |message, pieces: i64| {
        (pieces != 0).then(|| Sentence::of(message).with("pieces", pieces.to_string()))
    };
    let parts = [says("sheet-for-par", par), says("sheet-by-forecast", forecast)];
    let parts: Vec<Sentence> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| Sentence::joined(", ", parts))
}

/// What is made ahead of orders for some service dates, in words.
fn ahead(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<Sentence> {
    let mut by_date: BTreeMap<Date, Vec<Sentence>> = BTreeMap::new();
    let lines = morning.plan.demand.pieces.iter();
    for line in lines.filter(|line| line.ahead() > 0 && wanted(line.service_date)) {
        let name = &morning.bakery.product(line.product).name;
        if let Some(pieces) = ahead_words(line.par, line.forecast) {
            let of = Sentence::of("finding-ahead-of").with("name", name).with("pieces", pieces);
            by_date.entry(line.service_date).or_default().push(of);
        }
    }
    let note = |(date, products): (Date, Vec<Sentence>)| {
        Sentence::of("finding-ahead")
            .with("date", Sentence::date(date))
            .with("products", Sentence::joined("; ", products))
    };
    by_date.into_iter().map(note).collect()
}

/// What can be made or bought while a price is missing: nobody decided.
fn undecided_supply(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<Sentence> {
    let needs = morning.plan.needs.iter().filter(|need| wanted(need.service_date));
    let open = needs
        .filter(|need| morning.bakery.recipes(need.service_date).undecided.contains(&need.item));
    let found: BTreeSet<(Date, u32)> = open.map(|need| (need.service_date, need.item)).collect();
    let note = |(date, item): (Date, u32)| {
        Sentence::of("finding-undecided-supply")
            .with("item", &morning.bakery.item(item).name)
            .with("date", Sentence::date(date))
    };
    found.into_iter().map(note).collect()
}

/// Service dates for which something is made on a work date, and that date itself.
fn worked_on(morning: &Morning, work_date: Date) -> BTreeSet<Date> {
    let batches = morning.plan.batches.iter();
    let made =
        batches.filter(|batch| batch.made_at.is_some_and(|at| morning.local_date(at) == work_date));
    made.map(|batch| batch.service_date).chain([work_date]).collect()
}

/// Remarks on the day board, on which all that needs a person stands by itself.
#[must_use]
pub fn of_board(morning: &Morning, date: Date) -> Vec<Sentence> {
    let worked_on = worked_on(morning, date);
    let mut notes = ahead(morning, |on| worked_on.contains(&on));
    notes.extend(past(morning, date));
    notes
}

/// Whether a work date is past, in words.
#[must_use]
pub fn past(morning: &Morning, date: Date) -> Vec<Sentence> {
    if date < morning.today() { vec![Sentence::of("finding-past")] } else { Vec::new() }
}

/// Supplier orders that should have come by now: no plan counts on them.
fn overdue(morning: &Morning) -> Vec<Sentence> {
    let zone = &morning.bakery.site().time_zone;
    let words = |order: &OverdueOrder| {
        Sentence::of("finding-overdue")
            .with("reference", &order.reference)
            .with("due", Sentence::moment(instant(zone, order.arrives)))
    };
    morning.overdue.iter().map(words).collect()
}

/// Orders that wait for a person, date by date.
fn asking(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<Sentence> {
    let mut by_date: BTreeMap<(Date, bool), Vec<&str>> = BTreeMap::new();
    for order in morning.asking.iter().filter(|order| wanted(order.service_date)) {
        let key = (order.service_date, order.state == OrderState::HeldDuplicate);
        by_date.entry(key).or_default().push(&order.order_ref);
    }
    let note = |((date, duplicate), orders): ((Date, bool), Vec<&str>)| {
        asking_words(date, duplicate, &orders.join(", "))
    };
    by_date.into_iter().map(note).collect()
}

fn asking_words(date: Date, duplicate: bool, orders: &str) -> Sentence {
    let message = if duplicate { "finding-asking-duplicate" } else { "finding-asking-late" };
    Sentence::of(message).with("date", Sentence::date(date)).with("orders", orders)
}

const fn concerns(finding: &Finding) -> Option<Date> {
    match finding {
        Finding::NoTime { service_date, .. }
        | Finding::UnderMinimum { service_date, .. }
        | Finding::TooManyLoads { service_date, .. }
        | Finding::NoDrop { service_date, .. }
        | Finding::Split { service_date, .. }
        | Finding::Clash { service_date, .. }
        | Finding::Surplus { service_date, .. }
        | Finding::OversUsed { service_date, .. }
        | Finding::Dropped { service_date, .. }
        | Finding::Decided { service_date, .. }
        | Finding::Substituted { service_date, .. }
        | Finding::FormulaChanged { service_date, .. }
        | Finding::OverrideImpossible { service_date, .. }
        | Finding::ToppingRefused { service_date, .. }
        | Finding::BakedAfterUseBy { service_date, .. } => Some(*service_date),
        Finding::UnknownInOrder { .. } => None,
    }
}

/// One finding in words.
#[must_use]
pub fn words(morning: &Morning, finding: &Finding) -> Sentence {
    let item = |position: u32| &morning.bakery.item(position).name;
    match finding {
        Finding::NoTime { .. }
        | Finding::NoDrop { .. }
        | Finding::Split { .. }
        | Finding::Clash { .. } => times::words(morning, finding),
        Finding::UnderMinimum { item: made, service_date } => {
            made_for("finding-under-minimum", item(*made), *service_date)
        }
        Finding::TooManyLoads { item: made, service_date } => {
            made_for("finding-too-many-loads", item(*made), *service_date)
                .with("most", domain::limits::LOADS_MAX.to_string())
        }
        Finding::Substituted { .. } | Finding::Decided { .. } => decided(morning, finding),
        Finding::Surplus { .. }
        | Finding::OversUsed { .. }
        | Finding::Dropped { .. }
        | Finding::FormulaChanged { .. }
        | Finding::OverrideImpossible { .. } => of_loads(morning, finding),
        Finding::ToppingRefused { product, item: taken, service_date } => {
            Sentence::of("finding-topping-refused")
                .with("item", item(*taken))
                .with("product", &morning.bakery.product(*product).name)
                .with("date", Sentence::date(service_date))
        }
        Finding::BakedAfterUseBy { item: taken, lot, user, at, service_date } => {
            Sentence::of("finding-baked-after-use-by")
                .with("item", item(*taken))
                .with("lot", lot)
                .with("user", times::name(morning, *user))
                .with("at", Sentence::day(morning.local_date(*at)))
                .with("date", Sentence::day(service_date))
        }
        Finding::UnknownInOrder { product, customer } => Sentence::of("finding-unknown-in-order")
            .with("customer", named::customer(&morning.bakery, customer.as_str()).marked())
            .with("product", named::made(&morning.bakery, product.as_str()).marked()),
    }
}

/// What is said of something that is made for a service date.
fn made_for(message: &'static str, made: &str, date: Date) -> Sentence {
    Sentence::of(message).with("made", made).with("date", Sentence::date(date))
}

/// Remarks on what people signed for or decided.
fn decided(morning: &Morning, finding: &Finding) -> Sentence {
    let bakery = &morning.bakery;
    let made = |code: &Code| named::made(bakery, code.as_str());
    match finding {
        Finding::Substituted { substitute, service_date, used_in, lapsed, by } => {
            let of = match lapsed {
                None => Sentence::of("finding-substituted")
                    .with("products", Sentence::joined(", ", used_in.iter().map(made))),
                Some(why) => Sentence::of("finding-substitute-lapsed")
                    .with("why", reasons::cannot_swap(bakery, why)),
            };
            of.with("substitute", named::substitute(bakery, substitute.as_str()))
                .with("date", Sentence::day(service_date))
                .with("by", by)
        }
        Finding::Decided { product, service_date, asked, kept, by } => {
            Sentence::of("finding-decided")
                .with("product", &bakery.product(*product).name)
                .with("date", Sentence::day(service_date))
                .with("kept", kept.to_string())
                .with("asked", asked.to_string())
                .with("by", by)
        }
        _ => Sentence::from(""),
    }
}

/// Remarks on released loads and on what was set by hand.
fn of_loads(morning: &Morning, finding: &Finding) -> Sentence {
    let item = |position: u32| &morning.bakery.item(position).name;
    match finding {
        Finding::Surplus { item: made, service_date, ug } => {
            made_for("finding-surplus", item(*made), *service_date).with("mass", kilograms(*ug))
        }
        Finding::OversUsed { item: made, service_date, ug } => {
            made_for("finding-overs-used", item(*made), *service_date).with("mass", kilograms(*ug))
        }
        Finding::Dropped { item: made, service_date, ug } => {
            let code = &morning.bakery.item(*made).code;
            let kind = OverrideKind::UnderMinimum;
            let mass = kilograms(*ug);
            match morning.plan.override_of(*service_date, kind, code) {
                None => made_for("finding-dropped", item(*made), *service_date).with("mass", mass),
                Some(by) => made_for("finding-dropped-by", item(*made), *service_date)
                    .with("mass", mass)
                    .with("who", &by.who)
                    .with("note", &by.note),
            }
        }
        Finding::FormulaChanged { item: made, service_date, loads } => {
            let loads = loads.iter().map(ToString::to_string);
            let code = &morning.bakery.item(*made).code;
            let path = format!("/v1/service-dates/{service_date}/overrides/formula/{code}");
            made_for("finding-formula-changed", item(*made), *service_date)
                .with("loads", Sentence::joined(", ", loads))
                .with("path", path)
        }
        Finding::OverrideImpossible { service_date, kind, code, reason } => {
            Sentence::of("finding-override-impossible")
                .with("kind", override_kind(*kind))
                .with("made", named::made(&morning.bakery, code.as_str()).marked())
                .with("date", Sentence::date(service_date))
                .with("reason", reasons::cannot_set(&morning.bakery, reason))
        }
        _ => Sentence::from(""),
    }
}

/// A mass to ten grams.
fn kilograms(ug: Ratio) -> Sentence {
    let kg = ug.over(Ratio::whole(1_000_000_000));
    kg.map_or_else(
        |_| Sentence::from("?"),
        |kg| Sentence::amount(format!("{} kg", kg.to_decimal(2))),
    )
}

/// What a kind of value that is set by hand is called.
pub(super) const fn override_kind(kind: OverrideKind) -> Sentence {
    Sentence::of(match kind {
        OverrideKind::StartPieces => "override-start-pieces",
        OverrideKind::Loads => "override-loads",
        OverrideKind::Mixer => "override-mixer",
        OverrideKind::Time => "override-time",
        OverrideKind::UnderMinimum => "override-under-minimum",
        OverrideKind::Formula => "override-formula",
    })
}

/// What a person may choose for a load under its mixer's minimum.
#[must_use]
pub fn option(bakery: &Bakery, option: &UnderMinimum) -> Sentence {
    Sentence::of(match option {
        UnderMinimum::SmallerMixer(mixer) => {
            let mixer = named::mixer(bakery, mixer.as_str());
            return Sentence::of("option-smaller-mixer").with("mixer", mixer);
        }
        UnderMinimum::MergeWithNextDay => "option-merge-with-next-day",
        UnderMinimum::MergeWithSisterDough => "option-merge-with-sister-dough",
        UnderMinimum::RaiseToMinimum => "option-raise-to-minimum",
        UnderMinimum::HandMix => "option-hand-mix",
        UnderMinimum::Drop => "option-drop",
    })
}
