//! What a person should know of a plan, in words.

use crate::service::plan::Morning;
use domain::plan::Finding;
use jiff::civil::Date;
use std::collections::BTreeMap;

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
    notes.extend(late(morning, |on| on == date));
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
    notes.extend(late(morning, |_| true));
    notes
}

/// Remarks on a sheet of one work date.
#[must_use]
pub fn of_work_date(morning: &Morning, date: Date) -> Vec<String> {
    // What concerns one load or one line stands beside it.
    let beside = |finding: &&Finding| {
        !matches!(finding, Finding::UnderMinimum { .. } | Finding::ToppingRefused { .. })
    };
    let findings = morning.plan.findings.iter().filter(beside);
    let mut notes: Vec<String> = findings.map(|finding| words(morning, finding)).collect();
    notes.extend(late(morning, |_| true));
    if date < morning.today() {
        notes.push(
            "this date is past: only work for service dates from today on stands here".to_owned(),
        );
    }
    notes
}

/// Orders that came after their cutoff, date by date.
fn late(morning: &Morning, wanted: impl Fn(Date) -> bool) -> Vec<String> {
    let mut by_date: BTreeMap<Date, Vec<&str>> = BTreeMap::new();
    for order in morning.late.iter().filter(|order| wanted(order.service_date)) {
        by_date.entry(order.service_date).or_default().push(&order.order_ref);
    }
    let note = |(date, orders): (Date, Vec<&str>)| {
        let orders = orders.join(", ");
        format!("came after the cutoff for {date} and is counted here: {orders}; ask if it is made")
    };
    by_date.into_iter().map(note).collect()
}

const fn concerns(finding: &Finding) -> Option<Date> {
    match finding {
        Finding::NoTime { service_date, .. }
        | Finding::UnderMinimum { service_date, .. }
        | Finding::TooManyLoads { service_date, .. }
        | Finding::ToppingRefused { service_date, .. } => Some(*service_date),
        Finding::UnknownInOrder { .. } => None,
    }
}

/// One finding in words.
#[must_use]
pub fn words(morning: &Morning, finding: &Finding) -> String {
    let item = |position: u32| &morning.bakery.item(position).name;
    match finding {
        Finding::NoTime { item: made, service_date, step } => format!(
            "{} for {service_date} has no time: step `{step}` fits no staffed hours before the \
             drop; make it by hand-set time or change the route",
            item(*made)
        ),
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
        Finding::ToppingRefused { product, item: taken, service_date } => format!(
            "{} on {} for {service_date} is too little for any scale",
            item(*taken),
            morning.bakery.product(*product).name
        ),
        Finding::UnknownInOrder { product, customer } => format!(
            "an order of `{customer}` for `{product}` names something that is no longer known: \
             it is not in the plan"
        ),
    }
}
