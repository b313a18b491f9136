//! The figures behind the picture: the ledger up to now, the plan from now on.

use crate::{
    service::{
        Refusal,
        plan::{Morning, refused},
        stock::{self, Past},
    },
    state::State,
};
use domain::{
    calendar,
    movement::MovementKind,
    plan::{ItemStock, NeedUser, ShortageLine, shortages},
    quantity::Unit,
};
use jiff::{SignedDuration, Timestamp, ToSpan, civil::Time, tz::TimeZone};

/// Days of the past that are shown, and days ahead if the plan takes nothing.
const DAYS_BACK: i64 = 7;
const DAYS_AHEAD: i64 = 2;
/// Room after the last event.
const ROOM: SignedDuration = SignedDuration::from_hours(12);

/// How a balance went and will go; amounts are millionths of the base unit.
pub(super) struct Course {
    zone: TimeZone,
    pub(super) unit: Unit,
    /// First moment, now, and last moment of the picture.
    pub(super) from: Timestamp,
    pub(super) now: Timestamp,
    pub(super) to: Timestamp,
    /// By the book at the first moment, and now.
    pub(super) start_micro: i64,
    pub(super) book_micro: i64,
    /// What a plan may count on now.
    pub(super) usable_micro: i64,
    /// What should be left.
    pub(super) safety_micro: i64,
    /// The first need that nothing covers.
    pub(super) runs_out: Option<Timestamp>,
    /// All that changes it, by moment.
    pub(super) events: Vec<Event>,
}

/// What changes a balance.
pub(super) struct Event {
    pub(super) at: Timestamp,
    pub(super) what: What,
    pub(super) amount_micro: i64,
    pub(super) left_micro: i64,
}

/// What it is: an entry of the ledger with its lot, or what the plan says.
pub(super) enum What {
    Happened(MovementKind, String),
    Now,
    Comes(String),
    Ends(String),
    Taken(String),
}

impl Course {
    /// Reads it; none of what is in no plan and was never in the house.
    pub(super) fn read(
        state: &State,
        morning: &Morning,
        code: &str,
    ) -> Result<Option<Self>, Refusal> {
        let Morning { bakery, book, plan, now, .. } = morning;
        let zone = bakery.site().time_zone.clone();
        let back = morning.today().checked_sub(DAYS_BACK.days()).map_err(refused)?;
        let from = calendar::instant(&zone, back, Time::midnight()).map_err(refused)?;
        let past = state.store.read(|tx| stock::past(tx, &state.site, code, from))?;
        let item = bakery.index().item(code);
        let Some(unit) = item.map(|at| bakery.item(at).base_unit).or(past.unit) else {
            return Ok(None);
        };
        let lines = shortages(bakery, book, plan, *now).map_err(refused)?;
        let line = lines.into_iter().find(|line| Some(line.item) == item);
        let ahead = calendar::add_days(morning.today(), DAYS_AHEAD).map_err(refused)?;
        let to = calendar::instant(&zone, ahead, Time::midnight()).map_err(refused)?;
        let stock = plan.stock.iter().find(|stock| Some(stock.item) == item);
        if past.unit.is_none() && line.is_none() {
            return Ok(None);
        }
        let start_micro = past.start_micro;
        let mut events = happened(past);
        let book_micro = events.last().map_or(start_micro, |event| event.left_micro);
        let usable_micro = line.as_ref().map_or(book_micro, |line| line.on_hand_micro);
        let (what, amount_micro) = (What::Now, 0);
        events.push(Event { at: *now, what, amount_micro, left_micro: usable_micro });
        if let (Some(line), Some(stock)) = (&line, stock) {
            events.extend(planned(morning, line, stock));
        }
        let runs_out = line.as_ref().and_then(|line| line.runs_out);
        Ok(Some(Self {
            zone,
            unit,
            from,
            now: *now,
            // Room after the last event, so that what is left by it can be seen.
            to: events
                .last()
                .map_or(to, |event| to.max(event.at.checked_add(ROOM).unwrap_or(event.at))),
            start_micro,
            book_micro,
            usable_micro,
            safety_micro: line.as_ref().map_or(0, |line| line.safety_micro),
            runs_out: runs_out.map(|need| plan.needs[need as usize].at),
            events,
        }))
    }

    pub(super) const fn zone(&self) -> &TimeZone {
        &self.zone
    }

    /// The lowest balance from now on.
    pub(super) fn least(&self) -> i64 {
        let coming = self.events.iter().filter(|event| event.at >= self.now);
        coming.map(|event| event.left_micro).min().unwrap_or(self.usable_micro)
    }
}

/// What the ledger says.
fn happened(past: Past) -> Vec<Event> {
    let mut left_micro = past.start_micro;
    let event = |one: stock::PastEntry| {
        left_micro = left_micro.saturating_add(one.amount_micro);
        let what = What::Happened(one.kind, one.lot);
        Event { at: one.at, what, amount_micro: one.amount_micro, left_micro }
    };
    past.entries.into_iter().map(event).collect()
}

/// What the plan says: arrivals, needs, and what goes out of date before a need takes it.
fn planned(morning: &Morning, line: &ShortageLine, stock: &ItemStock) -> Vec<Event> {
    let Morning { bakery, book, plan, now, .. } = morning;
    let lots = || stock.lots.iter().map(|lot| &book.lots[lot.lot as usize]);
    let mut events = Vec::new();
    for lot in lots() {
        if let Some(at) = lot.arrives.filter(|at| at > now) {
            let what = What::Comes(lot.name.clone());
            events.push(Event { at, what, amount_micro: lot.balance_micro.max(0), left_micro: 0 });
        }
    }
    let drawn = stock.netting.allocations.iter().zip(&stock.netting.balances);
    let mut unmet_micro = 0_i64;
    for (&need, (allocation, &left_micro)) in stock.needs.iter().zip(drawn) {
        let need = &plan.needs[need as usize];
        let user = match need.user {
            NeedUser::Formula(item) => bakery.item(item).name.clone(),
            NeedUser::Product(product) => bakery.product(product).name.clone(),
        };
        unmet_micro = unmet_micro.saturating_add(allocation.unmet_micro);
        let left_micro = left_micro.saturating_sub(unmet_micro);
        let what = What::Taken(user);
        events.push(Event { at: need.at, what, amount_micro: -need.micro, left_micro });
    }
    for spoiled in &stock.netting.spoiled {
        let name = lots().nth(spoiled.lot).map_or(String::new(), |lot| lot.name.clone());
        let what = What::Ends(name);
        events.push(Event { at: spoiled.at, what, amount_micro: -spoiled.micro, left_micro: 0 });
    }
    events.sort_by_key(|event| (event.at, event.amount_micro < 0));
    let mut left_micro = line.on_hand_micro;
    for event in &mut events {
        left_micro = match event.what {
            // What a need leaves is the plan's own figure.
            What::Taken(_) => event.left_micro,
            _ => left_micro.saturating_add(event.amount_micro),
        };
        event.left_micro = left_micro;
    }
    events
}
