//! What happens to a whole lot: held, released, opened, accepted, frozen, thawed, sent back.

use super::{LotHeld, fault, find_lot, held, in_unit_of, moment, revise};
use crate::{
    notice::NoticeKind,
    service::{
        Refusal,
        book::{instant_option, state_of},
        ledger::{self, Entry},
        notices::{self, News},
        plan::refused,
    },
    store::{Tx, balances, instant, lots as rows, lots::LotChange, lots::LotRow, sites},
};
use domain::{
    bakery::Bakery,
    calendar,
    lot::LotState,
    movement::MovementKind,
    quantity::Quantity,
    shelf_life::{LifeEnd, days_left, thawed_until, usable_until},
};
use jiff::{Timestamp, civil::Date};

/// What to do with a lot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Keep hands off until somebody has looked.
    Hold,
    /// It may be used.
    Release,
    /// Keep hands off for good.
    Block,
}

/// Who did something, when and why.
#[derive(Debug, Clone, Default)]
pub struct Act {
    /// Who did it.
    pub who: Option<String>,
    /// When; now if not said.
    pub at: Option<Timestamp>,
    /// Why.
    pub reason: Option<String>,
}

/// A named person's decision to use a lot past its best-before date.
#[derive(Debug, Clone)]
pub struct Accept {
    /// Who decided.
    pub who: String,
    /// Last local date of use.
    pub until: Date,
    /// On what grounds.
    pub reason: String,
}

/// A lot goes into the freezer.
#[derive(Debug, Clone, Default)]
pub struct Freeze {
    /// Who, when and why.
    pub act: Act,
}

/// A lot comes out of the freezer.
#[derive(Debug, Clone, Default)]
pub struct Thaw {
    /// Who, when and why.
    pub act: Act,
    /// How long it keeps from then on, in minutes; what the item says if not said.
    pub life_minutes: Option<i64>,
}

/// Some of a lot goes back to its supplier.
#[derive(Debug, Clone)]
pub struct Return {
    /// Who, when and why.
    pub act: Act,
    /// How much; all of it if not said.
    pub quantity: Option<Quantity>,
    /// The credit note or other document.
    pub document: Option<String>,
}

/// Holds, releases or blocks a lot, with the reason in the ledger.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such lot; `wrong-state` with the states that may follow.
pub fn judge(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    id: &str,
    (verdict, act): (Verdict, &Act),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let at = moment(now, act.at, "/at")?;
    let state = state_of(&row.state)?;
    let next = match verdict {
        Verdict::Hold => LotState::Hold,
        Verdict::Block => LotState::Blocked,
        Verdict::Release => released(&row, state, now)?,
    };
    if next != state {
        legal(&row, state, next)?;
    }
    let kept_back = verdict != Verdict::Release;
    let change = LotChange {
        state: next.word().to_owned(),
        hold_reason: act.reason.clone().filter(|_| kept_back),
        ..LotChange::from(&row)
    };
    let kind = if kept_back { MovementKind::Hold } else { MovementKind::Release };
    let lot = apply(tx, site, now, bakery, (&row, change), still(&row, kind, at, act))?;
    tell(tx, site, now, &lot, kept_back)?;
    Ok(lot)
}

/// Others may be about to use the lot.
fn tell(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    lot: &LotHeld,
    kept_back: bool,
) -> Result<(), Refusal> {
    let LotHeld { id, name, item, hold_reason, .. } = lot;
    let why = hold_reason.as_deref().map_or(String::new(), |reason| format!(": {reason}"));
    let (kind, what) = if kept_back {
        (NoticeKind::LotHeld, "may not be used")
    } else {
        (NoticeKind::LotReleased, "may be used")
    };
    let words = format!("lot {name} of {item} {what}{why}");
    let plan_revision = sites::find(tx, site)?.plan_revision;
    let news = News { kind, at: now, plan_revision, about: id, words: &words };
    Ok(notices::give(tx, site, news, None)?)
}

/// What a released lot is: what was held on its way is still on its way, and what was
/// frozen is still frozen.
fn released(row: &LotRow, state: LotState, now: Timestamp) -> Result<LotState, Refusal> {
    let coming = instant_option(row.arrives.as_deref())?.is_some_and(|at| at > now);
    Ok(match (&row.thaw_started, &row.frozen_at, &row.opened_at) {
        _ if matches!(state, LotState::Blocked | LotState::Recalled) => LotState::Released,
        (Some(_), _, _) if coming => LotState::Thawing,
        (Some(_), _, _) => LotState::Thawed,
        (None, Some(_), _) => LotState::Frozen,
        _ if state == LotState::Hold && coming => LotState::Expected,
        (None, None, Some(_)) => LotState::Open,
        (None, None, None) => LotState::Released,
    })
}

/// Opens a pack of a lot; its opened life counts from here.
///
/// # Errors
/// [`Refusal::Unknown`]; `wrong-state` if it is not usable.
pub fn open(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, act): (&str, &Act),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let at = moment(now, act.at, "/at")?;
    let state = state_of(&row.state)?;
    hands_off(&row, state)?;
    // The next pack of an open lot is opened like the first; what was thawed stays thawed, and
    // what thaws is not usable sooner because its pack is open.
    let next = match state {
        LotState::Open | LotState::Thawing | LotState::Thawed => state,
        _ => LotState::Open,
    };
    if next != state {
        legal(&row, state, next)?;
    }
    let change = LotChange {
        state: next.word().to_owned(),
        opened_at: Some(instant::text(at)),
        ..LotChange::from(&row)
    };
    apply(tx, site, now, bakery, (&row, change), still(&row, MovementKind::Open, at, act))
}

/// Accepts a lot past its best-before date, in a named person's name.
///
/// # Errors
/// [`Refusal::Unknown`]; `past-use-by` for a lot with a use-by date: that is never accepted.
pub fn accept(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, accept): (&str, &Accept),
) -> Result<LotHeld, Refusal> {
    let Accept { who, until, reason } = accept;
    let row = held::row(tx, site, id)?;
    let life = held::shelf_life(&row, bakery)?;
    if let Some(date) = life.use_by {
        let detail = format!(
            "lot {} has a use-by date ({date}): nobody can accept it past that; throw it away \
             once the day is over",
            row.name
        );
        return Err(Refusal::stated("past-use-by", detail));
    }
    let Some(date) = life.best_before else {
        let detail =
            format!("lot {} has no best-before date: there is nothing to accept", row.name);
        return Err(Refusal::stated("wrong-state", detail));
    };
    if *until <= date {
        let detail = format!("`{until}` is not past its best-before date {date}: say a later one");
        return Err(fault("/until", "out-of-range", detail));
    }
    let end = calendar::last_second(&bakery.site().time_zone, *until).map_err(refused)?;
    let change = LotChange {
        accepted_until: Some(instant::text(end)),
        accepted_by: Some(who.clone()),
        ..LotChange::from(&row)
    };
    let entry = Entry {
        who: Some(who),
        reason: Some(reason),
        ..Entry::new(&row.id, MovementKind::Accept, 0, now)
    };
    apply(tx, site, now, bakery, (&row, change), entry)
}

/// Freezes a lot: its printed date stands still, and the days that are left are kept.
///
/// # Errors
/// [`Refusal::Unknown`]; `wrong-state` for a second freeze; `past-use-by` if its use has ended.
///
/// # Source
/// The trade rules, part 4, freezing.
pub fn freeze(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, freeze): (&str, &Freeze),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let at = moment(now, freeze.act.at, "/at")?;
    let state = state_of(&row.state)?;
    if row.frozen_at.is_some() {
        let detail = format!(
            "lot {} was frozen before: a second freeze is refused; use it or throw it away",
            row.name
        );
        return Err(Refusal::stated("wrong-state", detail));
    }
    hands_off(&row, state)?;
    legal(&row, state, LotState::Frozen)?;
    let zone = &bakery.site().time_zone;
    let end = usable_until(zone, &held::shelf_life(&row, bakery)?).map_err(refused)?;
    if let Some((until, by)) = end.filter(|(until, _)| *until < at) {
        let why = if by == LifeEnd::UseBy { "its use-by date" } else { "the end of its use" };
        let detail = format!("lot {} is past {why} ({until}): it cannot be frozen", row.name);
        return Err(Refusal::stated("past-use-by", detail));
    }
    let left = end.map(|(until, _)| days_left(zone, at, zone.to_datetime(until).date()));
    let change = LotChange {
        state: LotState::Frozen.word().to_owned(),
        frozen_at: Some(instant::text(at)),
        frozen_days_left: left,
        ..LotChange::from(&row)
    };
    let entry = still(&row, MovementKind::Freeze, at, &freeze.act);
    apply(tx, site, now, bakery, (&row, change), entry)
}

/// Takes a lot out of the freezer.
///
/// It keeps for its thawed life, and never for more days than were left when it was frozen.
///
/// # Errors
/// [`Refusal::Unknown`]; `wrong-state` if it is not frozen; `no-thawed-life` if nobody said how
/// long it keeps.
pub fn thaw(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, thaw): (&str, &Thaw),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let at = moment(now, thaw.act.at, "/at")?;
    let change = thawing(bakery, &row, (now, at), thaw.life_minutes)?;
    let entry = still(&row, MovementKind::Thaw, at, &thaw.act);
    apply(tx, site, now, bakery, (&row, change), entry)
}

/// How a frozen lot changes that is taken out at a moment.
///
/// # Errors
/// `wrong-state` if it is not frozen; `no-thawed-life` if nobody said how long it keeps.
pub(super) fn thawing(
    bakery: &Bakery,
    row: &LotRow,
    (now, at): (Timestamp, Timestamp),
    life_minutes: Option<i64>,
) -> Result<LotChange, Refusal> {
    let state = state_of(&row.state)?;
    hands_off(row, state)?;
    legal(row, state, LotState::Thawing)?;
    let item = bakery.index().item(&row.item).map(|position| bakery.item(position));
    let life = life_minutes.or_else(|| item.and_then(|item| item.thawed_life_minutes));
    let Some(life) = life else {
        let detail = format!(
            "nobody said how long `{}` keeps once thawed: set thawed_life on the item, or say \
             life with this thaw",
            row.item
        );
        return Err(Refusal::stated("no-thawed-life", detail));
    };
    let zone = &bakery.site().time_zone;
    let until = thawed_until(zone, at, life, row.frozen_days_left).map_err(refused)?;
    let ready_after = item.map_or(0, |item| item.ready_after_minutes);
    let ready = calendar::add_minutes(at, ready_after).map_err(refused)?;
    let next = if ready > now { LotState::Thawing } else { LotState::Thawed };
    Ok(LotChange {
        state: next.word().to_owned(),
        thaw_started: Some(instant::text(at)),
        thawed_until: Some(instant::text(until)),
        arrives: Some(instant::text(ready)),
        ..LotChange::from(row)
    })
}

/// Sends some of a lot, or all of it, back to its supplier.
///
/// # Errors
/// [`Refusal::Unknown`]; `wrong-state`; [`Refusal::Body`] names the fault.
pub fn give_back(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (id, back): (&str, &Return),
) -> Result<LotHeld, Refusal> {
    let row = held::row(tx, site, id)?;
    let at = moment(now, back.act.at, "/at")?;
    legal(&row, state_of(&row.state)?, LotState::Returned)?;
    let left = balances::find(tx, site, id)?;
    let amount = match back.quantity {
        Some(quantity) => in_unit_of(bakery, &row, quantity, "/quantity")?,
        None => left,
    };
    if amount <= 0 {
        let detail = format!("nothing of lot {} goes back: say more than nothing", row.name);
        return Err(fault("/quantity", "out-of-range", detail));
    }
    let mut change = LotChange::from(&row);
    if left <= amount {
        LotState::Returned.word().clone_into(&mut change.state);
    }
    let entry = Entry {
        who: back.act.who.as_deref(),
        reason: back.act.reason.as_deref(),
        document: back.document.as_deref(),
        ..Entry::new(&row.id, MovementKind::Return, -amount, at)
    };
    apply(tx, site, now, bakery, (&row, change), entry)
}

/// Refuses to change what is on hold in any way that would end the hold unseen.
///
/// # Errors
/// `wrong-state`
fn hands_off(row: &LotRow, state: LotState) -> Result<(), Refusal> {
    if state != LotState::Hold {
        return Ok(());
    }
    let why = row.hold_reason.as_ref().map_or(String::new(), |why| format!(" ({why})"));
    let detail = format!("lot {} is on hold{why}: release it first, or leave it", row.name);
    Err(Refusal::stated("wrong-state", detail))
}

/// Refuses a state that may not follow, naming those that may.
///
/// # Errors
/// `wrong-state`
pub(super) fn legal(row: &LotRow, state: LotState, next: LotState) -> Result<(), Refusal> {
    if state.may_become(next) {
        return Ok(());
    }
    let words: Vec<_> = state.next().iter().map(|next| next.word()).collect();
    let allowed = if words.is_empty() {
        "nothing follows that".to_owned()
    } else {
        format!("it may become {}", words.join(", "))
    };
    let detail =
        format!("lot {} is {}: {allowed}, and not {}", row.name, state.word(), next.word());
    Err(Refusal::stated("wrong-state", detail))
}

/// An entry that moves nothing.
fn still<'a>(row: &'a LotRow, kind: MovementKind, at: Timestamp, act: &'a Act) -> Entry<'a> {
    Entry {
        who: act.who.as_deref(),
        reason: act.reason.as_deref(),
        ..Entry::new(&row.id, kind, 0, at)
    }
}

fn apply(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (row, change): (&LotRow, LotChange),
    entry: Entry<'_>,
) -> Result<LotHeld, Refusal> {
    rows::change(tx, site, &row.id, &change)?;
    let why = entry.reason.map_or(String::new(), |reason| format!(": {reason}"));
    let cause = format!("{} of {}, lot {}{why}", entry.kind.word(), row.item, row.name);
    ledger::enter(tx, site, now, entry)?;
    revise(tx, site, now, &cause)?;
    find_lot(tx, site, bakery, &row.id)
}
