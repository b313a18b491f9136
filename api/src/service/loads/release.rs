//! Release: a draft of the plan becomes a load that no later change moves.

use super::{Load, LoadBody, LoadHistory, Step, find};
use crate::{
    clock,
    document::parse_date,
    notice::NoticeKind,
    service::{
        Refusal,
        notices::{self, News},
        plan::{self, Horizon, Morning, refused},
    },
    state::State,
    store::{
        StoreError, Tx, instant,
        load_events::{self, LoadEventRow},
        loads::{self as rows, LoadRow},
        sites,
    },
};
use domain::{load::LoadState, plan::Batch, ratio::Overflow};
use jiff::{Timestamp, civil::Date};

/// Names a load that is only drafted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// For which service date.
    pub service_date: Date,
    /// Code of the formula.
    pub formula: String,
    /// Its number among the loads of the formula and date.
    pub number: i64,
}

impl Draft {
    /// A draft by its name, such as `2026-06-12:bun:1`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.split(':');
        let (date, formula, number) = (parts.next()?, parts.next()?, parts.next()?);
        let number = number.parse().ok().filter(|number| *number > 0)?;
        let service_date = parse_date(date)?;
        parts.next().is_none().then(|| Self { service_date, formula: formula.to_owned(), number })
    }

    /// Its name.
    #[must_use]
    pub fn id(&self) -> String {
        format!("{}:{}:{}", self.service_date, self.formula, self.number)
    }
}

/// Writes down a draft load as it stands on the sheet.
pub type Freeze = fn(&Morning, &Batch, usize) -> Result<LoadBody, Overflow>;

/// Releases a draft load. The same release again changes nothing.
///
/// # Errors
/// `load-step` if it was released otherwise, `load-undecided` if it is under the mixer's
/// minimum or has no time, `plan-moved` if the plan is another than `seen`.
pub fn release(
    state: &State,
    tx: &mut Tx,
    id: &str,
    (step, seen): (&Step, Option<i64>),
    freeze: Freeze,
) -> Result<LoadHistory, Refusal> {
    let Some(draft) = Draft::parse(id) else {
        let history = find(tx, &state.site, id)?;
        return again(history, step);
    };
    let numbered = (draft.service_date.to_string(), draft.formula.as_str(), draft.number);
    let numbered = (numbered.0.as_str(), numbered.1, numbered.2);
    if let Some(row) = rows::find_numbered(tx, &state.site, numbered)? {
        let history = find(tx, &state.site, &row.id)?;
        return again(history, step);
    }
    let morning = morning(state, tx, &draft)?;
    if let Some(seen) = seen.filter(|seen| *seen != morning.plan_revision) {
        let detail = format!(
            "the plan is at revision {} and you saw {seen}: look at the load again, then release it",
            morning.plan_revision
        );
        return Err(Refusal::stated("plan-moved", detail));
    }
    let (batch, position) = find_draft(&morning, &draft)?;
    let starts_at = ready(&draft, batch)?;
    let body = freeze(&morning, batch, position).map_err(refused)?;
    let load = Load {
        id: clock::new_id(morning.now).to_string(),
        formula: draft.formula.clone(),
        service_date: draft.service_date,
        number: draft.number,
        state: LoadState::Released,
        starts_at,
        who: step.who.clone(),
        happened_at: step.happened_at.unwrap_or(morning.now),
        body,
        lot: None,
    };
    insert(tx, state, &load, step)?;
    find(tx, &state.site, &load.id)
}

/// A release of what is released: nothing, if it is the same.
fn again(history: LoadHistory, step: &Step) -> Result<LoadHistory, Refusal> {
    match history.events.first() {
        Some(first) if first.body == step.sent => Ok(history),
        _ => {
            let detail = format!(
                "load {} of {} for {} was released by {} already: it does not move",
                history.load.number,
                history.load.formula,
                history.load.service_date,
                history.events.first().map_or("somebody", |first| &first.who),
            );
            Err(Refusal::stated("load-step", detail))
        }
    }
}

/// The plan as the weigh-out of the load's work date shows it.
fn morning(state: &State, tx: &mut Tx, draft: &Draft) -> Result<Morning, Refusal> {
    let morning = plan::load_in(state, tx, Horizon::ServiceDate(draft.service_date))?;
    let made_at = find_draft(&morning, draft)?.0.made_at;
    match made_at.map(|at| morning.local_date(at)) {
        Some(date) if date > morning.today() => plan::load_in(state, tx, Horizon::WorkDate(date)),
        _ => Ok(morning),
    }
}

/// The batch of a draft load, and which of its drafts it is, counted from 0.
///
/// # Errors
/// [`Refusal`] says which drafts there are.
pub fn find_draft<'a>(morning: &'a Morning, draft: &Draft) -> Result<(&'a Batch, usize), Refusal> {
    let Draft { service_date, formula, number } = draft;
    let unknown = || Refusal::Unknown { noun: "formula", code: formula.clone() };
    let item = morning.bakery.index().item(formula).ok_or_else(unknown)?;
    let none = |detail: String| Refusal::stated("not-found", detail);
    let Some(batch) = morning.plan.batch(*service_date, item) else {
        let detail = format!("the plan has no load of `{formula}` for {service_date}");
        return Err(none(detail));
    };
    match batch.numbers.iter().position(|one| one == number) {
        Some(position) => Ok((batch, position)),
        None => {
            let drafts: Vec<String> = batch.numbers.iter().map(ToString::to_string).collect();
            let drafts = if drafts.is_empty() { "none".to_owned() } else { drafts.join(", ") };
            Err(none(format!(
                "`{formula}` for {service_date} has no draft load {number}; drafts: {drafts}"
            )))
        }
    }
}

/// The start of a load that can be released.
fn ready(draft: &Draft, batch: &Batch) -> Result<Timestamp, Refusal> {
    let Draft { service_date, formula, number } = draft;
    if batch.split.under_minimum {
        let detail = format!(
            "load {number} of `{formula}` for {service_date} is under its mixer's minimum: decide \
             first with PUT /v1/service-dates/{service_date}/overrides/under-minimum/{formula}"
        );
        return Err(Refusal::stated("load-undecided", detail));
    }
    batch.made_at.ok_or_else(|| {
        let detail = format!(
            "load {number} of `{formula}` for {service_date} has no time: set one first with PUT \
             /v1/service-dates/{service_date}/overrides/time/{formula}"
        );
        Refusal::stated("load-undecided", detail)
    })
}

fn insert(tx: &mut Tx, state: &State, load: &Load, step: &Step) -> Result<(), Refusal> {
    let (now, site) = (state.now(), state.site.clone());
    let cause = format!(
        "load {} of {} for {} released by {}",
        load.number, load.formula, load.service_date, step.who
    );
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, &site, change)?;
    let json = |value: Result<String, serde_json::Error>| {
        value.map_err(|_| Refusal::Store(StoreError::Corrupt("load")))
    };
    rows::insert(
        tx,
        &LoadRow {
            site: site.clone(),
            id: load.id.clone(),
            formula: load.formula.clone(),
            service_date: load.service_date.to_string(),
            number: load.number,
            state: load.state.word().to_owned(),
            starts_at: instant::text(load.starts_at),
            who: load.who.clone(),
            happened_at: instant::text(load.happened_at),
            body: json(serde_json::to_string(&load.body))?,
            lot: None,
        },
    )?;
    let event = LoadEventRow {
        site,
        id: clock::new_id(now).to_string(),
        load_id: load.id.clone(),
        step: load.state.word().to_owned(),
        who: load.who.clone(),
        happened_at: instant::text(load.happened_at),
        recorded_at: instant::text(now),
        body: json(serde_json::to_string(&step.sent))?,
        note: step.note.clone(),
        plan_revision,
    };
    load_events::insert(tx, &event)?;
    let news = News {
        kind: NoticeKind::LoadReleased,
        at: now,
        plan_revision,
        about: &load.id,
        words: &cause,
    };
    Ok(notices::give(tx, &state.site, news, None)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_name_of_a_draft_is_read_back() {
        let draft = Draft::parse("2026-06-12:bun:2").expect("a draft");
        assert_eq!((draft.formula.as_str(), draft.number), ("bun", 2));
        assert_eq!(draft.id(), "2026-06-12:bun:2");
        for text in ["2026-06-12:bun", "2026-06-12:bun:0", "2026-02-30:bun:1", "a:b:c", "1:2:3:4"] {
            assert!(Draft::parse(text).is_none(), "{text}");
        }
    }
}
