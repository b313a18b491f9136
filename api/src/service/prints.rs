//! What a sheet said when it was served, so that a change slip can say what differs.

use super::Refusal;
use crate::{
    messages::{Kept, Sentence},
    state::State,
    store::{StoreError, instant, prints as rows},
};
use jiff::{Timestamp, ToSpan, civil::Date, tz::TimeZone};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How long after its work date a print is kept.
const KEPT_DAYS: i64 = 14;

/// One fact of a sheet: what it is about, and what stands there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintRow {
    /// Names the fact on every print of the sheet; unique on a print.
    pub key: String,
    /// What it belongs to, such as a load; rows of one group follow one another.
    pub group: Kept,
    /// What people call it.
    pub label: Kept,
    /// What stands there.
    pub value: Kept,
    /// The same as a number in a base unit, if it is one.
    pub amount: Option<PrintAmount>,
}

/// An amount that can be compared.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintAmount {
    /// Millionths of the unit.
    pub micro: i64,
    /// `g`, `mL` or `each`.
    pub unit: String,
}

/// One print that was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// Which sheet.
    pub sheet: String,
    /// The plan revision that it stands for.
    pub plan_revision: i64,
    /// When it was first served.
    pub printed_at: Timestamp,
}

/// Keeps what a sheet says, once for each work date, sheet and plan revision.
///
/// # Errors
/// [`Refusal::Store`]; the sheet is served all the same.
pub fn keep(
    state: &State,
    (work_date, sheet, plan_revision): (Date, &str, i64),
    lines: &[PrintRow],
) -> Result<(), Refusal> {
    let work_date = work_date.to_string();
    let of = (work_date.as_str(), sheet, plan_revision);
    if state.store.read(|tx| rows::find(tx, &state.site, of))?.is_some() {
        return Ok(());
    }
    let body = serde_json::to_string(lines).map_err(|_| StoreError::Corrupt("print"))?;
    let row = rows::PrintRow {
        site: state.site.clone(),
        work_date: work_date.clone(),
        sheet: sheet.to_owned(),
        plan_revision,
        printed_at: instant::text(state.now()),
        body,
    };
    // Nobody holds an old morning's sheet against today's; the plan's causes stay on record.
    let oldest = TimeZone::UTC.to_datetime(state.now()).date().saturating_sub(KEPT_DAYS.days());
    let oldest = oldest.to_string();
    state.store.write(|tx| -> Result<(), StoreError> {
        // Another request may have kept it meanwhile.
        if rows::find(tx, &state.site, of)?.is_some() {
            return Ok(());
        }
        rows::delete_before(tx, &state.site, &oldest)?;
        rows::insert(tx, &row)
    })?;
    Ok(())
}

/// The same for a sheet on its way out: what went wrong is a note on it and in the log.
///
/// Nothing may stop a sheet at four in the morning.
pub fn kept(state: &State, print: (Date, &str, i64), lines: &[PrintRow]) -> Option<Sentence> {
    let error = keep(state, print, lines).err()?;
    tracing::error!(error = ?error, sheet = print.1, "a print could not be kept");
    Some(Sentence::of("change-slip-not-kept"))
}

/// What a sheet said at a plan revision.
///
/// # Errors
/// `not-printed` lists the revisions at which it was printed.
pub fn find(
    state: &State,
    (work_date, sheet, plan_revision): (Date, &str, i64),
) -> Result<(Printed, Vec<PrintRow>), Refusal> {
    let date = work_date.to_string();
    let row = state.store.read(|tx| rows::find(tx, &state.site, (&date, sheet, plan_revision)))?;
    let Some(row) = row else { return Err(not_printed(state, work_date, sheet, plan_revision)?) };
    let lines = serde_json::from_str(&row.body).map_err(|_| StoreError::Corrupt("print"))?;
    let printed_at = instant::read(&row.printed_at)?;
    Ok((Printed { sheet: row.sheet, plan_revision, printed_at }, lines))
}

fn not_printed(
    state: &State,
    work_date: Date,
    sheet: &str,
    plan_revision: i64,
) -> Result<Refusal, Refusal> {
    let kept = list(state, work_date)?;
    let numbers: Vec<String> = kept
        .iter()
        .filter(|printed| printed.sheet == sheet)
        .map(|printed| printed.plan_revision.to_string())
        .collect();
    let known = if numbers.is_empty() {
        "it was never printed: print it first".to_owned()
    } else {
        format!("ask for a revision that was printed: {}", numbers.join(", "))
    };
    Ok(Refusal::stated(
        "not-printed",
        format!("the {sheet} of {work_date} was not printed at revision {plan_revision}; {known}"),
    ))
}

/// Prints of a work date, oldest first.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(state: &State, work_date: Date) -> Result<Vec<Printed>, Refusal> {
    let date = work_date.to_string();
    let mut found = Vec::new();
    for (sheet, plan_revision, printed_at) in
        state.store.read(|tx| rows::list(tx, &state.site, &date))?
    {
        let printed_at = instant::read(&printed_at)?;
        found.push(Printed { sheet, plan_revision, printed_at });
    }
    Ok(found)
}

/// The newest print of each sheet of a work date, where that is of an earlier revision.
///
/// # Errors
/// [`Refusal`]
pub fn outdated(
    state: &State,
    work_date: Date,
    plan_revision: i64,
) -> Result<Vec<Printed>, Refusal> {
    let mut newest: BTreeMap<String, Printed> = BTreeMap::new();
    for printed in list(state, work_date)? {
        newest.insert(printed.sheet.clone(), printed);
    }
    let earlier = |printed: &Printed| printed.plan_revision < plan_revision;
    Ok(newest.into_values().filter(earlier).collect())
}

/// Why there is no print of a revision: those that there are.
///
/// # Errors
/// [`Refusal::Store`]
pub fn none_printed(state: &State, work_date: Date, since: i64) -> Result<Refusal, Refusal> {
    let kept = list(state, work_date)?;
    let known: Vec<String> = kept
        .iter()
        .map(|printed| format!("{} ({})", printed.plan_revision, printed.sheet))
        .collect();
    let known = if known.is_empty() {
        "nothing was printed for it: print a sheet first".to_owned()
    } else {
        format!("ask for a revision that was printed: {}", known.join(", "))
    };
    let detail = format!("no sheet of {work_date} was printed at revision {since}; {known}");
    Ok(Refusal::stated("not-printed", detail))
}
