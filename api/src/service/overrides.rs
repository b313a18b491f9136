//! What people set by hand: kept with a note, applied by every plan until it is taken back.

use super::{
    Refusal,
    book::{code, date},
    plan::{Horizon, load_in, refused},
    reference::Precondition,
};
use crate::{
    clock, digest,
    state::State,
    store::{
        StoreError, Tx, instant,
        overrides::{self as rows, OverrideRow},
        sites,
    },
};
use domain::{
    id::Code,
    overrides::{Decision, Override, OverrideKind, OverrideValue},
    plan::{Finding, PlanInput},
};
use jiff::{Timestamp, civil::Date};

/// An override as it is held.
#[derive(Debug, Clone)]
pub struct OverrideHeld {
    /// What was set.
    pub set: Override,
    /// When it was written down.
    pub recorded_at: Timestamp,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// Names the state in which it is.
    pub etag: String,
}

/// Overrides of service dates from a date on, as a plan needs them.
///
/// # Errors
/// [`StoreError`]
pub(super) fn held_from(tx: &mut Tx, site: &str, from: Date) -> Result<Vec<Override>, StoreError> {
    let entries = rows::list_from(tx, site, &from.to_string())?;
    Ok(last(entries)?.into_iter().map(|held| held.set).collect())
}

/// Overrides of one service date, by kind and code.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(tx: &mut Tx, site: &str, service_date: Date) -> Result<Vec<OverrideHeld>, Refusal> {
    let mut held = last(rows::list(tx, site, &service_date.to_string())?)?;
    held.sort_by_key(|held| (held.set.value.kind(), held.set.code.clone()));
    Ok(held)
}

/// The last entry of each date, kind and code; those taken back are gone.
fn last(entries: Vec<OverrideRow>) -> Result<Vec<OverrideHeld>, StoreError> {
    let mut held: Vec<OverrideHeld> = Vec::new();
    for row in entries {
        let OverrideRow {
            site: _,
            id,
            service_date,
            kind,
            code: of,
            value,
            note,
            who,
            recorded_at,
            plan_revision,
        } = row;
        let kind = OverrideKind::parse(&kind).ok_or(StoreError::Corrupt("override"))?;
        let (service_date, code) = (date(&service_date)?, code(&of)?);
        held.retain(|one| {
            (one.set.service_date, one.set.value.kind(), &one.set.code)
                != (service_date, kind, &code)
        });
        let Some(value) = value else { continue };
        let value = value_of(kind, &value).ok_or(StoreError::Corrupt("override"))?;
        held.push(OverrideHeld {
            set: Override { service_date, code, value, note, who },
            recorded_at: instant::read(&recorded_at)?,
            plan_revision,
            etag: digest::etag(&id),
        });
    }
    Ok(held)
}

/// A value from its text; none if the kind takes no such text.
#[must_use]
pub fn value_of(kind: OverrideKind, text: &str) -> Option<OverrideValue> {
    let whole = || text.parse::<i64>().ok().filter(|_| text.bytes().all(|b| b.is_ascii_digit()));
    Some(match kind {
        OverrideKind::StartPieces => OverrideValue::StartPieces(whole()?),
        OverrideKind::Loads => OverrideValue::Loads(whole().filter(|loads| *loads > 0)?),
        OverrideKind::Mixer => OverrideValue::Mixer(Code::parse(text).ok()?),
        OverrideKind::Time => OverrideValue::Time(text.parse().ok()?),
        OverrideKind::UnderMinimum => OverrideValue::UnderMinimum(Decision::parse(text)?),
        OverrideKind::Formula if text == SEEN => OverrideValue::NewFormulaSeen,
        OverrideKind::Formula => return None,
    })
}

/// A value as text.
#[must_use]
pub fn text_of(value: &OverrideValue) -> String {
    match value {
        OverrideValue::StartPieces(count) | OverrideValue::Loads(count) => count.to_string(),
        OverrideValue::Mixer(mixer) => mixer.to_string(),
        OverrideValue::Time(at) => at.to_string(),
        OverrideValue::UnderMinimum(decision) => decision.word().to_owned(),
        OverrideValue::NewFormulaSeen => SEEN.to_owned(),
    }
}

/// The value that says that a changed formula was seen.
const SEEN: &str = "new-version";

/// Sets a value by hand. The same again changes nothing.
///
/// # Errors
/// `override-impossible` says why the plan cannot have it; `not-found` names what is not
/// known; `precondition-required`, `precondition-failed`.
pub fn put(
    state: &State,
    tx: &mut Tx,
    set: &Override,
    precondition: &Precondition,
) -> Result<OverrideHeld, Refusal> {
    let held = find(tx, &state.site, set)?;
    if let Some(held) = held.as_ref().filter(|held| held.set == *set) {
        return Ok(held.clone());
    }
    precondition.check("the override", held.as_ref().map(|held| held.etag.as_str()))?;
    check(state, tx, set)?;
    let now = state.now();
    let (kind, value) = (set.value.kind(), text_of(&set.value));
    let cause =
        format!("{} of {} for {}: {value} by {}", kind.word(), set.code, set.service_date, set.who);
    enter(tx, state, now, (set, Some(value), &cause))?;
    find(tx, &state.site, set)?.ok_or_else(|| StoreError::Corrupt("override").into())
}

fn find(tx: &mut Tx, site: &str, set: &Override) -> Result<Option<OverrideHeld>, Refusal> {
    let same = |held: &OverrideHeld| {
        (held.set.value.kind(), &held.set.code) == (set.value.kind(), &set.code)
    };
    Ok(list(tx, site, set.service_date)?.into_iter().find(same))
}

fn enter(
    tx: &mut Tx,
    state: &State,
    now: Timestamp,
    (set, value, cause): (&Override, Option<String>, &str),
) -> Result<(), Refusal> {
    let change = sites::Change { at: now, cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, &state.site, change)?;
    let row = OverrideRow {
        site: state.site.clone(),
        id: clock::new_id(now).to_string(),
        service_date: set.service_date.to_string(),
        kind: set.value.kind().word().to_owned(),
        code: set.code.to_string(),
        value,
        note: set.note.clone(),
        who: set.who.clone(),
        recorded_at: instant::text(now),
        plan_revision,
    };
    Ok(rows::insert(tx, &row)?)
}

/// Whether a plan can have it: the plan itself is asked.
fn check(state: &State, tx: &mut Tx, set: &Override) -> Result<(), Refusal> {
    let mut morning = load_in(state, tx, Horizon::ServiceDate(set.service_date))?;
    let impossible = |detail: String| Err(Refusal::stated("override-impossible", detail));
    let index = morning.bakery.index();
    let (noun, known) = match set.value.kind() {
        OverrideKind::StartPieces => ("product", index.product(set.code.as_str()).is_some()),
        _ => (
            "formula",
            index.item(set.code.as_str()).is_some_and(|item| is_made(&morning, set, item)),
        ),
    };
    if !known {
        return Err(Refusal::Unknown { noun, code: set.code.to_string() });
    }
    if !morning.plan.dates.contains(&set.service_date) {
        let date = set.service_date;
        return impossible(format!(
            "{date} is not planned: it is past, too far, or has no order; nothing is set for it"
        ));
    }
    if let OverrideValue::Time(at) = set.value {
        if at < morning.now {
            return impossible(format!("`{at}` is past: set a time still to come"));
        }
        if morning.local_date(at) > set.service_date {
            return impossible(format!(
                "`{at}` is after {}: it would be sold before",
                set.service_date
            ));
        }
    }
    let same = |one: &Override| {
        (one.service_date, one.value.kind(), &one.code)
            == (set.service_date, set.value.kind(), &set.code)
    };
    morning.book.overrides.retain(|one| !same(one));
    morning.book.overrides.push(set.clone());
    let input = PlanInput { now: morning.now, until: morning.until };
    let plan = domain::plan::plan(&morning.bakery, &morning.book, input).map_err(refused)?;
    for finding in &plan.findings {
        if let Finding::OverrideImpossible { service_date, kind, code, reason } = finding
            && (*service_date, *kind, code) == (set.service_date, set.value.kind(), &set.code)
        {
            return impossible(reason.to_string());
        }
    }
    Ok(())
}

fn is_made(morning: &super::plan::Morning, set: &Override, item: u32) -> bool {
    morning.bakery.recipes(set.service_date).of_item(item).is_some()
}

/// Takes back what was set by hand, by an entry of its own.
///
/// # Errors
/// `not-found` if nothing is set; `precondition-failed`.
pub fn remove(
    state: &State,
    tx: &mut Tx,
    (service_date, kind, code): (Date, OverrideKind, &str),
    (who, note): (&str, &str),
    precondition: &Precondition,
) -> Result<(), Refusal> {
    let of = |held: &OverrideHeld| held.set.value.kind() == kind && held.set.code.as_str() == code;
    let held = list(tx, &state.site, service_date)?.into_iter().find(of);
    let Some(held) = held else {
        let detail = format!("no {} of `{code}` is set for {service_date}", kind.word());
        return Err(Refusal::stated("not-found", detail));
    };
    if *precondition != Precondition::None {
        precondition.check("the override", Some(&held.etag))?;
    }
    let set = Override { who: who.to_owned(), note: note.to_owned(), ..held.set };
    let cause = format!("{} of {code} for {service_date}: taken back by {who}", kind.word());
    enter(tx, state, state.now(), (&set, None, &cause))
}
