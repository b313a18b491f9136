//! The whole bakery: read, compiled, and put as one document.

use super::{Refusal, reference::Precondition};
use crate::{
    digest,
    document::BakeryBody,
    state::State,
    store::{
        StoreError, Tx,
        reference::{self, ReferenceRow},
        sites,
    },
};
use domain::bakery::Bakery;
use jiff::civil::Date;
use serde_json::{Map, Value};
use std::sync::Arc;

/// The one record that is no list.
const SITE: &str = "site";

/// What a put did.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Put {
    /// The thing was not there before.
    Created,
    /// It was there and is another now.
    Changed,
    /// It was there as it is: nothing was written.
    Unchanged,
}

/// The compiled bakery as the transaction sees it.
///
/// # Errors
/// [`Refusal::NoBakery`]
pub fn load(state: &State, tx: &mut Tx) -> Result<Arc<Bakery>, Refusal> {
    let revision = sites::find(tx, &state.site)?.bakery_revision;
    if let Some(bakery) = state.compiled(revision) {
        return Ok(bakery);
    }
    let document = document(tx, &state.site)?;
    let bakery = Arc::new(document.compile().map_err(Refusal::Bakery)?);
    state.keep_compiled(revision, Arc::clone(&bakery));
    Ok(bakery)
}

/// The local date of this moment.
///
/// # Errors
/// [`Refusal::NoBakery`]
pub fn today(state: &State) -> Result<Date, Refusal> {
    let bakery = state.store.read(|tx| load(state, tx))?;
    Ok(bakery.site().time_zone.to_datetime(state.now()).date())
}

/// The document that was put, list by list in its own order.
///
/// # Errors
/// [`Refusal::NoBakery`]
pub fn document(tx: &mut Tx, site: &str) -> Result<BakeryBody, Refusal> {
    held(tx, site)?.ok_or(Refusal::NoBakery)
}

/// The same; none if no bakery was put yet.
pub(super) fn held(tx: &mut Tx, site: &str) -> Result<Option<BakeryBody>, Refusal> {
    let rows = reference::list_all(tx, site)?;
    if rows.is_empty() {
        return Ok(None);
    }
    let mut lists = Map::new();
    for row in rows {
        let body: Value =
            serde_json::from_str(&row.body).map_err(|_| StoreError::Corrupt("record"))?;
        if row.noun == SITE {
            lists.insert(row.noun, body);
        } else if let Value::Array(list) =
            lists.entry(row.noun).or_insert_with(|| Value::Array(Vec::new()))
        {
            list.push(body);
        }
    }
    let document = serde_json::from_value(Value::Object(lists));
    Ok(Some(document.map_err(|_| StoreError::Corrupt("bakery"))?))
}

/// The entity tag of a document.
///
/// # Errors
/// [`StoreError::Corrupt`] if it is no JSON, which its types rule out.
pub fn etag(document: &BakeryBody) -> Result<String, StoreError> {
    Ok(digest::etag(&canonical(document)?))
}

fn canonical(document: &BakeryBody) -> Result<String, StoreError> {
    serde_json::to_string(document).map_err(|_| StoreError::Corrupt("bakery"))
}

/// Puts a whole bakery in the place of the one that is there, or nothing of it.
///
/// The same document again changes nothing and makes no new revision.
///
/// # Errors
/// [`Refusal::Bakery`] with every fault; `precondition-required`, `precondition-failed`.
pub fn put(
    state: &State,
    document: &BakeryBody,
    precondition: &Precondition,
) -> Result<Put, Refusal> {
    let bakery = Arc::new(document.compile().map_err(Refusal::Bakery)?);
    let (put, revision) = state.write(|tx| replace(state, tx, document, precondition))?;
    if let Some(revision) = revision {
        state.keep_compiled(revision, bakery);
    }
    Ok(put)
}

/// Writes a document that compiles; returns the revision that it made.
fn replace(
    state: &State,
    tx: &mut Tx,
    put: &BakeryBody,
    precondition: &Precondition,
) -> Result<(Put, Option<i64>), Refusal> {
    let held = held(tx, &state.site)?.as_ref().map(canonical).transpose()?;
    precondition.check("the bakery", held.as_deref().map(digest::etag).as_deref())?;
    if held.as_deref() == Some(canonical(put)?.as_str()) {
        return Ok((Put::Unchanged, None));
    }
    reference::delete_all(tx, &state.site)?;
    for row in rows(&state.site, put)? {
        reference::insert(tx, &row)?;
    }
    let change =
        sites::Change { at: state.now(), cause: "the whole bakery put", bakery_changed: true };
    let revision = sites::bump(tx, &state.site, change)?;
    let put = if held.is_some() { Put::Changed } else { Put::Created };
    Ok((put, Some(revision)))
}

/// The rows of a document.
fn rows(site: &str, document: &BakeryBody) -> Result<Vec<ReferenceRow>, StoreError> {
    let Ok(Value::Object(lists)) = serde_json::to_value(document) else {
        return Err(StoreError::Corrupt("bakery"));
    };
    let mut rows = Vec::new();
    for (noun, list) in lists {
        let records = if let Value::Array(records) = list { records } else { vec![list] };
        for (position, record) in (0..).zip(records) {
            let text =
                |key: &str| record.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
            let body = record.to_string();
            rows.push(ReferenceRow {
                site: site.to_owned(),
                noun: noun.clone(),
                code: text("code"),
                valid_from: text("valid_from"),
                position,
                etag: digest::etag(&body),
                body,
            });
        }
    }
    Ok(rows)
}
