//! What is fetched on a work date: from the cold by when, from the stores by place.

use super::{
    allergens::AllergensView,
    amount::{QuantityView, instant},
    day_old::DayOldView,
    findings,
    printed::{self, PrintedView},
    undecided,
    weigh_out::{LotProposalView, lots::lot_in},
    why::link,
};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    allergens::{Swaps, allergens, item_allergens},
    bakery::Bakery,
    equipment::PlaceKind,
    lot::{Lot, LotState},
    plan::{
        made_stock::window,
        pick::{CannotLine, PickError, PickLine, PickOf, pick},
        why::WhyOf,
    },
    quantity::{MICRO, Unit},
};
use jiff::{Timestamp, civil::Date};
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
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// What is frozen and can no longer thaw in time: not pulled, but said.
    pub cannot: Vec<CannotView>,
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
    /// Where it goes: the weigh room, or the bench for kept dough and finished pieces.
    pub to: Option<String>,
    /// By when: the first step that needs it, less its thaw or temper time.
    #[schema(example = "2026-06-11T08:00:00+02:00")]
    pub by: String,
    /// When the first step needs it.
    pub needed_at: String,
    /// Minutes of thawing between the two; none if it is not frozen.
    pub thaw_minutes: Option<i64>,
    /// Minutes of tempering between the two; none if it needs none.
    pub temper_minutes: Option<i64>,
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
    /// Pieces of an earlier bake that other products take: for whom, and from which bake.
    pub day_old: Vec<DayOldView>,
    /// What no lot covers.
    pub unmet: Option<QuantityView>,
    /// Whether that can no longer be ordered by anybody on record: UNDECIDED until a person
    /// says what is done.
    pub undecided: bool,
    /// Lots that must stay: on hold, or past their date.
    #[schema(value_type = Vec<String>)]
    pub stop: Vec<Sentence>,
    /// Its allergens.
    pub allergens: AllergensView,
    /// The chains behind the needs that it covers.
    pub why: Vec<String>,
}

/// What is frozen and can no longer thaw in time: it is not pulled.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CannotView {
    /// An item, or a product.
    #[schema(example = "puff-sheet")]
    pub item: String,
    /// What people call it.
    pub name: String,
    /// What is not covered.
    pub amount: QuantityView,
    /// The same as it stands on paper.
    pub printed: PrintedView,
    /// The frozen lots.
    pub lots: Vec<String>,
    /// Minutes that it thaws.
    pub thaw_minutes: i64,
    /// When it is needed.
    pub needed_at: String,
    /// When it had to be out for that.
    #[schema(example = "2026-06-10T14:00:00+02:00")]
    pub out_by: String,
    /// When it is thawed if it is taken out now.
    #[schema(example = "2026-06-12T02:00:00+02:00")]
    pub next_possible: String,
    /// For which service dates.
    pub service_dates: Vec<String>,
    /// All of it in words.
    #[schema(value_type = String)]
    pub stop: Sentence,
}

/// Projects a plan to what is fetched on a local date.
///
/// # Errors
/// [`PickError`]
pub fn pick_list(morning: &Morning, work_date: Date) -> Result<PickListView, PickError> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let list = pick(bakery, book, plan, *now, work_date)?;
    let lines = |lines: &[PickLine]| lines.iter().map(|line| pick_line(morning, line)).collect();
    Ok(PickListView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, *now),
        work_date: work_date.to_string(),
        bakery: bakery.site().name.clone(),
        notes: findings::of_work_date(morning, work_date),
        cannot: list.cannot.iter().map(|line| cannot(morning, line)).collect(),
        pull: lines(&list.pull),
        stores: lines(&list.stores),
    })
}

/// Code, name and unit of what is fetched.
fn named(morning: &Morning, of: PickOf) -> (String, String, Unit) {
    match of {
        PickOf::Item(item) => {
            let found = morning.bakery.item(item);
            (found.code.to_string(), found.name.clone(), found.base_unit)
        }
        PickOf::Product(product) => {
            let found = morning.bakery.product(product);
            (found.code.to_string(), found.name.clone(), Unit::Each)
        }
    }
}

fn pick_line(morning: &Morning, line: &PickLine) -> PickLineView {
    let bakery = &morning.bakery;
    let (item, name, unit) = named(morning, line.of);
    let places = &bakery.lists().places;
    let place = line.place.map(|at| &places[at as usize]);
    let kind = |kind| places.iter().find(|place| place.kind == kind);
    let weigh_room = kind(PlaceKind::WeighRoom);
    // Weighed things go to the scales, kept dough and pieces to the hands that take them.
    let to =
        if line.taken_by.is_empty() { weigh_room } else { kind(PlaceKind::Bench).or(weigh_room) };
    let recipes = bakery.recipes(morning.local_date(line.by));
    let allergens = match line.of {
        PickOf::Item(item) => item_allergens(bakery, recipes, item),
        PickOf::Product(product) => allergens(bakery, recipes, product, &Swaps::new()),
    };
    let zone = &bakery.site().time_zone;
    let lots = line.lots.iter().map(|&(lot, micro)| lot_in(morning, unit, lot, micro));
    PickLineView {
        item,
        name,
        place: place.map(|place| place.code.to_string()),
        place_name: place.map(|place| place.name.clone()),
        to: to.map(|place| place.name.clone()),
        by: instant(zone, line.by),
        needed_at: instant(zone, line.at),
        thaw_minutes: (line.frozen && line.minutes > 0).then_some(line.minutes),
        temper_minutes: (!line.frozen && line.minutes > 0).then_some(line.minutes),
        amount: QuantityView::whole(line.micro, unit),
        printed: printed::amount(line.micro, unit),
        packs: line.packs,
        pack: line.pack_micro.map(|micro| printed::amount(micro, unit)),
        loose: QuantityView::whole(line.loose_micro, unit),
        fetch: fetch_words(morning, unit, line),
        lots: lots.collect(),
        day_old: line.day_old.iter().map(|draw| DayOldView::new(morning, draw)).collect(),
        unmet: (line.unmet_micro > 0).then(|| QuantityView::whole(line.unmet_micro, unit)),
        undecided: match line.of {
            PickOf::Item(item) => line.unmet_micro > 0 && undecided::of_item(morning, item),
            PickOf::Product(_) => false,
        },
        stop: stop_words(morning, line),
        allergens: AllergensView::new(bakery, &allergens),
        why: why(morning, line),
    }
}

/// The chains behind what is fetched.
fn why(morning: &Morning, line: &PickLine) -> Vec<String> {
    let bakery = &morning.bakery;
    let needs = line.needs.iter().map(|&at| {
        let need = &morning.plan.needs[at as usize];
        link(bakery, WhyOf::Need(need.service_date, need.user, need.item))
    });
    let taken = line.taken_by.iter().map(|&(date, of)| match of {
        PickOf::Item(item) => link(bakery, WhyOf::Batch(date, item)),
        PickOf::Product(product) => link(bakery, WhyOf::Pieces(date, product)),
    });
    needs.chain(taken).collect()
}

fn cannot(morning: &Morning, line: &CannotLine) -> CannotView {
    let zone = &morning.bakery.site().time_zone;
    let (item, name, unit) = named(morning, line.of);
    let clock = |at| Sentence::clock(instant(zone, at));
    let (hours, minutes) = (line.minutes / 60, line.minutes % 60);
    let thaw =
        if minutes == 0 { format!("{hours} h") } else { format!("{hours} h {minutes:02} min") };
    let stop = Sentence::of("pick-list-cannot")
        .with("thaw", thaw)
        .with("out", clock(line.out_by))
        .with("next", clock(line.next));
    let lots = line.lots.iter().map(|&lot| morning.book.lots[lot as usize].name.clone());
    CannotView {
        item,
        name,
        amount: QuantityView::whole(line.micro, unit),
        printed: printed::amount(line.micro, unit),
        lots: lots.collect(),
        thaw_minutes: line.minutes,
        needed_at: instant(zone, line.at),
        out_by: instant(zone, line.out_by),
        next_possible: instant(zone, line.next),
        service_dates: line.service_dates.iter().map(ToString::to_string).collect(),
        stop,
    }
}

/// Whole packs and loose, as hands fetch it: packs in the unit in which they are bought.
fn fetch_words(morning: &Morning, unit: Unit, line: &PickLine) -> String {
    let said = |micro| printed::amount(micro, unit).said();
    match line.pack_micro {
        // A pack of a single piece is the piece.
        Some(pack) if line.packs > 0 && pack > MICRO => {
            let each = bought_in(morning, line).unwrap_or_else(|| said(pack));
            let packs = format!("{} × {each}", line.packs);
            if line.loose_micro > 0 {
                format!("{packs} + {}", said(line.loose_micro))
            } else {
                packs
            }
        }
        _ => said(line.micro),
    }
}

/// The pack that hands carry, in the unit in which it is bought, if that is not its base unit.
fn bought_in(morning: &Morning, line: &PickLine) -> Option<String> {
    let PickOf::Item(item) = line.of else { return None };
    let item = morning.bakery.item(item);
    let pack = morning.bakery.lists().packs.iter().find(|pack| pack.item == item.code)?;
    let holds = pack.inner.unwrap_or(pack.holds);
    let is_other = holds.unit() != item.base_unit;
    is_other.then(|| printed::amount(holds.micro(), holds.unit()).said())
}

/// Lots of the same kind that must not be taken, each with its reason.
fn stop_words(morning: &Morning, line: &PickLine) -> Vec<Sentence> {
    let bakery = &morning.bakery;
    let (code, _, _) = named(morning, line.of);
    let day = morning.local_date(line.by);
    let lots = morning.book.lots.iter();
    lots.filter(|lot| lot.item.as_str() == code && lot.balance_micro > 0)
        .filter_map(|lot| {
            let over = lot.date.is_some_and(|date| date < day)
                || lot.usable_until.is_some_and(|until| until < line.by);
            let message = if lot.state == LotState::Hold {
                "pick-list-stop-hold"
            } else if over {
                "pick-list-stop-date"
            } else if last_of(bakery, line, lot).is_some_and(|last| last < line.at) {
                "pick-list-stop-age"
            } else {
                return None;
            };
            Some(Sentence::of(message).with("lot", &lot.name))
        })
        .collect()
}

/// The last instant of use of a made lot, by its age.
fn last_of(bakery: &Bakery, line: &PickLine, lot: &Lot) -> Option<Timestamp> {
    let PickOf::Item(item) = line.of else { return None };
    let date = line.taken_by.first().map(|&(date, _)| date)?;
    let recipes = bakery.recipes(date);
    let recipe = &recipes.recipes[recipes.of_item(item)?];
    window(bakery, recipe, lot, lot.made_at?).ok()?.last
}
