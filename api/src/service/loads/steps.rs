//! The steps of a load after its release: mixed, divided, baked, packed, sent, or lost.

use super::{Load, LoadEvent, LoadHistory, Step, find, used::Floor};
use crate::{
    clock,
    service::{Refusal, ledger::Posting, stock},
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
    id::Code,
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
    /// What is left and thrown away, with one of the house's reasons.
    pub waste: Option<(Quantity, Code)>,
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
    /// What earlier steps kept of product lots, oldest first.
    pub(super) before: Vec<Value>,
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
    let mut passing = Passing::new((state, bakery), history, (at, now), &step.who);
    effect(tx, &mut passing)?;
    record(tx, passing, to.word(), step)?;
    rows::set_state(tx, &state.site, id, (to.word(), &step.who, &instant::text(at)))?;
    find(tx, &state.site, id)
}

/// Whether a request is the one that was kept with what it did.
pub(super) fn same_request(kept: &Value, sent: &Value) -> bool {
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
pub(super) fn record(
    tx: &mut Tx,
    passing: Passing<'_>,
    step: &str,
    said: &Step,
) -> Result<i64, Refusal> {
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

impl<'a> Passing<'a> {
    /// A load on its way, with what its earlier steps kept.
    pub(super) fn new(
        (state, bakery): (&'a State, &'a Bakery),
        history: LoadHistory,
        (at, now): (Timestamp, Timestamp),
        who: &str,
    ) -> Self {
        let kept = |event: &LoadEvent| event.body["posted"]["product_lots"].as_array().cloned();
        let before = history.events.iter().filter_map(kept).flatten().collect();
        let (load, who) = (history.load, who.to_owned());
        Self { state, bakery, load, at, now, who, posted: Map::new(), before }
    }

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
        let mut posting = self.posting(None);
        posting.post(tx, (lot, None), (kind, amount_micro, reason))?;
        self.posted_by(posting);
        Ok(())
    }

    /// Where and when the step happens.
    pub(super) fn floor(&self) -> Floor<'_> {
        Floor { site: &self.state.site, bakery: self.bakery, now: self.now, at: self.at }
    }

    /// Entries that this step writes.
    pub(super) fn posting(&self, document: Option<String>) -> Posting {
        let Load { number, formula, service_date, .. } = &self.load;
        Posting {
            site: self.state.site.clone(),
            now: self.now,
            at: self.at,
            who: Some(self.who.clone()),
            load: Some(self.load.id.clone()),
            document,
            about: format!("load {number} of {formula} for {service_date}"),
            movements: Vec::new(),
            notes: Vec::new(),
        }
    }

    /// Keeps what was written beside the step.
    pub(super) fn posted_by(&mut self, posting: Posting) {
        if !posting.movements.is_empty() {
            let list = self.posted.entry("movements").or_insert_with(|| Value::Array(Vec::new()));
            if let Value::Array(list) = list {
                list.extend(posting.movements);
            }
        }
        for note in posting.notes {
            self.note(note);
        }
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
/// `load-step` says which steps are possible; [`Refusal::Body`] if the time cannot be.
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
            None => by_the_sheet(passing)?,
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

/// Stages whose loss is gone when the pan is empty.
///
/// # Source
/// The trade rules, 2.3: cook loss of a sub-formula.
const COOK: &str = "cook";

/// What the weighed lines give, less what stays in the bowl and what cooks away.
fn by_the_sheet(passing: &Passing<'_>) -> Result<Option<Quantity>, Refusal> {
    let Passing { load, bakery, .. } = passing;
    let residue = super::body::ratio(&load.body.residue)?;
    let mut out = Ratio::whole(load.body.sum_ug.into()).minus(residue);
    let recipes = bakery.recipes(load.service_date);
    let recipe = bakery.index().item(&load.formula).and_then(|item| recipes.of_item(item));
    let losses = recipe.map(|at| &bakery.formula_of(&recipes.recipes[at]).losses);
    for loss in losses.into_iter().flatten().filter(|loss| loss.stage == COOK) {
        let left = loss.percent.left_after_percent();
        out = left.and_then(|left| out?.times(left));
    }
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
/// As [`mix`]; [`Refusal::Body`] if more is left than there was.
pub fn divide(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
    divided: &Divided,
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, LoadState::Divided, step), |tx, passing| {
        let fault = |pointer: &str| {
            let detail = "cannot be converted to the unit of the dough".to_owned();
            let pointer = pointer.to_owned();
            Refusal::Body(vec![crate::document::Fault { pointer, kind: "out-of-range", detail }])
        };
        let micro = |quantity: Option<Quantity>, pointer| match quantity {
            None => Ok(0),
            Some(quantity) => passing.in_dough_unit(quantity).ok_or_else(|| fault(pointer)),
        };
        let kept = micro(divided.old_dough, "/old_dough")?;
        let thrown = divided.waste.as_ref();
        let waste = micro(thrown.map(|(quantity, _)| *quantity), "/waste/quantity")?;
        let waste = thrown.map(|(_, reason)| (waste, reason));
        use_up(tx, passing, kept, waste)
    })
}

/// Takes what is left of a load's dough out of the book, but for what is kept.
pub(super) fn use_up(
    tx: &mut Tx,
    passing: &mut Passing<'_>,
    kept: i64,
    waste: Option<(i64, &Code)>,
) -> Result<(), Refusal> {
    let Some(lot) = passing.load.lot.clone() else { return Ok(()) };
    let balance = balances::find(tx, &passing.state.site, &lot)?;
    let thrown = waste.map_or(0, |(micro, _)| micro);
    let used = balance.checked_sub(kept).and_then(|left| left.checked_sub(thrown));
    let Some(used) = used.filter(|used| *used >= 0 || kept + thrown == 0) else {
        let pointer = "/old_dough".to_owned();
        let detail = "more is left than was mixed: weigh it again".to_owned();
        let fault = crate::document::Fault { pointer, kind: "out-of-range", detail };
        return Err(Refusal::Body(vec![fault]));
    };
    // Waste first: what is used last leaves a lot used up and not wasted.
    if let Some((micro, reason)) = waste {
        waste_of(tx, passing, (&lot, micro), (reason, "/waste/reason"))?;
    }
    passing.post(tx, &lot, (MovementKind::Use, -used.max(0), None))
}

/// Throws some of a lot of the load away: an entry, and a line of the waste report.
pub(super) fn waste_of(
    tx: &mut Tx,
    passing: &mut Passing<'_>,
    (lot, micro): (&str, i64),
    (reason, pointer): (&Code, &str),
) -> Result<(), Refusal> {
    if micro <= 0 {
        return Ok(());
    }
    let site = &passing.state.site;
    let unit = stock::unit_of(&stock::row(tx, site, lot)?.unit)?;
    let quantity = Quantity::from_micro(micro, unit);
    let quantity = quantity.map_err(|_| Refusal::stated("out-of-range", "too much is thrown"))?;
    let waste = stock::Waste {
        lot: Some(lot.to_owned()),
        item: None,
        quantity,
        reason: reason.clone(),
        place: None,
        batch: Some(passing.load.id.clone()),
        route: stock::WasteRoute::Bin,
        wasted_at: Some(passing.at),
        who: Some(passing.who.clone()),
        note: None,
    };
    let placed = |refusal| match refusal {
        Refusal::Body(mut faults) => {
            for fault in faults.iter_mut().filter(|fault| fault.pointer == "/reason") {
                pointer.clone_into(&mut fault.pointer);
            }
            Refusal::Body(faults)
        }
        other => other,
    };
    let wasted = stock::waste(tx, site, passing.now, passing.bakery, &waste).map_err(placed)?;
    let mut posting = passing.posting(None);
    posting.movements.push(json!({"movement": wasted.movement, "lot": lot, "kind": "waste",
        "amount_micro": -micro}));
    passing.posted_by(posting);
    Ok(())
}

/// A released load was called off before anything was weighed.
///
/// # Errors
/// `load-step` says which steps are possible; [`Refusal::Body`] if the time cannot be.
pub fn cancel(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, LoadState::Cancelled, step), |_, _| Ok(()))
}
