//! What a change would mean: was, now and the difference.

mod body;

pub use body::WhatIfBody;

use crate::{
    messages::Sentence,
    service::{
        plan::Morning,
        what_if::{DroppedLoads, Proposed, Stopped, WhatIf},
    },
    wire::{
        amount::{QuantityView, instant},
        findings::words,
        order::check::{FirstStepView, first_step_view},
    },
};
use domain::{
    bakery::Bakery,
    plan::{
        difference::{BatchState, Change, NeedState, PieceState, ShortState},
        dropped::{Cut, Dropped, products_of},
    },
    quantity::Unit,
    ratio::Ratio,
};
use jiff::{Timestamp, civil::Date};
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What a change would mean; what it leaves as it is, is left out. Nothing of it is kept.
#[derive(Debug, Serialize, ToSchema)]
pub struct WhatIfView {
    /// The plan revision that it was compared with.
    #[schema(example = 17)]
    pub plan_revision: i64,
    /// When it was asked.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The moment that was thought of.
    #[schema(example = "2026-06-10T13:00:00+02:00")]
    pub now: String,
    /// Last service date looked at.
    #[schema(example = "2026-06-24")]
    pub until: String,
    /// Pieces of products.
    pub pieces: Vec<PieceChangeView>,
    /// Doughs and everything else that is made.
    pub batches: Vec<BatchChangeView>,
    /// What is needed of items.
    pub needs: Vec<NeedChangeView>,
    /// What runs short.
    pub shortages: Vec<ShortChangeView>,
    /// What a person should know then and need not now.
    #[schema(value_type = Vec<String>)]
    pub new_findings: Vec<Sentence>,
    /// What a person should know now and need not then.
    #[schema(value_type = Vec<String>)]
    pub gone_findings: Vec<Sentence>,
    /// Orders that a shortage, a mixer or a lost load hits and that it does not hit now.
    pub orders_hit: Vec<OrderHitView>,
    /// What each lost load means.
    pub dropped: Vec<DroppedView>,
}

/// A number before and after.
#[derive(Debug, Serialize, ToSchema)]
pub struct CountChangeView {
    /// As it is.
    #[schema(example = 72)]
    pub was: i64,
    /// As it would be.
    #[schema(example = 84)]
    pub now: i64,
    /// What comes on top.
    #[schema(example = 12)]
    pub difference: i64,
}

/// An amount before and after.
#[derive(Debug, Serialize, ToSchema)]
pub struct QuantityChangeView {
    /// As it is.
    pub was: QuantityView,
    /// As it would be.
    pub now: QuantityView,
    /// What comes on top.
    pub difference: QuantityView,
}

/// An instant before and after; null where there is none.
#[derive(Debug, Serialize, ToSchema)]
pub struct InstantChangeView {
    /// As it is.
    #[schema(example = "2026-06-10T12:54:00+02:00")]
    pub was: Option<String>,
    /// As it would be.
    #[schema(example = "2026-06-10T12:31:00+02:00")]
    pub now: Option<String>,
}

/// Pieces of a product.
#[derive(Debug, Serialize, ToSchema)]
pub struct PieceChangeView {
    /// When they are sold.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// What customers hold orders for.
    pub ordered: CountChangeView,
    /// What finished stock covers of it.
    pub from_stock: CountChangeView,
    /// Pieces to begin with.
    pub start: CountChangeView,
}

/// A batch.
#[derive(Debug, Serialize, ToSchema)]
pub struct BatchChangeView {
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which formula.
    #[schema(example = "bun")]
    pub formula: String,
    /// Its loads.
    pub loads: CountChangeView,
    /// All that is mixed.
    pub mixed: QuantityChangeView,
    /// When it is weighed or made.
    pub made_at: InstantChangeView,
}

/// What is needed of an item.
#[derive(Debug, Serialize, ToSchema)]
pub struct NeedChangeView {
    /// Which item.
    #[schema(example = "butter")]
    pub item: String,
    /// Over all needs.
    pub needed: QuantityChangeView,
    /// The first need.
    pub first_needed: InstantChangeView,
}

/// What runs short of an item.
#[derive(Debug, Serialize, ToSchema)]
pub struct ShortChangeView {
    /// Which item.
    #[schema(example = "rye")]
    pub item: String,
    /// `new`, `gone`, `worse` or `better`.
    #[schema(example = "worse")]
    pub change: &'static str,
    /// Over all needs.
    pub short: QuantityChangeView,
    /// When it runs out.
    pub runs_out: InstantChangeView,
}

/// An order that is hit.
#[derive(Debug, Serialize, ToSchema)]
pub struct OrderHitView {
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which product.
    #[schema(example = "country-large")]
    pub product: String,
    /// Whose.
    #[schema(example = "harbour-cafe")]
    pub customer: String,
    /// Pieces that it ordered.
    #[schema(example = 6)]
    pub ordered: i64,
    /// Its fair share of what is left; null where a shortage is still to be settled.
    #[schema(example = json!(null))]
    pub gets: Option<i64>,
    /// Items that run short, the mixer that stands still, or the formula whose load is lost.
    #[schema(example = json!(["rye"]))]
    pub because: Vec<String>,
}

/// What a lost load means.
#[derive(Debug, Serialize, ToSchema)]
pub struct DroppedView {
    /// Which formula.
    #[schema(example = "bun")]
    pub formula: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Loads that are planned.
    #[schema(example = 2)]
    pub loads: i64,
    /// Start pieces that are lost.
    pub lost: Vec<LostView>,
    /// When a new mix would have to begin; null if it is too late for one.
    pub remake: Option<FirstStepView>,
}

/// Start pieces of a product that are lost.
#[derive(Debug, Serialize, ToSchema)]
pub struct LostView {
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// How many.
    #[schema(example = 36)]
    pub pieces: i64,
}

impl WhatIfView {
    /// What a change would mean.
    #[must_use]
    pub fn new(proposed: &Proposed, what_if: &WhatIf, asked_at: Timestamp) -> Self {
        let WhatIf { was, now, difference, was_short: _, now_short: _, dropped, stopped: _ } =
            what_if;
        let bakery: &Bakery = &was.bakery;
        let zone = &bakery.site().time_zone;
        let said = |morning: &Morning, findings: &[domain::plan::Finding]| -> Vec<Sentence> {
            findings.iter().map(|finding| words(morning, finding)).collect()
        };
        let lost = proposed.dropped.iter().zip(dropped);
        Self {
            plan_revision: was.plan_revision,
            made_at: instant(zone, asked_at),
            now: instant(zone, now.now),
            until: now.until.to_string(),
            pieces: difference.pieces.iter().map(|change| pieces(bakery, change)).collect(),
            batches: difference.batches.iter().map(|change| batch(bakery, change)).collect(),
            needs: difference.needs.iter().map(|change| need(bakery, change)).collect(),
            shortages: difference.shortages.iter().map(|change| short(bakery, change)).collect(),
            new_findings: [said(now, &difference.new_findings), too_late(what_if), still(what_if)]
                .concat(),
            gone_findings: said(was, &difference.gone_findings),
            orders_hit: orders_hit(what_if, proposed),
            dropped: lost.map(|(load, found)| dropped_view(bakery, load, found)).collect(),
        }
    }
}

/// Batches that would have to be larger and whose start is past by then.
fn too_late(what_if: &WhatIf) -> Vec<Sentence> {
    let WhatIf { was, now, difference, .. } = what_if;
    let zone = &was.bakery.site().time_zone;
    let mut said = Vec::new();
    for change in &difference.batches {
        let (Some(to), (date, item)) = (change.now, change.of) else { continue };
        let grown = change.was.is_none_or(|from| to.mass > from.mass);
        if let Some(at) = to.made_at.filter(|&at| grown && at < now.now) {
            said.push(
                Sentence::of("finding-too-late-to-grow")
                    .with("made", &was.bakery.item(item).name)
                    .with("date", Sentence::date(date))
                    .with("at", Sentence::moment(instant(zone, at))),
            );
        }
    }
    said
}

/// Batches that would begin while their mixer stands still.
fn still(what_if: &WhatIf) -> Vec<Sentence> {
    let bakery: &Bakery = &what_if.now.bakery;
    let said = |stopped: &Stopped| {
        let at = instant(&bakery.site().time_zone, stopped.at);
        Sentence::of("finding-mixer-stands-still")
            .with("made", &bakery.item(stopped.item).name)
            .with("date", Sentence::date(stopped.service_date))
            .with("at", Sentence::moment(at))
            .with("mixer", &bakery.lists().mixers[stopped.mixer as usize].name)
    };
    what_if.stopped.iter().map(said).collect()
}

const fn count(was: i64, now: i64) -> CountChangeView {
    CountChangeView { was, now, difference: now.saturating_sub(was) }
}

fn quantity(was: Ratio, now: Ratio, unit: Unit) -> QuantityChangeView {
    QuantityChangeView {
        was: QuantityView::new(was, unit),
        now: QuantityView::new(now, unit),
        // Both lie far inside the bounds of a ratio.
        difference: QuantityView::new(now.minus(was).unwrap_or(Ratio::ZERO), unit),
    }
}

fn micro(was: i64, now: i64, unit: Unit) -> QuantityChangeView {
    quantity(Ratio::whole(was.into()), Ratio::whole(now.into()), unit)
}

fn instants(bakery: &Bakery, was: Option<Timestamp>, now: Option<Timestamp>) -> InstantChangeView {
    let zone = &bakery.site().time_zone;
    let text = |at: Option<Timestamp>| at.map(|at| instant(zone, at));
    InstantChangeView { was: text(was), now: text(now) }
}

fn pieces(bakery: &Bakery, change: &Change<(Date, u32), PieceState>) -> PieceChangeView {
    let (was, now) = (change.was.unwrap_or_default(), change.now.unwrap_or_default());
    let (service_date, product) = change.of;
    PieceChangeView {
        service_date: service_date.to_string(),
        product: bakery.product(product).code.to_string(),
        ordered: count(was.ordered, now.ordered),
        from_stock: count(was.from_stock, now.from_stock),
        start: count(was.start, now.start),
    }
}

fn batch(bakery: &Bakery, change: &Change<(Date, u32), BatchState>) -> BatchChangeView {
    let mass = |state: Option<BatchState>| state.map_or(Ratio::ZERO, |state| state.mass);
    let loads = |state: Option<BatchState>| state.map_or(0, |state| state.loads);
    let made_at = |state: Option<BatchState>| state.and_then(|state| state.made_at);
    let (service_date, item) = change.of;
    BatchChangeView {
        service_date: service_date.to_string(),
        formula: bakery.item(item).code.to_string(),
        loads: count(loads(change.was), loads(change.now)),
        mixed: quantity(mass(change.was), mass(change.now), Unit::Gram),
        made_at: instants(bakery, made_at(change.was), made_at(change.now)),
    }
}

fn need(bakery: &Bakery, change: &Change<u32, NeedState>) -> NeedChangeView {
    let (was, now) = (change.was.unwrap_or_default(), change.now.unwrap_or_default());
    let item = bakery.item(change.of);
    NeedChangeView {
        item: item.code.to_string(),
        needed: micro(was.micro, now.micro, item.base_unit),
        first_needed: instants(bakery, was.first_at, now.first_at),
    }
}

fn short(bakery: &Bakery, change: &Change<u32, ShortState>) -> ShortChangeView {
    let (was, now) = (change.was.unwrap_or_default(), change.now.unwrap_or_default());
    let item = bakery.item(change.of);
    ShortChangeView {
        item: item.code.to_string(),
        change: match (change.was, change.now) {
            (None, _) => "new",
            (_, None) => "gone",
            // As much is missing, but sooner: that is worse.
            (Some(was), Some(now)) if (now.micro, was.runs_out) > (was.micro, now.runs_out) => {
                "worse"
            }
            _ => "better",
        },
        short: micro(was.micro, now.micro, item.base_unit),
        runs_out: instants(bakery, was.runs_out, now.runs_out),
    }
}

/// Whose orders are hit: by a shortage that was not there, or by a lost load.
fn orders_hit(what_if: &WhatIf, proposed: &Proposed) -> Vec<OrderHitView> {
    let bakery: &Bakery = &what_if.now.bakery;
    let mut hit: BTreeMap<(Date, u32, u32), OrderHitView> = BTreeMap::new();
    let mut add = |(date, product, customer): (Date, u32, u32), ordered, gets, because: &str| {
        let view = hit.entry((date, product, customer)).or_insert_with(|| OrderHitView {
            service_date: date.to_string(),
            product: bakery.product(product).code.to_string(),
            customer: bakery.lists().customers[customer as usize].code.to_string(),
            ordered,
            gets,
            because: Vec::new(),
        });
        view.because.push(because.to_owned());
    };
    for (load, found) in proposed.dropped.iter().zip(&what_if.dropped) {
        for &Cut { product, customer, ordered, gets } in &found.cuts {
            let key = (load.service_date, product, customer);
            add(key, ordered, Some(gets), load.formula.as_str());
        }
    }
    let plan = &what_if.now.plan;
    let mut hits: Vec<(Date, u32, &str)> = Vec::new();
    for &(date, product, item) in &what_if.difference.hits {
        hits.push((date, product, bakery.item(item).code.as_str()));
    }
    for stopped in &what_if.stopped {
        let mixer = bakery.lists().mixers[stopped.mixer as usize].code.as_str();
        let batch = plan.batch(stopped.service_date, stopped.item);
        let products = batch.map(|batch| products_of(plan, batch)).unwrap_or_default();
        hits.extend(products.into_iter().map(|product| (stopped.service_date, product, mixer)));
    }
    for (date, product, because) in hits {
        let lines = plan.demand.pieces.iter();
        let lines = lines.filter(|line| (line.service_date, line.product) == (date, product));
        for &(customer, ordered) in lines.flat_map(|line| &line.by_customer) {
            add((date, product, customer), ordered, None, because);
        }
    }
    hit.into_values().collect()
}

fn dropped_view(bakery: &Bakery, load: &DroppedLoads, found: &Dropped) -> DroppedView {
    let Dropped { loads, lost, cuts: _, remake } = found;
    let lost = lost.iter().map(|&(product, pieces)| LostView {
        product: bakery.product(product).code.to_string(),
        pieces,
    });
    DroppedView {
        formula: load.formula.to_string(),
        service_date: load.service_date.to_string(),
        loads: *loads,
        lost: lost.collect(),
        remake: remake.as_ref().map(|step| first_step_view(bakery, step)),
    }
}
