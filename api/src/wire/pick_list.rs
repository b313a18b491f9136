//! What is fetched on a work date: from the cold by when, from the stores by place.

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    findings,
    printed::{self, PrintedView},
    weigh_out::{LotProposalView, lots::lot_view},
    why::link,
};
use crate::service::plan::Morning;
use domain::{
    allergens::item_allergens,
    equipment::PlaceKind,
    lot::LotState,
    plan::{
        pick::{PickError, PickLine, pick},
        why::WhyOf,
    },
    quantity::MICRO,
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// The two lists of a porter's morning.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PickListView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date on which it is fetched.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// What a person should know, in words.
    pub notes: Vec<String>,
    /// From fridge and freezer, by time.
    pub pull: Vec<PickLineView>,
    /// From the stores, place by place.
    pub stores: Vec<PickLineView>,
}

/// One item to fetch from one place.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PickLineView {
    /// What is fetched.
    #[schema(example = "butter")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// From which place; none if the item has none on record.
    #[schema(example = "chiller")]
    pub place: Option<String>,
    /// What people call that place.
    pub place_name: Option<String>,
    /// Where it goes: the weigh room.
    pub to: Option<String>,
    /// By when: the first step that needs it, less its thaw time.
    #[schema(example = "2026-06-11T08:00:00+02:00")]
    pub by: String,
    /// Hours and minutes of thawing that are in `by`; none if it is not frozen.
    pub thaw_minutes: Option<i64>,
    /// All of it for the date, in its base unit.
    pub amount: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// Whole packs, if packs are known.
    pub packs: i64,
    /// What one whole pack holds.
    pub pack: Option<PrintedView>,
    /// Loose on top of whole packs.
    pub loose: QuantityView,
    /// Packs and loose in words, as hands fetch it.
    #[schema(example = "2 × 25 kg + 4.36 kg")]
    pub fetch: String,
    /// Lots to take it from, first expired first.
    pub lots: Vec<LotProposalView>,
    /// What no lot covers.
    pub unmet: Option<QuantityView>,
    /// Lots that must stay: on hold, or past their date.
    pub stop: Vec<String>,
    /// Its allergens.
    pub allergens: AllergensView,
    /// The chains behind the needs that it covers.
    pub why: Vec<String>,
}

/// Projects a plan to what is fetched on a local date.
///
/// # Errors
/// [`PickError`]
pub fn pick_list(morning: &Morning, work_date: Date) -> Result<PickListView, PickError> {
    let list = pick(&morning.bakery, &morning.plan, work_date)?;
    let lines = |lines: &[PickLine]| lines.iter().map(|line| pick_line(morning, line)).collect();
    Ok(PickListView {
        plan_revision: morning.plan_revision,
        made_at: instant(&morning.bakery.site().time_zone, morning.now),
        work_date: work_date.to_string(),
        bakery: morning.bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        pull: lines(&list.pull),
        stores: lines(&list.stores),
    })
}

fn pick_line(morning: &Morning, line: &PickLine) -> PickLineView {
    let bakery = &morning.bakery;
    let item = bakery.item(line.item);
    let unit = item.base_unit;
    let places = &bakery.lists().places;
    let place = line.place.map(|at| &places[at as usize]);
    let frozen = place.is_some_and(|place| place.kind == PlaceKind::Freezer);
    let weigh_room = places.iter().find(|place| place.kind == PlaceKind::WeighRoom);
    let recipes = bakery.recipes(morning.local_date(line.by));
    let why = line.needs.iter().map(|&at| {
        let need = &morning.plan.needs[at as usize];
        link(bakery, WhyOf::Need(need.service_date, need.user, need.item))
    });
    PickLineView {
        item: item.code.to_string(),
        name: item.name.clone(),
        place: place.map(|place| place.code.to_string()),
        place_name: place.map(|place| place.name.clone()),
        to: weigh_room.map(|place| place.name.clone()),
        by: instant(&bakery.site().time_zone, line.by),
        thaw_minutes: (frozen && item.ready_after_minutes > 0).then_some(item.ready_after_minutes),
        amount: QuantityView::whole(line.micro, unit),
        printed: printed::amount(line.micro, unit),
        packs: line.packs,
        pack: line.pack_micro.map(|micro| printed::amount(micro, unit)),
        loose: QuantityView::whole(line.loose_micro, unit),
        fetch: fetch_words(morning, line),
        lots: line
            .lots
            .iter()
            .map(|&(lot, micro)| lot_view(morning, line.item, lot, micro))
            .collect(),
        unmet: (line.unmet_micro > 0).then(|| QuantityView::whole(line.unmet_micro, unit)),
        stop: stop_words(morning, line),
        allergens: AllergensView::new(&item_allergens(bakery, recipes, line.item)),
        why: why.collect(),
    }
}

/// Whole packs and loose, as hands fetch it.
fn fetch_words(morning: &Morning, line: &PickLine) -> String {
    let unit = morning.bakery.item(line.item).base_unit;
    let said = |micro| {
        let PrintedView { amount, unit } = printed::amount(micro, unit);
        format!("{amount} {unit}")
    };
    match line.pack_micro {
        // A pack of a single piece is the piece.
        Some(pack) if line.packs > 0 && pack > MICRO => {
            let packs = format!("{} × {}", line.packs, said(pack));
            if line.loose_micro > 0 {
                format!("{packs} + {}", said(line.loose_micro))
            } else {
                packs
            }
        }
        _ => said(line.micro),
    }
}

/// Lots of an item that must not be taken, each with its reason.
fn stop_words(morning: &Morning, line: &PickLine) -> Vec<String> {
    let code = &morning.bakery.item(line.item).code;
    let day = morning.local_date(line.by);
    let lots = morning.book.lots.iter().filter(|lot| lot.item == *code && lot.balance_micro > 0);
    lots.filter_map(|lot| {
        let over = lot.date.is_some_and(|date| date < day)
            || lot.usable_until.is_some_and(|until| until < line.by);
        if lot.state == LotState::Recalled {
            Some(format!("STOP: lot {} is called back, leave it", lot.name))
        } else if lot.state.is_kept_back() {
            Some(format!("STOP: lot {} is on hold, leave it", lot.name))
        } else if over {
            Some(format!("STOP: lot {} is past its date, leave it", lot.name))
        } else {
            None
        }
    })
    .collect()
}
