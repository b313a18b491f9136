//! What a person should know of a plan, in words.

mod board;
mod near_miss;
mod over_age;
mod times;

pub(super) use board::{exceptions, of_batch};
pub(super) use over_age::stopped;

use crate::service::{orders::OrderState, plan::Morning, supplier_orders::OverdueOrder};
use domain::{overrides::OverrideKind, plan::Finding, ratio::Ratio};
use jiff::civil::{Date, DateTime};
use std::collections::{BTreeMap, BTreeSet};

/// Remarks that concern one service date.
#[must_use]
pub fn of_service_date(morning: &Morning, date: Date) -> Vec<String> {
    let mut notes: Vec<String> = morning
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
        notes.push(format!(
            "no order is held for {date}, or it lies outside the days that are planned"
        ));
    }
    notes
}

/// Remarks of the whole plan.
#[must_use]
pub fn all(morning: &Morning) -> Vec<String> {
    let mut notes: Vec<String> =
        morning.plan.findings.iter().map(|finding| words(morning, finding)).collect();
    notes.extend(undecided_supply(morning, |_| true));
    notes.extend(asking(morning, |_| true));
    notes.extend(overdue(morning));
    notes
}

/// Remarks on a sheet of one work date; what must not be used any more comes first.
#[must_use]
pub fn of_work_date(morning: &Morning, date: Date) -> Vec<String> {
    let mut notes = over_age::notes(morning, date);
    notes.extend(of_plan(morning, date));
    notes
}

/// The same without what is over its age, for a sheet that says so of each lot.
#[must_use]
pub fn of_plan(morning: &Morning, date: Date) -> Vec<String> {
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
    let mut notes: Vec<String> = findings.map(|finding| words(morning, finding)).collect();
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
pub fn ahead_words(par: i64, forecast: i64) -> Option<String> {
    match (par, forecast) {
        (0, 0) => None,
        (par, 0) => Some(format!("{par} for counter par")),
        (0, forecast) => Some(format!("{forecast} by forecast")),
        (par, forecast) => Some(format!("{par} for counter par, {forecast} by forecast")),
    }
}

/// What is made ahead of orders for some service dates, in words.
fn ahead(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<String> {
    let mut by_date: BTreeMap<Date, Vec<String>> = BTreeMap::new();
    let lines = morning.plan.demand.pieces.iter();
    for line in lines.filter(|line| line.ahead() > 0 && wanted(line.service_date)) {
        let name = &morning.bakery.product(line.product).name;
        if let Some(words) = ahead_words(line.par, line.forecast) {
            by_date.entry(line.service_date).or_default().push(format!("{name} {words}"));
        }
    }
    let note = |(date, products): (Date, Vec<String>)| {
        format!("for {date} made ahead, NOT ORDERED: {}", products.join("; "))
    };
    by_date.into_iter().map(note).collect()
}

/// What can be made or bought while a price is missing: nobody decided.
fn undecided_supply(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<String> {
    let needs = morning.plan.needs.iter().filter(|need| wanted(need.service_date));
    let open = needs
        .filter(|need| morning.bakery.recipes(need.service_date).undecided.contains(&need.item));
    let found: BTreeSet<(Date, u32)> = open.map(|need| (need.service_date, need.item)).collect();
    let note = |(date, item): (Date, u32)| {
        format!(
            "{} for {date} can be made or bought, whichever costs less, and a price is missing: \
             UNDECIDED; it is drawn from stock here",
            morning.bakery.item(item).name
        )
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
pub fn of_board(morning: &Morning, date: Date) -> Vec<String> {
    let worked_on = worked_on(morning, date);
    let mut notes = ahead(morning, |on| worked_on.contains(&on));
    notes.extend(past(morning, date));
    notes
}

/// Whether a work date is past, in words.
#[must_use]
pub fn past(morning: &Morning, date: Date) -> Vec<String> {
    let past = "this date is past: only work for service dates from today on stands here";
    if date < morning.today() { vec![past.to_owned()] } else { Vec::new() }
}

/// An instant as it is sent, on the bakery's clock: `Thu 11 Jun 11:00`.
pub(super) fn local(instant: &str) -> String {
    let local = instant.get(..19).and_then(|text| text.parse::<DateTime>().ok());
    local.map_or_else(|| instant.to_owned(), |at| at.strftime("%a %-d %b %H:%M").to_string())
}

/// A local date as it is sent: `Fri 12 Jun`.
pub(super) fn local_date(date: &str) -> String {
    let parsed = date.parse::<Date>().ok();
    parsed.map_or_else(|| date.to_owned(), |date| date.strftime("%a %-d %b").to_string())
}

/// Supplier orders that should have come by now: no plan counts on them.
fn overdue(morning: &Morning) -> Vec<String> {
    let zone = &morning.bakery.site().time_zone;
    let words = |order: &OverdueOrder| {
        let due = super::amount::instant(zone, order.arrives);
        let due = local(&due);
        format!(
            "order {} should have come by {due} and is NOT COUNTED: receive it, or ring",
            order.reference
        )
    };
    morning.overdue.iter().map(words).collect()
}

/// Orders that wait for a person, date by date.
fn asking(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<String> {
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

fn asking_words(date: Date, duplicate: bool, orders: &str) -> String {
    match duplicate {
        false => format!(
            "came after the cutoff for {date} and is counted here: {orders}; ask if it is made"
        ),
        true => format!(
            "a standing order covers the same drop on {date}, so this is not counted: {orders}; \
             ask if it replaces it or comes on top"
        ),
    }
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
pub fn words(morning: &Morning, finding: &Finding) -> String {
    let item = |position: u32| &morning.bakery.item(position).name;
    match finding {
        Finding::NoTime { .. }
        | Finding::NoDrop { .. }
        | Finding::Split { .. }
        | Finding::Clash { .. } => times::words(morning, finding),
        Finding::UnderMinimum { item: made, service_date } => format!(
            "{} for {service_date} is under its mixer's minimum: UNDECIDED, choose what to do",
            item(*made)
        ),
        Finding::TooManyLoads { item: made, service_date } => format!(
            "{} for {service_date} would take more than {} loads and is NOT PLANNED: correct the \
             order that asks for so much",
            item(*made),
            domain::limits::LOADS_MAX
        ),
        Finding::Substituted { substitute, service_date, used_in, lapsed, by } => {
            let names: Vec<String> = used_in.iter().map(ToString::to_string).collect();
            let date = local_date(&service_date.to_string());
            match lapsed {
                None => format!(
                    "{substitute} is used in {} for {date}, signed for ({by}): check every label",
                    names.join(", ")
                ),
                Some(why) => format!(
                    "{substitute} was signed for on {date} ({by}) and CANNOT be used any more: {why}"
                ),
            }
        }
        Finding::Decided { product, service_date, asked, kept, by } => format!(
            "{} for {}: {kept} of {asked} pieces are made for those who were cut, by decision \
             ({by}); tell them what they get",
            morning.bakery.product(*product).name,
            local_date(&service_date.to_string())
        ),
        Finding::Surplus { .. }
        | Finding::OversUsed { .. }
        | Finding::Dropped { .. }
        | Finding::FormulaChanged { .. }
        | Finding::OverrideImpossible { .. } => of_loads(morning, finding),
        Finding::ToppingRefused { product, item: taken, service_date } => format!(
            "{} on {} for {service_date} is too little for any scale",
            item(*taken),
            morning.bakery.product(*product).name
        ),
        Finding::BakedAfterUseBy { item: taken, lot, user, at, service_date } => format!(
            "{}, lot {lot}: its use-by ends before {} of {} is baked for {}; allowed if it goes in \
             before midnight of that date and the dough is of the right age",
            item(*taken),
            times::name(morning, *user),
            morning.local_date(*at).strftime("%a %-d %b"),
            service_date.strftime("%a %-d %b")
        ),
        Finding::UnknownInOrder { product, customer } => format!(
            "an order of `{customer}` for `{product}` names something that is no longer known: \
             it is not in the plan"
        ),
    }
}

/// Remarks on released loads and on what was set by hand.
fn of_loads(morning: &Morning, finding: &Finding) -> String {
    let item = |position: u32| &morning.bakery.item(position).name;
    let mass = |ug: Ratio| {
        let kilogram = Ratio::whole(1_000_000_000);
        ug.over(kilogram).map_or_else(|_| "?".to_owned(), |kg| format!("{} kg", kg.to_decimal(2)))
    };
    match finding {
        Finding::Surplus { item: made, service_date, ug } => format!(
            "{} for {service_date}: released loads give {} more than is ordered now; sell the \
             pieces over the counter, freeze them, or keep the dough as old dough",
            item(*made),
            mass(*ug)
        ),
        Finding::OversUsed { item: made, service_date, ug } => format!(
            "{} for {service_date}: released loads cover all orders, and {} less goes into overs",
            item(*made),
            mass(*ug)
        ),
        Finding::Dropped { item: made, service_date, ug } => {
            let code = &morning.bakery.item(*made).code;
            let kind = OverrideKind::UnderMinimum;
            let by = morning.plan.override_of(*service_date, kind, code);
            let by = by.map(|by| format!(" ({}: {})", by.who, by.note)).unwrap_or_default();
            format!(
                "{} for {service_date}: {} is NOT MADE by decision{by}; tell who ordered it",
                item(*made),
                mass(*ug)
            )
        }
        Finding::FormulaChanged { item: made, service_date, loads } => {
            let loads: Vec<String> = loads.iter().map(ToString::to_string).collect();
            format!(
                "{} for {service_date}: its formula changed after load {} was released; that keeps \
                 the version before, drafts use the new one: PUT /v1/service-dates/{service_date}\
                 /overrides/formula/{} when you have seen it",
                item(*made),
                loads.join(", "),
                morning.bakery.item(*made).code
            )
        }
        Finding::OverrideImpossible { service_date, kind, code, reason } => format!(
            "{} of `{code}` for {service_date} was set by hand and cannot be: {reason}; the plan \
             goes on without it",
            kind.word()
        ),
        _ => String::new(),
    }
}
