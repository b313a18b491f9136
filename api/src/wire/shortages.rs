//! What runs short, when, whom it hits, and until when it can still be ordered.

mod lever;
mod line;
mod steps;
mod table;

pub use lever::{LeverView, SubstituteUseView};
pub use line::{
    BalanceView, COUNTER_PAR, FORECAST, HitView, LatestMomentView, RunsOutView, ShortageLineView,
};

use super::{
    amount::{MoneyView, instant},
    findings,
    proposals::{ProposalView, proposals},
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    calendar::{add_days, last_second},
    plan::{Pressing, ShortageError, ShortageLine, shortages as lines_of},
    purchase::arrivals,
    supplier::{BelowMinimum, Supplier},
};
use jiff::Timestamp;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// Everything that runs short in a horizon, supplier by supplier in order of cutoff.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ShortagesView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Last service date looked at.
    #[schema(example = "2026-06-13")]
    pub until: String,
    /// The local date of the moment of asking.
    #[schema(example = "2026-06-10")]
    pub work_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// What must be ordered or tops up safety stock: cutoffs that are gone first; what can
    /// wait until after its supplier's next cutoff last.
    pub groups: Vec<SupplierGroupView>,
    /// Orders to send by cutoffs at which nothing above ends.
    pub other_orders: Vec<ProposalView>,
    /// What is covered.
    pub covered: Vec<ShortageLineView>,
}

/// What is ordered from one supplier by one cutoff.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SupplierGroupView {
    /// Which supplier; none for what nobody on record sells.
    #[schema(example = "dairy")]
    pub supplier: Option<String>,
    /// What people call it.
    pub name: Option<String>,
    /// The last moment to order what the group's first line lacks.
    #[schema(example = "2026-06-10T11:00:00+02:00")]
    pub cutoff: Option<String>,
    /// Minutes from now to the cutoff; below zero it is gone.
    pub minutes_left: Option<i64>,
    /// Whether the cutoff is gone, or no delivery comes in time.
    pub gone: bool,
    /// Whether a later cutoff of the supplier still brings all of it in time.
    pub can_wait: bool,
    /// Its lines by the moment they run out.
    pub lines: Vec<ShortageLineView>,
    /// Sum of the line costs, as far as prices are known.
    pub order_value: Option<MoneyView>,
    /// What an order must reach.
    pub minimum_order: Option<MoneyView>,
    /// What is missing up to the minimum.
    pub gap: Option<MoneyView>,
    /// What happens below the minimum, in words.
    #[schema(value_type = Option<String>)]
    pub below_minimum: Option<Sentence>,
    /// What to send by this cutoff, whole packs and minimum considered.
    pub order: Option<ProposalView>,
}

/// Projects a plan to its shortages.
///
/// # Errors
/// [`ShortageError`]
pub fn shortages(morning: &Morning) -> Result<ShortagesView, ShortageError> {
    let found = lines_of(&morning.bakery, &morning.book, &morning.plan, morning.now)?;
    let (mut covered, mut groups) = (Vec::new(), BTreeMap::new());
    for one in &found {
        let mut view = line::line(morning, one)?;
        if view.pressing == "must" {
            view.steps = steps::steps(morning, &view);
        }
        if one.pressing == Pressing::Covered {
            covered.push(view);
        } else {
            groups.entry(group_of(morning, one)).or_insert_with(Vec::new).push((one, view));
        }
    }
    let mut orders = proposals(morning)?.proposals;
    let next = next_cutoffs(morning)?;
    let mut groups: Vec<SupplierGroupView> =
        groups.into_iter().map(|(key, lines)| group(morning, key, lines)).collect();
    for group in &mut groups {
        let same = |order: &ProposalView| {
            (Some(&order.supplier), Some(&order.cutoff))
                == (group.supplier.as_ref(), group.cutoff.as_ref())
        };
        group.order = orders.iter().position(same).map(|at| orders.remove(at));
        let next = group.supplier.as_ref().and_then(|code| next.get(code)).copied();
        let own = group.cutoff.as_deref().and_then(moment);
        group.can_wait = !group.gone && own.zip(next).is_some_and(|(own, next)| own > next);
    }
    groups.sort_by_key(|group| group.can_wait);
    orders.sort_by_key(|order| moment(&order.cutoff));
    let mut notes = findings::all(morning);
    notes.extend(moved(morning)?);
    Ok(ShortagesView {
        plan_revision: morning.plan_revision,
        made_at: instant(&morning.bakery.site().time_zone, morning.now),
        until: morning.until.to_string(),
        work_date: morning.today().to_string(),
        bakery: morning.bakery.site().name.clone(),
        notes,
        groups,
        other_orders: orders,
        covered,
    })
}

/// An instant as it was written.
fn moment(text: &str) -> Option<Timestamp> {
    text.parse().ok()
}

/// Days ahead of which a moved delivery is told.
const TOLD_DAYS: i64 = 14;

/// The next open cutoff of each supplier.
fn next_cutoffs(morning: &Morning) -> Result<BTreeMap<String, Timestamp>, ShortageError> {
    let mut next = BTreeMap::new();
    let site = morning.bakery.site();
    for supplier in &morning.bakery.lists().suppliers {
        let found = arrivals(site, supplier, morning.now, morning.now)?;
        let open = found.iter().find(|one| one.cutoff >= morning.now && !one.ask_supplier);
        if let Some(open) = open {
            next.insert(supplier.code.to_string(), open.cutoff);
        }
    }
    Ok(next)
}

/// Deliveries that a holiday moves, told while their cutoff is still to come.
fn moved(morning: &Morning) -> Result<Vec<Sentence>, ShortageError> {
    let site = morning.bakery.site();
    let last = add_days(morning.today(), TOLD_DAYS)?;
    let mut notes = Vec::new();
    for supplier in &morning.bakery.lists().suppliers {
        let end = last_second(&site.time_zone, last)?;
        for one in arrivals(site, supplier, morning.now, end)? {
            let Some(from) = one.moved_from.filter(|&from| from <= last) else { continue };
            if one.cutoff < morning.now {
                continue;
            }
            let local = |at| Sentence::moment(instant(&site.time_zone, at));
            let note = match one.ask_supplier {
                true => Sentence::of("shortages-nothing-agreed"),
                false => Sentence::of("shortages-moved")
                    .with("arrives", local(one.arrives))
                    .with("cutoff", local(one.cutoff)),
            };
            notes.push(note.with("name", &supplier.name).with("day", Sentence::day(from)));
        }
    }
    Ok(notes)
}

/// Groups in the order of the sheet: gone first, then by cutoff, then as listed.
///
/// A line that only tops up has no moment; it joins its supplier after the moments.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct GroupKey {
    open: bool,
    cutoff: Timestamp,
    supplier: u32,
}

const NO_SUPPLIER: u32 = u32::MAX;

fn group_of(morning: &Morning, line: &ShortageLine) -> GroupKey {
    let bakery = &morning.bakery;
    let pack = line.pack.map(|at| &bakery.lists().packs[at as usize]);
    let supplier = pack.and_then(|pack| bakery.index().supplier(pack.supplier.as_str()));
    let must = line.pressing == Pressing::Must;
    let cutoff = match (line.latest, must) {
        (Some(latest), _) => latest.cutoff,
        // Nobody delivers in time: the first thing to look at.
        (None, true) => Timestamp::MIN,
        (None, false) => Timestamp::MAX,
    };
    let open = line.latest.map_or(!must, |latest| !latest.gone);
    GroupKey { open, cutoff, supplier: supplier.unwrap_or(NO_SUPPLIER) }
}

fn group(
    morning: &Morning,
    key: GroupKey,
    mut lines: Vec<(&ShortageLine, ShortageLineView)>,
) -> SupplierGroupView {
    let bakery = &morning.bakery;
    let zone = &bakery.site().time_zone;
    let supplier = bakery.lists().suppliers.get(key.supplier as usize);
    let runs_out = |line: &ShortageLine| {
        line.runs_out.map_or(Timestamp::MAX, |at| morning.plan.needs[at as usize].at)
    };
    lines.sort_by_key(|(line, _)| (runs_out(line), line.item));
    let lines: Vec<ShortageLineView> = lines.into_iter().map(|(_, view)| view).collect();
    let known = key.cutoff != Timestamp::MIN && key.cutoff != Timestamp::MAX;
    let value = order_value(&lines);
    let gap = supplier.and_then(|supplier| {
        let missing = supplier.minimum_order.minor - value?;
        (missing > 0).then(|| MoneyView::new(missing, supplier.minimum_order.currency))
    });
    SupplierGroupView {
        supplier: supplier.map(|supplier| supplier.code.to_string()),
        name: supplier.map(|supplier| supplier.name.clone()),
        cutoff: known.then(|| instant(zone, key.cutoff)),
        minutes_left: known.then(|| {
            let seconds = key.cutoff.as_second() - morning.now.as_second();
            seconds.div_euclid(60)
        }),
        gone: !key.open,
        can_wait: false,
        order_value: value.map(|minor| MoneyView::new(minor, bakery.site().currency)),
        minimum_order: supplier.map(|supplier| {
            MoneyView::new(supplier.minimum_order.minor, supplier.minimum_order.currency)
        }),
        below_minimum: gap.as_ref().and(supplier).map(below_words),
        gap,
        order: None,
        lines,
    }
}

fn order_value(lines: &[ShortageLineView]) -> Option<i64> {
    let costs = lines.iter().map(|line| line.line_cost.as_ref().map(|cost| cost.minor_units));
    costs.flatten().try_fold(0_i64, i64::checked_add)
}

fn below_words(supplier: &Supplier) -> Sentence {
    match supplier.below_minimum {
        BelowMinimum::Refused => Sentence::of("shortages-below-refused"),
        BelowMinimum::Carriage => {
            let carriage = MoneyView::new(supplier.carriage.minor, supplier.carriage.currency);
            let money = Sentence::amount(carriage.said());
            Sentence::of("shortages-below-carriage").with("money", money)
        }
    }
}
