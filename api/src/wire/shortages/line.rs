//! One ingredient over the horizon, with whom it hits and what could stand in.

use super::lever::{self, LeverView};
use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        amount::{MoneyView, QuantityView, instant},
        day_board::BoardLeverView,
        named,
        printed::{self, PrintedView},
        why::link,
    },
};
use domain::{
    demand::PieceLine,
    plan::{Pressing, ShortageError, ShortageLine, pack_holds, why::WhyOf},
    price::{OrderedPacks, bill},
    purchase::printed_micro,
    ratio::Overflow,
    supplier::Pack,
};
use jiff::Timestamp;
use serde::Serialize;
use utoipa::ToSchema;

/// What a counter opens with, among those for whom pieces are made.
pub const COUNTER_PAR: &str = "counter par";
/// What a forecast expects, among those for whom pieces are made.
pub const FORECAST: &str = "forecast";

/// One ingredient over the horizon; amounts in its base unit.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ShortageLineView {
    /// Which item.
    #[schema(example = "rye")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Rye flour")]
    pub name: String,
    /// `must` (a need is not covered), `top-up` (safety stock is touched) or `covered`.
    #[schema(example = "must")]
    pub pressing: &'static str,
    /// Usable in the house now.
    pub on_hand: QuantityView,
    /// On its way.
    pub on_order: QuantityView,
    /// When that comes.
    pub due: Vec<BalanceView>,
    /// Needed up to the end of the horizon.
    pub needed: QuantityView,
    /// What should be left when all needs are met.
    pub safety_stock: QuantityView,
    /// Sum of all needs that nothing covers, exactly.
    pub short_exact: QuantityView,
    /// The same rounded up to 0.01 kg or L.
    pub short_by: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// The same in the unit in which its pack is bought, rounded up to 0.01; none if that is
    /// the base unit.
    pub short_as_bought: Option<PrintedView>,
    /// Left after the last need.
    pub left: QuantityView,
    /// Goes out of date before it is used.
    pub spoiled: QuantityView,
    /// The first need that is not covered.
    pub runs_out: Option<RunsOutView>,
    /// Open days before it runs out; none if it does not.
    pub days_of_cover: Option<i64>,
    /// Who sells it.
    #[schema(example = "mill")]
    pub supplier: Option<String>,
    /// The pack it is ordered in.
    pub pack: Option<String>,
    /// The pack as it is bought: whole inner packs, or what is in it.
    #[schema(example = "12 × 1 L")]
    pub pack_as_bought: Option<String>,
    /// What one pack holds, in the working unit.
    pub pack_holds: Option<PrintedView>,
    /// Whole packs to order.
    pub packs: i64,
    /// What they cost.
    pub line_cost: Option<MoneyView>,
    /// When they come if they are ordered by the latest moment: the end of the window.
    pub arrives: Option<String>,
    /// Least life on arrival that is agreed, in days.
    #[schema(example = 7)]
    pub least_life_days: Option<i64>,
    /// The projected balance from now on; below nothing it is short.
    pub balance: Vec<BalanceView>,
    /// Until when to order; none if nobody delivers in time, or nothing is short.
    pub latest: Option<LatestMomentView>,
    /// Products and dates whose orders it hits.
    pub hits: Vec<HitView>,
    /// Lots on hold that could cover it.
    pub held_lots: Vec<String>,
    /// Lots on hold and approved substitutes, in the order in which to try.
    pub levers: Vec<LeverView>,
    /// The same among all that can be done, mildest first, with what it costs and until when;
    /// only where something runs short.
    pub steps: Vec<BoardLeverView>,
}

/// An amount from a moment on.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BalanceView {
    /// From when.
    #[schema(example = "2026-06-11T06:00:00+02:00")]
    pub at: String,
    /// How much.
    pub quantity: QuantityView,
}

/// When and where something runs out.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RunsOutView {
    /// The start of the step that lacks it.
    #[schema(example = "2026-06-11T11:00:00+02:00")]
    pub at: String,
    /// The formula or product that lacks it.
    #[serde(rename = "for")]
    #[schema(value_type = String, example = "country")]
    pub used_in: Sentence,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// What that step lacks.
    pub short: QuantityView,
    /// The chain behind that need.
    pub why: String,
}

/// The last moment to order.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LatestMomentView {
    /// The cutoff, on the bakery's clock.
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub cutoff: String,
    /// From when the goods can be used.
    pub usable_from: String,
    /// Whether it has passed.
    pub gone: bool,
    /// Whether it passed less than half an hour ago: ring them.
    pub ring_now: bool,
}

/// An order that a shortage hits.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HitView {
    /// On which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Which product.
    #[schema(example = "country-large")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// Customers who ordered it.
    pub customers: Vec<String>,
    /// What people call them.
    pub customer_names: Vec<String>,
    /// `counter par`, `forecast`: what it hits that nobody ordered.
    pub ahead: Vec<&'static str>,
}

impl HitView {
    /// What people call all that it hits.
    #[must_use]
    pub fn names(&self) -> Vec<&str> {
        self.customer_names.iter().map(String::as_str).chain(self.ahead.iter().copied()).collect()
    }
}

pub(super) fn line(
    morning: &Morning,
    found: &ShortageLine,
) -> Result<ShortageLineView, ShortageError> {
    let bakery = &morning.bakery;
    let item = bakery.item(found.item);
    let amount = |micro| QuantityView::whole(micro, item.base_unit);
    let pack = found.pack.map(|at| &bakery.lists().packs[at as usize]);
    let holds = pack.map(|pack| pack_holds(bakery, found.item, pack)).transpose()?.flatten();
    let levels = |points: &[(Timestamp, i64)]| {
        let view = |&(at, micro): &(Timestamp, i64)| BalanceView {
            at: instant(&bakery.site().time_zone, at),
            quantity: amount(micro),
        };
        points.iter().map(view).collect()
    };
    let short_by = printed_micro(found.short_micro, item.base_unit);
    let held = found.held_lots.iter().map(|&at| morning.book.lots[at as usize].name.clone());
    Ok(ShortageLineView {
        item: item.code.to_string(),
        name: item.name.clone(),
        pressing: match found.pressing {
            Pressing::Must => "must",
            Pressing::TopUp => "top-up",
            Pressing::Covered => "covered",
        },
        on_hand: amount(found.on_hand_micro),
        on_order: amount(found.on_order_micro),
        due: levels(&found.due),
        needed: amount(found.needed_micro),
        safety_stock: amount(found.safety_micro),
        short_exact: amount(found.short_micro),
        short_by: amount(short_by),
        printed: printed::amount(short_by, item.base_unit),
        short_as_bought: pack.and_then(|pack| printed::bought(found.short_micro, item, pack)),
        left: amount(found.left_micro),
        spoiled: amount(found.spoiled_micro),
        runs_out: found.runs_out.map(|at| runs_out(morning, found, at)),
        days_of_cover: found.days_of_cover,
        supplier: pack.map(|pack| pack.supplier.to_string()),
        pack: pack.map(|pack| pack.code.to_string()),
        pack_as_bought: pack.map(printed::pack),
        pack_holds: holds
            .and_then(|micro| i64::try_from(micro.floor()).ok())
            .map(|micro| printed::amount(micro, item.base_unit)),
        packs: found.packs,
        line_cost: pack.map(|pack| cost(morning, found, pack)).transpose()?.flatten(),
        arrives: found.latest.map(|latest| instant(&bakery.site().time_zone, latest.arrives)),
        least_life_days: pack
            .and_then(|pack| pack.minimum_life_minutes)
            .map(|minutes| minutes / (24 * 60)),
        balance: levels(&found.balance),
        latest: found.latest.map(|latest| LatestMomentView {
            cutoff: instant(&bakery.site().time_zone, latest.cutoff),
            usable_from: instant(&bakery.site().time_zone, latest.usable_from),
            gone: latest.gone,
            ring_now: latest.ring_now,
        }),
        hits: hits(morning, found),
        held_lots: held.collect(),
        levers: lever::views(morning, found)?,
        steps: Vec::new(),
    })
}

fn runs_out(morning: &Morning, found: &ShortageLine, at: u32) -> RunsOutView {
    let bakery = &morning.bakery;
    let need = &morning.plan.needs[at as usize];
    let unit = bakery.item(found.item).base_unit;
    RunsOutView {
        at: instant(&bakery.site().time_zone, need.at),
        used_in: named::user(bakery, need.user),
        service_date: need.service_date.to_string(),
        short: QuantityView::whole(found.short_at_that_step_micro, unit),
        why: link(bakery, WhyOf::Need(need.service_date, need.user, need.item)),
    }
}

/// What the packs of a line cost on the day they come, breaks included, rounded at the line.
fn cost(
    morning: &Morning,
    found: &ShortageLine,
    pack: &Pack,
) -> Result<Option<MoneyView>, Overflow> {
    let bakery = &morning.bakery;
    let Some(supplier) = bakery.index().supplier(pack.supplier.as_str()) else { return Ok(None) };
    let supplier = &bakery.lists().suppliers[supplier as usize];
    let on = found.latest.map_or(morning.now, |latest| latest.usable_from);
    let line = OrderedPacks { item: bakery.item(found.item), pack, packs: found.packs };
    let bill = bill(supplier, &[line], morning.local_date(on))?;
    let known = bill.lines.first().and_then(|line| line.minor).filter(|_| found.packs > 0);
    Ok(known.map(|minor| MoneyView::new(minor, bakery.site().currency)))
}

fn hits(morning: &Morning, found: &ShortageLine) -> Vec<HitView> {
    let bakery = &morning.bakery;
    let customers = |line: Option<&PieceLine>| {
        let ordered = line.map_or(&[][..], |line| &line.by_customer[..]);
        let ordered = ordered.iter().filter(|&&(_, pieces)| pieces > 0);
        ordered.map(|&(at, _)| &bakery.lists().customers[at as usize]).collect::<Vec<_>>()
    };
    let hit = |&(date, product): &(jiff::civil::Date, u32)| {
        let line = morning.plan.demand.of(date, product);
        let found = customers(line);
        let (par, forecast) = line.map_or((0, 0), |line| (line.par, line.forecast));
        let ahead = [(COUNTER_PAR, par), (FORECAST, forecast)];
        HitView {
            service_date: date.to_string(),
            product: bakery.product(product).code.to_string(),
            name: bakery.product(product).name.clone(),
            customers: found.iter().map(|customer| customer.code.to_string()).collect(),
            ahead: ahead.into_iter().filter(|(_, n)| *n > 0).map(|(word, _)| word).collect(),
            customer_names: found.iter().map(|customer| customer.name.clone()).collect(),
        }
    };
    found.hits.iter().map(hit).collect()
}
