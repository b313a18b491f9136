//! What needs a person, by the latest moment at which somebody can act.

use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::{Morning, refused},
    },
    wire::{
        amount::instant,
        findings,
        shortages::{COUNTER_PAR, FORECAST, ShortageLineView, ShortagesView},
    },
};
use domain::calendar::add_days;
use jiff::{Timestamp, civil::Date};
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::ToSchema;

/// Service dates after the work date whose findings stand on its board.
const DAYS_AHEAD: i64 = 3;

/// One thing that needs a person.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExceptionView {
    /// `ingredient`, `capacity`, `age`, `person` or `order`.
    #[schema(example = "ingredient")]
    pub by: &'static str,
    /// What it is, in words.
    #[schema(value_type = String)]
    pub what: Sentence,
    /// Code of the item that runs short, if that is it.
    #[schema(example = "rye")]
    pub item: Option<String>,
    /// The latest moment at which somebody can act: RFC 3339 with the bakery's offset; none if
    /// it is wanted at once.
    #[schema(example = "2026-06-10T12:00:00+02:00")]
    pub act_by: Option<String>,
    /// Whether the moment to order has passed.
    pub order_gone: bool,
    /// Whom it hits.
    #[schema(value_type = Vec<String>)]
    pub hits: Vec<Sentence>,
    /// What can be done, mildest first.
    pub levers: Vec<BoardLeverView>,
}

/// One thing that can be done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BoardLeverView {
    /// What, in words.
    #[schema(value_type = String, example = "order 1 × rye-16 from The mill")]
    pub what: Sentence,
    /// What it costs, in words; none if nobody knows.
    #[schema(value_type = Option<String>, example = "16.00 EUR")]
    pub cost: Option<Sentence>,
    /// Until when, if that is before all else.
    pub until: Option<String>,
}

impl BoardLeverView {
    pub(in crate::wire) const fn new(what: Sentence, cost: Option<Sentence>) -> Self {
        Self { what, cost, until: None }
    }
}

pub(super) fn exceptions(
    morning: &Morning,
    work_date: Date,
    short: &ShortagesView,
) -> Result<Vec<ExceptionView>, Refusal> {
    let mut found: Vec<(Option<Timestamp>, ExceptionView)> = Vec::new();
    for line in short.groups.iter().flat_map(|group| &group.lines) {
        if line.pressing == "must" && concerns(morning, line, work_date) {
            found.push(ingredient(morning, line));
        }
    }
    for stopped in findings::stopped(morning, work_date).map_err(refused)? {
        let view = ExceptionView {
            by: "age",
            item: None,
            what: stopped.what,
            act_by: None,
            order_gone: false,
            hits: Vec::new(),
            levers: stopped.levers,
        };
        found.push((None, view));
    }
    let last = add_days(work_date, DAYS_AHEAD).map_err(refused)?;
    let next = add_days(work_date, 1).map_err(refused)?;
    let zone = &morning.bakery.site().time_zone;
    for finding in findings::exceptions(morning, work_date..=last) {
        // What is decided on another day stands on that day's board.
        let day = finding.act_by.map(|at| morning.local_date(at));
        if day.is_some_and(|day| !(work_date..=next).contains(&day)) {
            continue;
        }
        found.push((
            finding.act_by,
            ExceptionView {
                by: finding.by,
                item: None,
                what: finding.what,
                act_by: finding.act_by.map(|at| instant(zone, at)),
                order_gone: false,
                hits: Vec::new(),
                levers: finding.levers,
            },
        ));
    }
    // What has no moment is wanted at once. Stable: equal ones stay as found.
    found.sort_by_key(|(act_by, _)| *act_by);
    Ok(found.into_iter().map(|(_, view)| view).collect())
}

/// Whether a shortage bites on the date, or must be acted upon on it: what can no longer be
/// ordered is today's, however late it bites.
fn concerns(morning: &Morning, line: &ShortageLineView, work_date: Date) -> bool {
    let date = work_date.to_string();
    let on = |at: &str| at.starts_with(&date);
    let open = line.latest.as_ref().filter(|latest| !latest.gone);
    let bites = line.runs_out.as_ref().is_some_and(|out| on(&out.at));
    bites || open.map_or(work_date == morning.today(), |latest| on(&latest.cutoff))
}

fn ingredient(morning: &Morning, line: &ShortageLineView) -> (Option<Timestamp>, ExceptionView) {
    let latest = line.latest.as_ref().filter(|latest| !latest.gone);
    let out = line.runs_out.as_ref();
    // When nothing can be ordered any more, the other levers end where it runs out.
    let act_by = latest.map(|latest| &latest.cutoff).or(out.map(|out| &out.at)).cloned();
    let what = match out {
        None => Sentence::of("day-board-short"),
        Some(out) => Sentence::of("day-board-short-first")
            .with("code", &out.used_in)
            .with("at", Sentence::moment(&out.at)),
    };
    let what = what.with("name", &line.name).with("amount", Sentence::amount(line.printed.said()));
    let view = ExceptionView {
        by: "ingredient",
        item: Some(line.item.clone()),
        what,
        order_gone: latest.is_none(),
        hits: hits(morning, line),
        levers: line.steps.clone(),
        act_by: act_by.clone(),
    };
    (act_by.and_then(|at| at.parse().ok()), view)
}

/// Products by service date, and who ordered them.
fn hits(morning: &Morning, line: &ShortageLineView) -> Vec<Sentence> {
    let bakery = &morning.bakery;
    let mut by_date: BTreeMap<&str, (Vec<&str>, BTreeSet<&str>)> = BTreeMap::new();
    for hit in &line.hits {
        let (products, customers) = by_date.entry(&hit.service_date).or_default();
        let product = bakery.index().product(&hit.product);
        products.push(product.map_or(&hit.product, |product| &bakery.product(product).name));
        customers.extend(hit.customers.iter().map(String::as_str));
        customers.extend(hit.ahead.iter().copied());
    }
    let name = |code: &str| {
        let customers = &bakery.lists().customers;
        let found = customers.iter().find(|customer| customer.code.as_str() == code);
        found.map_or_else(|| ahead_word(code), |customer| Sentence::from(&customer.name))
    };
    let words = |(date, (products, customers)): (&str, (Vec<&str>, BTreeSet<&str>))| {
        Sentence::of("day-board-hit")
            .with("day", Sentence::day(date))
            .with("products", Sentence::joined(", ", products))
            .with("customers", Sentence::joined(", ", customers.into_iter().map(name)))
    };
    by_date.into_iter().map(words).collect()
}

/// For what pieces are made ahead, or a code as it is.
fn ahead_word(word: &str) -> Sentence {
    match word {
        COUNTER_PAR => Sentence::of("ahead-counter-par"),
        FORECAST => Sentence::of("ahead-forecast"),
        code => Sentence::from(code),
    }
}
