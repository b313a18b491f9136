//! What needs a person, by the latest moment at which somebody can act.

use crate::{
    service::{
        Refusal,
        plan::{Morning, refused},
    },
    wire::{
        amount::{MoneyView, QuantityView, instant},
        findings,
        shortages::{LeverView, ShortageLineView, ShortagesView},
    },
};
use domain::{calendar::add_days, id::Code};
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
    pub what: String,
    /// The latest moment at which somebody can act: RFC 3339 with the bakery's offset; none if
    /// it is wanted at once.
    #[schema(example = "2026-06-10T12:00:00+02:00")]
    pub act_by: Option<String>,
    /// Whether the moment to order has passed.
    pub order_gone: bool,
    /// Whom it hits.
    pub hits: Vec<String>,
    /// What can be done, mildest first.
    pub levers: Vec<BoardLeverView>,
}

/// One thing that can be done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BoardLeverView {
    /// What, in words.
    #[schema(example = "order 1 × rye-16 from The mill")]
    pub what: String,
    /// What it costs, in words; none if nobody knows.
    #[schema(example = "16.00 EUR")]
    pub cost: Option<String>,
    /// Until when, if that is before all else.
    pub until: Option<String>,
}

impl BoardLeverView {
    pub(in crate::wire) fn new(what: impl Into<String>, cost: Option<String>) -> Self {
        Self { what: what.into(), cost, until: None }
    }
}

pub(super) fn exceptions(
    morning: &Morning,
    work_date: Date,
    short: &ShortagesView,
) -> Result<Vec<ExceptionView>, Refusal> {
    let mut found: Vec<(Option<Timestamp>, ExceptionView)> = Vec::new();
    for line in short.groups.iter().flat_map(|group| &group.lines) {
        if line.pressing == "must" && concerns(line, work_date) {
            found.push(ingredient(morning, line));
        }
    }
    for stopped in findings::stopped(morning, work_date).map_err(refused)? {
        let view = ExceptionView {
            by: "age",
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

/// Whether a shortage bites on the date, or must be acted upon on it.
fn concerns(line: &ShortageLineView, work_date: Date) -> bool {
    let date = work_date.to_string();
    let on = |at: &str| at.starts_with(&date);
    line.runs_out.as_ref().is_some_and(|out| on(&out.at))
        || line.latest.as_ref().is_some_and(|latest| !latest.gone && on(&latest.cutoff))
}

fn ingredient(morning: &Morning, line: &ShortageLineView) -> (Option<Timestamp>, ExceptionView) {
    let latest = line.latest.as_ref().filter(|latest| !latest.gone);
    let out = line.runs_out.as_ref();
    // When nothing can be ordered any more, the other levers end where it runs out.
    let act_by = latest.map(|latest| &latest.cutoff).or(out.map(|out| &out.at)).cloned();
    let what = format!("{}: {} {} short", line.name, line.printed.amount, line.printed.unit);
    let first = out.map_or_else(String::new, |out| {
        format!(", first for {} on {}", out.used_in, findings::local(&out.at))
    });
    let view = ExceptionView {
        by: "ingredient",
        what: what + &first,
        order_gone: latest.is_none(),
        hits: hits(morning, line),
        levers: levers(morning, line),
        act_by: act_by.clone(),
    };
    (act_by.and_then(|at| at.parse().ok()), view)
}

/// Products by service date, and who ordered them.
fn hits(morning: &Morning, line: &ShortageLineView) -> Vec<String> {
    let bakery = &morning.bakery;
    let mut by_date: BTreeMap<&str, (Vec<&str>, BTreeSet<&str>)> = BTreeMap::new();
    for hit in &line.hits {
        let (products, customers) = by_date.entry(&hit.service_date).or_default();
        let product = bakery.index().product(&hit.product);
        products.push(product.map_or(&hit.product, |product| &bakery.product(product).name));
        customers.extend(hit.customers.iter().map(String::as_str));
    }
    let name = |code: &str| {
        let customers = &bakery.lists().customers;
        let found = customers.iter().find(|customer| customer.code.as_str() == code);
        found.map_or_else(|| code.to_owned(), |customer| customer.name.clone())
    };
    let words = |(date, (products, customers)): (&str, (Vec<&str>, BTreeSet<&str>))| {
        let customers: Vec<String> = customers.into_iter().map(name).collect();
        let date = findings::local_date(date);
        format!("{date}: {} for {}", products.join(", "), customers.join(", "))
    };
    by_date.into_iter().map(words).collect()
}

/// The levers of the trade rules, part 5, in their order, as far as they exist.
fn levers(morning: &Morning, line: &ShortageLineView) -> Vec<BoardLeverView> {
    let mut levers: Vec<BoardLeverView> = vec![BoardLeverView::new(
        format!("count {} again, look in part packs and tubs", line.name),
        Some("minutes".to_owned()),
    )];
    let (lots, substitutes): (Vec<&LeverView>, Vec<&LeverView>) =
        line.levers.iter().partition(|one| one.lot.is_some());
    levers.extend(lots.into_iter().map(|one| held_lot(line, one)));
    levers.extend(order(morning, line));
    if let Some(overs) = overs(morning, line) {
        levers.push(overs);
    }
    // They come as they are to be tried: without a new allergen first.
    levers.extend(substitutes.into_iter().map(|one| substitute(morning, one)));
    levers.push(BoardLeverView::new("share what there is by tier and tell customers", None));
    levers
}

fn order(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let lists = morning.bakery.lists();
    let pack = lists.packs.iter().find(|pack| Some(pack.code.as_str()) == line.pack.as_deref())?;
    let supplier = lists.suppliers.iter().find(|supplier| supplier.code == pack.supplier);
    let name = supplier.map_or(pack.supplier.as_str(), |supplier| supplier.name.as_str());
    let latest = line.latest.as_ref();
    if latest.is_none_or(|latest| latest.gone) {
        return Some(BoardLeverView::new(
            format!("ring {name}: the cutoff is gone; or buy at a shop or a neighbour's"),
            None,
        ));
    }
    let what = format!("order {} × {} from {name}", line.packs.max(1), pack.code);
    let until = latest.map(|latest| latest.cutoff.clone());
    Some(BoardLeverView { what, cost: line.line_cost.as_ref().map(MoneyView::said), until })
}

fn overs(morning: &Morning, line: &ShortageLineView) -> Option<BoardLeverView> {
    let hit = |date: Date, product: &Code| {
        line.hits
            .iter()
            .any(|hit| hit.service_date == date.to_string() && hit.product == product.as_str())
    };
    let pieces = morning.plan.demand.pieces.iter();
    let overs: i64 = pieces
        .filter(|one| hit(one.service_date, &morning.bakery.product(one.product).code))
        .map(domain::demand::PieceLine::overs)
        .sum();
    (overs > 0).then(|| {
        BoardLeverView::new(
            format!("cut the overs of what it hits: {overs} pieces"),
            Some("no order".to_owned()),
        )
    })
}

/// How much of the shortage a lever covers, in words.
fn frees(one: &LeverView) -> String {
    let QuantityView { amount, unit } = &one.frees;
    if one.enough { "covers it".to_owned() } else { format!("frees {amount} {unit} of it") }
}

fn held_lot(line: &ShortageLineView, one: &LeverView) -> BoardLeverView {
    let lot = one.lot.as_deref().unwrap_or_default();
    let what = format!("lot {lot} of {} is on hold: ask whether it may be released", line.name);
    BoardLeverView::new(what, Some(frees(one)))
}

fn substitute(morning: &Morning, one: &LeverView) -> BoardLeverView {
    let index = morning.bakery.index();
    let name = |code: &str| {
        let item = index.item(code);
        item.map_or_else(|| code.to_owned(), |item| morning.bakery.item(item).name.clone())
    };
    let uses: Vec<String> = one.uses.iter().map(|part| name(&part.item)).collect();
    let mut words = format!("use {} instead", uses.join(" + "));
    if one.needs_sign_off {
        words += " (a competent person signs for it)";
    }
    let mut cost = vec![frees(one)];
    if !one.adds_contains.is_empty() {
        cost.push(format!("BRINGS IN {}", one.adds_contains.join(", ").to_uppercase()));
    }
    if !one.adds_may_contain.is_empty() {
        cost.push(format!("may bring in {}", one.adds_may_contain.join(", ")));
    }
    if !one.unknown.is_empty() {
        cost.push(format!("ALLERGENS NOT KNOWN of {}", one.unknown.join(", ")));
    }
    if one.label_change {
        cost.push("new labels".to_owned());
    }
    if cost.len() == 1 {
        cost.push("no new allergen, no new label".to_owned());
    }
    BoardLeverView::new(words, Some(cost.join("; ")))
}
