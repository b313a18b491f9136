//! Decisions on too little: who gets how much, recorded with name, time and note.
//!
//! A decision cuts what the plan makes and leaves the orders as they were asked. A later
//! one on the same lines holds in the place of the earlier; taking one back is an entry of
//! its own.

use super::{
    Refusal,
    book::{code, date},
    orders::Order,
    plan::{Horizon, Morning, load_in, refused},
};
use crate::{
    clock,
    document::parse_time,
    state::State,
    store::{
        StoreError, Tx,
        decisions::{self as rows, DecisionRow},
        instant, sites,
    },
};
use domain::{
    decision::Cap,
    id::Code,
    plan::PlanInput,
    plan::cuts::{CutInput, Cuts, Way, cuts, less},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use serde::{Deserialize, Serialize};

/// Pieces of one customer, product and drop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecidedLine {
    /// Who ordered.
    pub customer: Code,
    /// What was ordered.
    pub product: Code,
    /// For which drop, if the order names one.
    pub drop: Option<Time>,
    /// Whole pieces at most.
    pub pieces: i64,
}

/// What a person decides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decide {
    /// For which service date.
    pub service_date: Date,
    /// Which lines get how much.
    pub lines: Lines,
    /// Who decides.
    pub who: String,
    /// Why.
    pub note: String,
}

/// The lines of a decision.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lines {
    /// As a person wrote them.
    Written(Vec<DecidedLine>),
    /// All of one way to cut, as it stood at a plan revision.
    Way {
        /// Whether it is the way that keeps the most; else the fair one.
        best: bool,
        /// The revision at which it was looked at.
        plan_revision: i64,
    },
}

/// A decision as it is held.
#[derive(Debug, Clone)]
pub struct DecisionHeld {
    /// Its id.
    pub id: String,
    /// For which service date.
    pub service_date: Date,
    /// Which lines get how much.
    pub lines: Vec<DecidedLine>,
    /// Who decided.
    pub who: String,
    /// Why.
    pub note: String,
    /// When it was written down.
    pub recorded_at: Timestamp,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// Who took it back and why, if anybody did.
    pub taken_back: Option<(String, String)>,
}

#[derive(Serialize, Deserialize)]
struct LineBody {
    customer: String,
    product: String,
    drop: Option<String>,
    pieces: i64,
}

/// Decisions of one service date, oldest first; those taken back say so.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str, service_date: Date) -> Result<Vec<DecisionHeld>, StoreError> {
    held(rows::list(tx, site, &service_date.to_string())?)
}

/// What holds from a date on, as a plan needs it: the last word on each line.
///
/// # Errors
/// [`StoreError`]
pub(super) fn caps_from(tx: &mut Tx, site: &str, from: Date) -> Result<Vec<Cap>, StoreError> {
    let mut caps: Vec<Cap> = Vec::new();
    for decision in held(rows::list_from(tx, site, &from.to_string())?)? {
        if decision.taken_back.is_some() {
            continue;
        }
        for line in decision.lines {
            let DecidedLine { customer, product, drop, pieces } = line;
            let service_date = decision.service_date;
            caps.retain(|cap| {
                (&cap.customer, &cap.product, cap.drop, cap.service_date)
                    != (&customer, &product, drop, service_date)
            });
            caps.push(Cap {
                decision: decision.id.clone(),
                customer,
                service_date,
                product,
                drop,
                pieces,
                asked: 0,
                who: decision.who.clone(),
                note: decision.note.clone(),
            });
        }
    }
    Ok(caps)
}

/// What holds for the lines of an order.
///
/// # Errors
/// [`StoreError`]
pub fn caps_of(tx: &mut Tx, site: &str, order: &Order) -> Result<Vec<Cap>, StoreError> {
    let version = &order.held;
    let Some(date) = version.service_date else { return Ok(Vec::new()) };
    let mut caps = caps_from(tx, site, date)?;
    let lines = &version.lines;
    caps.retain(|cap| {
        cap.service_date == date
            && cap.drop == version.drop
            && version.customer.as_ref().is_some_and(|own| own.as_str() == cap.customer.as_str())
            && lines.iter().any(|line| line.product == cap.product.as_str())
    });
    Ok(caps)
}

fn held(entries: Vec<DecisionRow>) -> Result<Vec<DecisionHeld>, StoreError> {
    let mut found: Vec<DecisionHeld> = Vec::new();
    for row in entries {
        let DecisionRow {
            site: _,
            id,
            service_date,
            body,
            note,
            who,
            recorded_at,
            plan_revision,
            takes_back,
        } = row;
        if let Some(earlier) = takes_back {
            let earlier = found.iter_mut().find(|decision| decision.id == earlier);
            let earlier = earlier.ok_or(StoreError::Corrupt("decision"))?;
            earlier.taken_back = Some((who, note));
            continue;
        }
        let bodies: Vec<LineBody> =
            serde_json::from_str(&body).map_err(|_| StoreError::Corrupt("decision"))?;
        let lines = bodies.into_iter().map(line).collect::<Result<_, _>>()?;
        found.push(DecisionHeld {
            id,
            service_date: date(&service_date)?,
            lines,
            who,
            note,
            recorded_at: instant::read(&recorded_at)?,
            plan_revision,
            taken_back: None,
        });
    }
    Ok(found)
}

fn line(body: LineBody) -> Result<DecidedLine, StoreError> {
    let LineBody { customer, product, drop, pieces } = body;
    let time = |text: &str| parse_time(text).ok_or(StoreError::Corrupt("drop time"));
    Ok(DecidedLine {
        customer: code(&customer)?,
        product: code(&product)?,
        drop: drop.as_deref().map(time).transpose()?,
        pieces,
    })
}

/// Two ways to cut the orders of some service dates; none if nothing is short for them.
///
/// # Errors
/// `plan-refused`
pub fn ways(morning: &Morning, from: Date, to: Date) -> Result<Option<Cuts>, Refusal> {
    let plan = PlanInput { now: morning.now, until: morning.until };
    let input = CutInput { plan, from, to };
    cuts(&morning.bakery, &morning.book, &morning.plan, input).map_err(refused)
}

/// Records a decision and what it changes.
///
/// # Errors
/// `decision-impossible` names the line that nobody ordered or that would get more than was
/// asked; `plan-moved` if a way to cut is taken over that is no longer as it was.
pub fn decide(state: &State, tx: &mut Tx, decide: &Decide) -> Result<DecisionHeld, Refusal> {
    let date = decide.service_date;
    let morning = load_in(state, tx, Horizon::ServiceDate(date))?;
    let lines = match &decide.lines {
        Lines::Written(lines) => lines.clone(),
        Lines::Way { best, plan_revision } => of_way(&morning, date, *best, *plan_revision)?,
    };
    if lines.is_empty() {
        return impossible("a decision names at least one line".to_owned());
    }
    for line in &lines {
        check(&morning, date, line)?;
    }
    let bodies: Vec<LineBody> = lines
        .iter()
        .map(|line| LineBody {
            customer: line.customer.to_string(),
            product: line.product.to_string(),
            drop: line.drop.map(|drop| drop.strftime("%H:%M").to_string()),
            pieces: line.pieces,
        })
        .collect();
    let body = serde_json::to_string(&bodies).map_err(|_| StoreError::Corrupt("decision"))?;
    let cause =
        format!("cut for {date}, {} lines, by {}: {}", lines.len(), decide.who, decide.note);
    let id = enter(state, tx, (date, &decide.who, &decide.note), (body, None), &cause)?;
    let held = list(tx, &state.site, date)?.into_iter().find(|held| held.id == id);
    held.ok_or_else(|| StoreError::Corrupt("decision").into())
}

fn impossible<T>(detail: String) -> Result<T, Refusal> {
    Err(Refusal::stated("decision-impossible", detail))
}

fn of_way(
    morning: &Morning,
    date: Date,
    best: bool,
    plan_revision: i64,
) -> Result<Vec<DecidedLine>, Refusal> {
    if plan_revision != morning.plan_revision {
        let detail = format!(
            "the ways to cut were read at revision {plan_revision}, the plan is at {} now: read \
             them again",
            morning.plan_revision
        );
        return Err(Refusal::stated("plan-moved", detail));
    }
    let Some(Cuts { lines, fair, best: most, .. }) = ways(morning, date, date)? else {
        return impossible(format!("nothing is short for the orders of {date}"));
    };
    let Way { kept, .. } = if best { most } else { fair };
    let lists = morning.bakery.lists();
    Ok(less(&lines, &kept)
        .into_iter()
        .map(|(line, pieces)| DecidedLine {
            customer: lists.customers[line.customer as usize].code.clone(),
            product: lists.products[line.product as usize].code.clone(),
            drop: line.drop,
            pieces,
        })
        .collect())
}

fn check(morning: &Morning, date: Date, line: &DecidedLine) -> Result<(), Refusal> {
    let key = (&line.customer, &line.product, line.drop, date);
    let orders =
        morning.book.orders.iter().filter(|order| {
            (&order.customer, &order.product, order.drop, order.service_date) == key
        });
    let held: i64 = orders.map(|order| order.pieces).sum();
    let caps = morning
        .book
        .caps
        .iter()
        .filter(|cap| (&cap.customer, &cap.product, cap.drop, cap.service_date) == key);
    let asked = caps.map(|cap| cap.asked).max().unwrap_or(0).max(held);
    let DecidedLine { customer, product, drop, pieces } = line;
    let at = drop.map(|drop| format!(" at {}", drop.strftime("%H:%M"))).unwrap_or_default();
    if asked == 0 {
        return impossible(format!("`{customer}` holds no order for `{product}`{at} on {date}"));
    }
    if !(0..=asked).contains(pieces) {
        return impossible(format!(
            "`{customer}` asked for {asked} of `{product}`{at}: decide 0 to {asked}, not {pieces}"
        ));
    }
    Ok(())
}

/// Takes a decision back, by an entry of its own.
///
/// # Errors
/// `not-found`; `decision-impossible` if it was taken back before.
pub fn take_back(
    state: &State,
    tx: &mut Tx,
    id: &str,
    (who, note): (&str, &str),
) -> Result<DecisionHeld, Refusal> {
    let unknown = || Refusal::Unknown { noun: "decision", code: id.to_owned() };
    let row = rows::find(tx, &state.site, id)?.filter(|row| row.takes_back.is_none());
    let on = date(&row.ok_or_else(unknown)?.service_date)?;
    let find = |tx: &mut Tx| -> Result<DecisionHeld, Refusal> {
        let held = list(tx, &state.site, on)?.into_iter().find(|held| held.id == id);
        held.ok_or_else(unknown)
    };
    if let Some((by, _)) = find(tx)?.taken_back {
        return impossible(format!("the decision was taken back by {by} before"));
    }
    let cause = format!("a cut for {on} taken back by {who}: {note}");
    enter(state, tx, (on, who, note), ("[]".to_owned(), Some(id.to_owned())), &cause)?;
    find(tx)
}

fn enter(
    state: &State,
    tx: &mut Tx,
    (service_date, who, note): (Date, &str, &str),
    (body, takes_back): (String, Option<String>),
    cause: &str,
) -> Result<String, Refusal> {
    let now = state.now();
    let change = sites::Change { at: now, cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, &state.site, change)?;
    let id = clock::new_id(now).to_string();
    let row = DecisionRow {
        site: state.site.clone(),
        id: id.clone(),
        service_date: service_date.to_string(),
        body,
        note: note.to_owned(),
        who: who.to_owned(),
        recorded_at: instant::text(now),
        plan_revision,
        takes_back,
    };
    rows::insert(tx, &row)?;
    Ok(id)
}
