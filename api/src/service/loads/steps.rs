//! The steps of a load after its release: mixed, divided, baked, packed, sent, or lost.

use super::{Load, LoadHistory, Step, find};
use crate::{
    clock,
    service::{
        Refusal,
        ledger::{self, Entry},
    },
    state::State,
    store::{
        StoreError, Tx, balances, instant,
        load_events::{self, LoadEventRow},
        loads as rows, lots as lot_rows,
        lots::LotRow,
        sites,
    },
};
use domain::{
    bakery::Bakery,
    load::LoadState,
    movement::MovementKind,
    plan::in_base_unit,
    quantity::{Quantity, Unit},
    ratio::Ratio,
};
use jiff::Timestamp;
use serde_json::{Map, Value, json};

/// What was mixed.
#[derive(Debug, Clone)]
pub struct Mixed {
    /// What came out of the bowl; the weighed lines less the residue if not said.
    pub mass: Option<Quantity>,
}

/// What became of a dough that was divided.
#[derive(Debug, Clone)]
pub struct Divided {
    /// What is left and kept as old dough.
    pub old_dough: Option<Quantity>,
    /// What is left and thrown away, with the reason.
    pub waste: Option<(Quantity, String)>,
}

/// A load on its way to its next state.
pub(super) struct Passing<'a> {
    pub(super) state: &'a State,
    pub(super) bakery: &'a Bakery,
    pub(super) load: Load,
    pub(super) at: Timestamp,
    pub(super) now: Timestamp,
    /// Who took the step.
    pub(super) who: String,
    /// What the step did to the stock.
    pub(super) posted: Map<String, Value>,
}

/// Takes a load to its next state, once: the same request again changes nothing.
///
/// # Errors
/// `load-step` says which steps are possible; [`Refusal::Body`] if the time cannot be.
pub(super) fn advance(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, to, step): (&str, LoadState, &Step),
    effect: impl FnOnce(&mut Tx, &mut Passing<'_>) -> Result<(), Refusal>,
) -> Result<LoadHistory, Refusal> {
    let history = find(tx, &state.site, id)?;
    if let Some(done) = history.events.iter().find(|event| event.step == to.word()) {
        if same_request(&done.body, &step.sent) {
            return Ok(history);
        }
        let detail = format!(
            "load {} of {} was {} by {} already and stays so: correct stock with a count",
            history.load.number,
            history.load.formula,
            to.word(),
            done.who
        );
        return Err(Refusal::stated("load-step", detail));
    }
    if !history.load.state.next().contains(&to) {
        return Err(Refusal::stated("load-step", possible(&history.load, to)));
    }
    let now = state.now();
    let at = moment(&history, step, now)?;
    let (load, who) = (history.load, step.who.clone());
    let mut passing = Passing { state, bakery, load, at, now, who, posted: Map::new() };
    effect(tx, &mut passing)?;
    record(tx, passing, to.word(), step)?;
    rows::set_state(tx, &state.site, id, (to.word(), &step.who, &instant::text(at)))?;
    find(tx, &state.site, id)
}

/// Whether a request is the one that was kept with what it did.
fn same_request(kept: &Value, sent: &Value) -> bool {
    let mut kept = kept.clone();
    if let Some(fields) = kept.as_object_mut() {
        fields.remove("posted");
    }
    kept == *sent
}

fn possible(load: &Load, wanted: LoadState) -> String {
    let next: Vec<&str> = load.state.next().iter().map(|state| state.word()).collect();
    let next = if next.is_empty() {
        "nothing more happens to it".to_owned()
    } else {
        format!("next it can be: {}", next.join(", "))
    };
    format!(
        "load {} of {} for {} is {} and cannot be {} now; {next}",
        load.number,
        load.formula,
        load.service_date,
        load.state.word(),
        wanted.word()
    )
}

/// When a step happened: not before the step before it, and not still to come.
fn moment(history: &LoadHistory, step: &Step, now: Timestamp) -> Result<Timestamp, Refusal> {
    let at = step.happened_at.unwrap_or(now);
    let before = history.load.happened_at;
    let fault = |detail: String| {
        let pointer = "/happened_at".to_owned();
        Refusal::Body(vec![crate::document::Fault { pointer, kind: "out-of-range", detail }])
    };
    if at > now {
        return Err(fault(format!("`{at}` is still to come: say when it happened")));
    }
    if step.happened_at.is_some() && at < before {
        let word = history.load.state.word();
        return Err(fault(format!("`{at}` is before the load was {word} ({before})")));
    }
    Ok(at.max(before))
}

/// Writes a step down with what it did.
fn record(tx: &mut Tx, passing: Passing<'_>, step: &str, said: &Step) -> Result<i64, Refusal> {
    let Passing { state, load, at, now, posted, .. } = passing;
    let cause = format!(
        "load {} of {} for {}: {step} by {}",
        load.number, load.formula, load.service_date, said.who
    );
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, &state.site, change)?;
    let mut body = said.sent.clone();
    if let Some(fields) = body.as_object_mut().filter(|_| !posted.is_empty()) {
        fields.insert("posted".to_owned(), Value::Object(posted));
    }
    let row = LoadEventRow {
        site: state.site.clone(),
        id: clock::new_id(now).to_string(),
        load_id: load.id,
        step: step.to_owned(),
        who: said.who.clone(),
        happened_at: instant::text(at),
        recorded_at: instant::text(now),
        body: body.to_string(),
        note: said.note.clone(),
        plan_revision,
    };
    load_events::insert(tx, &row)?;
    Ok(plan_revision)
}

impl Passing<'_> {
    /// Posts a movement that happened with the step.
    pub(super) fn post(
        &mut self,
        tx: &mut Tx,
        lot: &str,
        (kind, amount_micro, reason): (MovementKind, i64, Option<&str>),
    ) -> Result<(), Refusal> {
        if amount_micro == 0 {
            return Ok(());
        }
        let Load { number, formula, service_date, .. } = &self.load;
        let own = format!("load {number} of {formula} for {service_date}");
        let reason = reason.map_or_else(|| own.clone(), |reason| format!("{reason}: {own}"));
        let (load, who) = (self.load.id.clone(), self.who.clone());
        let entry = Entry {
            who: Some(&who),
            reason: Some(&reason),
            load: Some(&load),
            ..Entry::new(lot, kind, amount_micro, self.at)
        };
        let id = ledger::enter(tx, &self.state.site, self.now, entry)?;
        let kind = kind.word();
        let moved = json!({"movement": id, "lot": lot, "kind": kind, "amount_micro": amount_micro});
        let list = self.posted.entry("movements").or_insert_with(|| Value::Array(Vec::new()));
        if let Value::Array(list) = list {
            list.push(moved);
        }
        Ok(())
    }

    /// Says what could not be posted.
    pub(super) fn note(&mut self, words: String) {
        let list = self.posted.entry("notes").or_insert_with(|| Value::Array(Vec::new()));
        if let Value::Array(list) = list {
            list.push(Value::String(words));
        }
    }

    /// An amount of the load's dough in millionths of its base unit.
    fn in_dough_unit(&self, quantity: Quantity) -> Option<i64> {
        let item = self.bakery.index().item(&self.load.formula)?;
        let micro = in_base_unit(self.bakery, item, quantity).ok()??;
        i64::try_from(micro.round_half_up().ok()?).ok()
    }
}

/// A load was mixed: its dough is a lot from now on.
///
/// # Errors
/// As [`pass`].
pub fn mix(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
    mixed: &Mixed,
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, LoadState::Mixed, step), |tx, passing| {
        let out = match mixed.mass {
            Some(mass) => Some(mass),
            None => by_the_sheet(&passing.load)?,
        };
        let amount = out.and_then(|out| passing.in_dough_unit(out)).filter(|micro| *micro > 0);
        let Some(amount) = amount else {
            passing
                .note("its dough is not in the book: say mixed_mass in its base unit".to_owned());
            return Ok(());
        };
        let row = dough_lot(passing)?;
        lot_rows::insert(tx, &row)?;
        passing.post(tx, &row.id, (MovementKind::Make, amount, None))?;
        passing.posted.insert("lot".to_owned(), Value::String(row.id.clone()));
        rows::set_lot(tx, &passing.state.site, &passing.load.id, &row.id)?;
        Ok(())
    })
}

/// What the weighed lines give, less what stays in the bowl.
fn by_the_sheet(load: &Load) -> Result<Option<Quantity>, Refusal> {
    let residue = super::body::ratio(&load.body.residue)?;
    let out = Ratio::whole(load.body.sum_ug.into()).minus(residue);
    let micro = out.and_then(Ratio::round_half_up).ok().and_then(|ug| i64::try_from(ug).ok());
    Ok(micro.and_then(|micro| Quantity::from_micro(micro, Unit::Gram).ok()))
}

/// The lot that a load becomes.
fn dough_lot(passing: &Passing<'_>) -> Result<LotRow, Refusal> {
    let Load { number, formula, service_date, .. } = &passing.load;
    let corrupt = || StoreError::Corrupt("load");
    let item = passing.bakery.index().item(formula).ok_or_else(corrupt)?;
    let zone = &passing.bakery.site().time_zone;
    let id = clock::new_id(passing.now).to_string();
    let name = format!("{formula} {service_date} no. {number}");
    let item = passing.bakery.item(item);
    let of = (name.as_str(), formula.as_str(), item.base_unit.symbol());
    let received = zone.to_datetime(passing.at).date().to_string();
    Ok(LotRow {
        place: item.place.as_ref().map(ToString::to_string),
        made_at: Some(instant::text(passing.at)),
        ..LotRow::new(&passing.state.site, id, of, received)
    })
}

/// A load was divided: its dough is used up but for what is kept or thrown away.
///
/// # Errors
/// As [`pass`]; [`Refusal::Body`] if more is left than there was.
pub fn divide(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
    divided: &Divided,
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, LoadState::Divided, step), |tx, passing| {
        use_up(tx, passing, divided)
    })
}

/// Takes what is left of a load's dough out of the book.
fn use_up(tx: &mut Tx, passing: &mut Passing<'_>, divided: &Divided) -> Result<(), Refusal> {
    let Some(lot) = passing.load.lot.clone() else { return Ok(()) };
    let balance = balances::find(tx, &passing.state.site, &lot)?;
    let fault = |pointer: &str, detail: &str| {
        let (pointer, detail) = (pointer.to_owned(), detail.to_owned());
        Refusal::Body(vec![crate::document::Fault { pointer, kind: "out-of-range", detail }])
    };
    let micro = |quantity: Option<Quantity>, pointer| match quantity {
        None => Ok(0),
        Some(quantity) => passing
            .in_dough_unit(quantity)
            .ok_or_else(|| fault(pointer, "cannot be converted to the unit of the dough")),
    };
    let kept = micro(divided.old_dough, "/old_dough")?;
    let waste = micro(divided.waste.as_ref().map(|(quantity, _)| *quantity), "/waste/quantity")?;
    let used = balance.checked_sub(kept).and_then(|left| left.checked_sub(waste));
    let Some(used) = used.filter(|used| *used >= 0 || kept + waste == 0) else {
        return Err(fault("/old_dough", "more is left than was mixed: weigh it again"));
    };
    passing.post(tx, &lot, (MovementKind::Use, -used.max(0), None))?;
    let reason = divided.waste.as_ref().map(|(_, reason)| reason.as_str());
    passing.post(tx, &lot, (MovementKind::Waste, -waste, reason))
}

/// A load went on to a state that moves no stock of its own, or ended.
///
/// Dough that was never divided is used up when its pieces are baked, packed or sent, and
/// wasted when it is lost.
///
/// # Errors
/// `load-step` says which steps are possible; [`Refusal::Body`] if the time cannot be.
pub fn pass(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, to, step): (&str, LoadState, &Step),
    reason: Option<&str>,
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, to, step), |tx, passing| match (to, passing.load.state) {
        (LoadState::Lost, LoadState::Mixed) => {
            let Some(lot) = passing.load.lot.clone() else { return Ok(()) };
            let balance = balances::find(tx, &passing.state.site, &lot)?;
            passing.post(tx, &lot, (MovementKind::Waste, -balance.max(0), reason))
        }
        (_, LoadState::Mixed) => use_up(tx, passing, &Divided { old_dough: None, waste: None }),
        _ => Ok(()),
    })
}

/// Pieces of a load were counted back; the same count again changes nothing.
///
/// # Errors
/// `load-step` if nothing of it can have been baked.
pub fn count_back(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
) -> Result<LoadHistory, Refusal> {
    let history = find(tx, &state.site, id)?;
    let last = history.events.iter().rev().find(|event| event.step == COUNT_BACK);
    if last.is_some_and(|last| same_request(&last.body, &step.sent)) {
        return Ok(history);
    }
    let to_count = history.load.state >= LoadState::Mixed && history.load.state.covers();
    if !to_count {
        let detail = format!(
            "load {} of {} is {}: there is nothing to count back yet",
            history.load.number,
            history.load.formula,
            history.load.state.word()
        );
        return Err(Refusal::stated("load-step", detail));
    }
    let now = state.now();
    let at = step.happened_at.filter(|at| *at <= now).unwrap_or(now);
    let (load, who) = (history.load, step.who.clone());
    let passing = Passing { state, bakery, load, at, now, who, posted: Map::new() };
    record(tx, passing, COUNT_BACK, step)?;
    find(tx, &state.site, id)
}

/// The step under which counts of finished pieces are kept.
const COUNT_BACK: &str = "count-back";
