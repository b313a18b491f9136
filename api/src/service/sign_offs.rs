//! Substitutes: what one would change, and who signed for it.
//!
//! Nothing is used before a named person signed; whoever signs repeats what it brings in
//! and who must not be sent it, so that nobody signs for what they did not read.

use super::{
    Refusal,
    book::{code, date},
    plan::{Horizon, Morning, load_in, refused},
};
use crate::{
    clock,
    state::State,
    store::{
        StoreError, Tx, instant,
        sign_offs::{self as rows, SignOffRow},
        sites,
    },
};
use domain::{
    id::Code,
    plan::{
        PlanInput,
        replaced::{Replaced, replaced, takers},
    },
    ratio::Ratio,
    sign_off::SignOff,
};
use jiff::{Timestamp, civil::Date};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// What is signed for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sign {
    /// The substitute, where, how much; by whom and why. Its `excludes` are not read.
    pub sign_off: SignOff,
    /// What the signer read that it brings in: contains, may contain, not known.
    pub accepts: [BTreeSet<String>; 3],
    /// Customers that the signer read are not sent it.
    pub excludes: BTreeSet<String>,
}

/// A sign-off as it is held.
#[derive(Debug, Clone)]
pub struct SignOffHeld {
    /// What was signed.
    pub sign_off: SignOff,
    /// What it brought in by the records of that moment: contains, may contain, not known.
    pub adds: [Vec<String>; 3],
    /// When it was written down.
    pub recorded_at: Timestamp,
    /// The plan revision that it made.
    pub plan_revision: i64,
    /// Who took it back and why, if anybody did.
    pub taken_back: Option<(String, String)>,
}

#[derive(Serialize, Deserialize, Default)]
struct SignedBody {
    used_in: Vec<String>,
    share: String,
    excludes: Vec<(String, String)>,
    adds: [Vec<String>; 3],
}

/// Sign-offs of one service date, oldest first; those taken back say so.
///
/// # Errors
/// [`StoreError`]
pub fn list(tx: &mut Tx, site: &str, service_date: Date) -> Result<Vec<SignOffHeld>, StoreError> {
    held(rows::list(tx, site, &service_date.to_string())?)
}

/// What is in use from a date on, as a plan needs it.
///
/// # Errors
/// [`StoreError`]
pub(super) fn in_use(tx: &mut Tx, site: &str, from: Date) -> Result<Vec<SignOff>, StoreError> {
    let all = held(rows::list_from(tx, site, &from.to_string())?)?;
    let used = all.into_iter().filter(|held| held.taken_back.is_none());
    Ok(used.map(|held| held.sign_off).collect())
}

fn held(entries: Vec<SignOffRow>) -> Result<Vec<SignOffHeld>, StoreError> {
    let mut found: Vec<SignOffHeld> = Vec::new();
    let corrupt = || StoreError::Corrupt("sign-off");
    for row in entries {
        if let Some(earlier) = row.takes_back {
            let earlier = found.iter_mut().find(|held| held.sign_off.id == earlier);
            earlier.ok_or_else(corrupt)?.taken_back = Some((row.who, row.note));
            continue;
        }
        let SignedBody { used_in, share, excludes, adds } =
            serde_json::from_str(&row.body).map_err(|_| corrupt())?;
        let pair = |(customer, product): &(String, String)| Ok((code(customer)?, code(product)?));
        found.push(SignOffHeld {
            sign_off: SignOff {
                id: row.id,
                service_date: date(&row.service_date)?,
                substitute: code(&row.substitute)?,
                used_in: used_in.iter().map(|text| code(text)).collect::<Result<_, _>>()?,
                share_percent: Ratio::parse_decimal(&share, 6).map_err(|_| corrupt())?,
                excludes: excludes.iter().map(pair).collect::<Result<_, StoreError>>()?,
                who: row.who,
                note: row.note,
            },
            adds,
            recorded_at: instant::read(&row.recorded_at)?,
            plan_revision: row.plan_revision,
            taken_back: None,
        });
    }
    Ok(found)
}

/// What a substitute would change; used wherever it is allowed if nothing is named.
///
/// # Errors
/// `substitute-impossible` says why it cannot be used so.
pub fn preview(morning: &Morning, asked: &SignOff) -> Result<(SignOff, Replaced), Refusal> {
    let mut sign_off = asked.clone();
    if sign_off.used_in.is_empty() {
        sign_off.used_in = takers(&morning.bakery, &morning.plan, &sign_off);
    }
    let input = PlanInput { now: morning.now, until: morning.until };
    let Morning { bakery, book, plan, .. } = morning;
    if sign_off.used_in.is_empty() {
        let known = bakery.lists().substitutes.iter().any(|one| one.code == asked.substitute);
        if !known {
            let code = asked.substitute.to_string();
            return Err(Refusal::Unknown { noun: "substitute", code });
        }
        let date = asked.service_date;
        let detail = format!("nothing planned for {date} may take `{}`", asked.substitute);
        return Err(Refusal::stated("substitute-impossible", detail));
    }
    let found = replaced(bakery, book, plan, &sign_off, input)
        .map_err(|error| Refusal::stated("substitute-impossible", error.to_string()))?;
    sign_off.excludes = found
        .excluded
        .iter()
        .map(|&(customer, product)| {
            let customer = bakery.lists().customers[customer as usize].code.clone();
            (customer, bakery.product(product).code.clone())
        })
        .collect();
    Ok((sign_off, found))
}

/// Records who signed for a substitute; from then on the plan uses it.
///
/// # Errors
/// `substitute-impossible`; `sign-off-unread` if what is accepted or excluded is not what
/// it brings in by the records of this moment.
pub fn sign(state: &State, tx: &mut Tx, sign: &Sign) -> Result<SignOffHeld, Refusal> {
    let on = sign.sign_off.service_date;
    let morning = load_in(state, tx, Horizon::ServiceDate(on))?;
    let (sign_off, found) = preview(&morning, &sign.sign_off)?;
    let adds = found.adds();
    let named: BTreeSet<String> =
        sign_off.excludes.iter().map(|(customer, _)| customer.to_string()).collect();
    if adds != sign.accepts || named != sign.excludes {
        let words = |set: &BTreeSet<String>| {
            if set.is_empty() {
                "nothing".to_owned()
            } else {
                set.iter().cloned().collect::<Vec<_>>().join(", ")
            }
        };
        let detail = format!(
            "it brings in: contains {}; may contain {}; not known {}; not sent to {}. Read it and \
             repeat exactly that in accepts and excludes",
            words(&adds[0]),
            words(&adds[1]),
            words(&adds[2]),
            words(&named)
        );
        return Err(Refusal::stated("sign-off-unread", detail));
    }
    let text = |code: &Code| code.to_string();
    let body = SignedBody {
        used_in: sign_off.used_in.iter().map(text).collect(),
        share: sign_off.share_percent.to_decimal(6),
        excludes: sign_off.excludes.iter().map(|(c, p)| (text(c), text(p))).collect(),
        adds: adds.map(|set| set.into_iter().collect()),
    };
    let SignOff { substitute, who, note, .. } = &sign_off;
    let cause = format!("substitute {substitute} signed for {on} by {who}: {note}");
    let signed = (on, substitute.to_string(), who.as_str(), note.as_str());
    let id = enter(state, tx, signed, (body, None), &cause)?;
    find(state, tx, on, &id)
}

fn find(state: &State, tx: &mut Tx, on: Date, id: &str) -> Result<SignOffHeld, Refusal> {
    let held = list(tx, &state.site, on)?.into_iter().find(|held| held.sign_off.id == id);
    held.ok_or_else(|| Refusal::Unknown { noun: "sign-off", code: id.to_owned() })
}

/// Takes a sign-off back, by an entry of its own.
///
/// # Errors
/// `not-found`; `substitute-impossible` if it was taken back before, or if a released load
/// holds what was signed for: its goods would be sent under the old label.
pub fn take_back(
    state: &State,
    tx: &mut Tx,
    id: &str,
    (who, note): (&str, &str),
) -> Result<SignOffHeld, Refusal> {
    let unknown = || Refusal::Unknown { noun: "sign-off", code: id.to_owned() };
    let row = rows::find(tx, &state.site, id)?.filter(|row| row.takes_back.is_none());
    let row = row.ok_or_else(unknown)?;
    let on = date(&row.service_date)?;
    let held = find(state, tx, on, id)?;
    let impossible = |detail: String| Err(Refusal::stated("substitute-impossible", detail));
    if let Some((by, _)) = held.taken_back {
        return impossible(format!("it was taken back by {by} before"));
    }
    let morning = load_in(state, tx, Horizon::ServiceDate(on))?;
    if let Some(load) = holding(&morning, &held.sign_off) {
        return impossible(format!(
            "load {load} was released with it and keeps it: it stays signed for"
        ));
    }
    let substitute = row.substitute.clone();
    let cause = format!("substitute {substitute} for {on} taken back by {who}: {note}");
    let body = (SignedBody::default(), Some(id.to_owned()));
    enter(state, tx, (on, substitute, who, note), body, &cause)?;
    find(state, tx, on, id)
}

/// A load of the date that was released with what was signed for.
fn holding(morning: &Morning, sign_off: &SignOff) -> Option<String> {
    let lists = morning.bakery.lists();
    let substitute = lists.substitutes.iter().find(|one| one.code == sign_off.substitute)?;
    let load = morning.book.held.iter().find(|load| {
        let holds = |code: &Code| load.lines.iter().any(|line| line.item == *code);
        load.service_date == sign_off.service_date
            && load.state.covers()
            && sign_off.used_in.contains(&load.formula)
            && substitute.uses.iter().any(|(code, _)| holds(code))
    })?;
    Some(format!("{} of {}", load.number, load.formula))
}

fn enter(
    state: &State,
    tx: &mut Tx,
    (on, substitute, who, note): (Date, String, &str, &str),
    (body, takes_back): (SignedBody, Option<String>),
    cause: &str,
) -> Result<String, Refusal> {
    let now = state.now();
    let change = sites::Change { at: now, cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, &state.site, change)?;
    let id = clock::new_id(now).to_string();
    let body = serde_json::to_string(&body).map_err(refused)?;
    let row = SignOffRow {
        site: state.site.clone(),
        id: id.clone(),
        service_date: on.to_string(),
        substitute,
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
