//! Records of reference data, one at a time. Each put is checked with the whole bakery.

use super::{
    Refusal,
    bakery::{self, Put},
};
use crate::{
    digest,
    document::{BakeryBody, Fault, Record, regulation::RegulationBody},
    state::State,
    store::{
        StoreError, Tx,
        reference::{self, ReferenceRow},
        sites,
    },
};
use domain::bakery::Bakery;
use jiff::civil::Date;
use serde_json::Value;

/// Which state of a thing the client has read.
///
/// # Source
/// RFC 9110, section 13.1.1; RFC 6585, section 3.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Precondition {
    /// It did not say.
    None,
    /// Any state: it means to put over whatever is there.
    Any,
    /// One of these entity tags.
    Tags(Vec<String>),
}

impl Precondition {
    /// Checks the state that was read against the one that is there.
    ///
    /// # Errors
    /// `precondition-required`, `precondition-failed`
    pub fn check(&self, what: &str, held: Option<&str>) -> Result<(), Refusal> {
        let failed = |detail| Err(Refusal::stated("precondition-failed", detail));
        match (self, held) {
            (Self::None, None) | (Self::Any, Some(_)) => Ok(()),
            (Self::None, Some(_)) => Err(Refusal::stated(
                "precondition-required",
                format!("{what} is there already: read it and send its ETag as If-Match"),
            )),
            (Self::Tags(tags), Some(held)) if tags.iter().any(|tag| tag == held) => Ok(()),
            (Self::Tags(_), Some(_)) => {
                failed(format!("{what} changed since you read it: read it again, then put"))
            }
            (Self::Any | Self::Tags(_), None) => {
                failed(format!("{what} is not there: put it without If-Match to make it"))
            }
        }
    }
}

/// A record with its place in the list and the tag of its state.
#[derive(Debug, Clone)]
pub struct Held<R> {
    /// Its place in the list.
    pub position: i64,
    /// The entity tag of its state.
    pub etag: String,
    /// The record.
    pub record: R,
}

impl<R: Record> Held<R> {
    fn read(row: &ReferenceRow) -> Result<Self, StoreError> {
        let record = serde_json::from_str(&row.body).map_err(|_| StoreError::Corrupt("record"))?;
        Ok(Self { position: row.position, etag: row.etag.clone(), record })
    }
}

/// One thing of a list, in words.
fn noun<R: Record>() -> &'static str {
    R::NOUN.strip_suffix('s').unwrap_or(R::NOUN)
}

/// Records after a position, in the list's own order.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list<R: Record>(state: &State, after: i64, limit: i64) -> Result<Vec<Held<R>>, Refusal> {
    let rows = state.store.read(|tx| reference::list(tx, &state.site, R::NOUN, after, limit))?;
    Ok(rows.iter().map(Held::read).collect::<Result<_, _>>()?)
}

/// The record of a code: the newest version, or the one that held on a date.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn find<R: Record>(state: &State, code: &str, on: Option<Date>) -> Result<Held<R>, Refusal> {
    let rows = state.store.read(|tx| reference::find_versions(tx, &state.site, R::NOUN, code))?;
    let holds = |row: &&ReferenceRow| on.is_none_or(|on| row.valid_from <= on.to_string());
    let Some(row) = rows.iter().rev().find(holds) else {
        return Err(Refusal::Unknown { noun: noun::<R>(), code: code.to_owned() });
    };
    Ok(Held::read(row)?)
}

/// A regulation: the bakery's own with the tag of its state, or else one that all know.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn regulation(state: &State, code: &str) -> Result<(Option<String>, RegulationBody), Refusal> {
    match find::<RegulationBody>(state, code, None) {
        Ok(held) => Ok((Some(held.etag), held.record)),
        Err(unknown @ Refusal::Unknown { .. }) => {
            RegulationBody::known(code).map(|body| (None, body.clone())).ok_or(unknown)
        }
        Err(other) => Err(other),
    }
}

/// Puts one record; the bakery with it must be without fault.
///
/// # Errors
/// `code-mismatch`, `precondition-required`, `precondition-failed`, [`Refusal::NoBakery`],
/// [`Refusal::Body`] with every fault that the put would make.
pub fn put<R: Record>(
    state: &State,
    code: &str,
    record: &R,
    precondition: &Precondition,
) -> Result<(Put, String), Refusal> {
    if record.code() != code {
        let detail = format!(
            "the address says `{code}` and the body `{}`: write the same code in both",
            record.code()
        );
        return Err(Refusal::stated("code-mismatch", detail));
    }
    let body = serde_json::to_value(record).map_err(|_| StoreError::Corrupt("record"))?;
    let cause = format!("{}/{code} put", R::NOUN);
    state.write(|tx| put_in(state, tx, (record, &body), precondition, &cause))
}

/// Changes the newest version of a record, in place or, if the change dates it anew, as a
/// version beside it; `cause` says what it was.
///
/// # Errors
/// [`Refusal::Unknown`], [`Refusal::Body`] with every fault that the change would make.
pub(super) fn change<R: Record>(
    state: &State,
    tx: &mut Tx,
    code: &str,
    cause: &str,
    change: impl FnOnce(&mut R),
) -> Result<Put, Refusal> {
    let versions = reference::find_versions(tx, &state.site, R::NOUN, code)?;
    let Some(row) = versions.last() else {
        return Err(Refusal::Unknown { noun: noun::<R>(), code: code.to_owned() });
    };
    let Held { mut record, .. } = Held::<R>::read(row)?;
    change(&mut record);
    let body = serde_json::to_value(&record).map_err(|_| StoreError::Corrupt("record"))?;
    let there = versions.iter().any(|row| row.valid_from == record.valid_from());
    let precondition = if there { Precondition::Any } else { Precondition::None };
    put_in(state, tx, (&record, &body), &precondition, cause).map(|(put, _)| put)
}

fn put_in<R: Record>(
    state: &State,
    tx: &mut Tx,
    (record, body): (&R, &Value),
    precondition: &Precondition,
    cause: &str,
) -> Result<(Put, String), Refusal> {
    let code = record.code();
    let text = body.to_string();
    let versions = reference::find_versions(tx, &state.site, R::NOUN, code)?;
    let held = versions.into_iter().find(|row| row.valid_from == record.valid_from());
    let what = format!("{} `{code}`", noun::<R>());
    precondition.check(&what, held.as_ref().map(|row| row.etag.as_str()))?;
    let etag = digest::etag(&text);
    if held.as_ref().is_some_and(|row| row.body == text) {
        return Ok((Put::Unchanged, etag));
    }
    with_record::<R>(&bakery::document(tx, &state.site)?, record)?;
    let row = ReferenceRow {
        site: state.site.clone(),
        noun: R::NOUN.to_owned(),
        code: code.to_owned(),
        valid_from: record.valid_from().to_owned(),
        position: reference::next_position(tx, &state.site, R::NOUN)?,
        body: text,
        etag: etag.clone(),
    };
    let put = if held.is_some() {
        reference::replace(tx, &row)?;
        Put::Changed
    } else {
        reference::insert(tx, &row)?;
        Put::Created
    };
    let change = sites::Change { at: state.now(), cause, bakery_changed: true };
    sites::bump(tx, &state.site, change)?;
    Ok((put, etag))
}

/// Compiles the bakery as it would be with the record.
///
/// # Errors
/// [`Refusal::Body`] with every fault that the record would make.
pub(super) fn with_record<R: Record>(document: &BakeryBody, record: &R) -> Result<Bakery, Refusal> {
    let corrupt = || StoreError::Corrupt("bakery");
    let body = serde_json::to_value(record).map_err(|_| corrupt())?;
    let mut whole = serde_json::to_value(document).map_err(|_| corrupt())?;
    // A list that need not be said may be absent.
    let lists = whole.as_object_mut().ok_or_else(corrupt)?;
    let list = lists.entry(R::NOUN).or_insert_with(|| Value::Array(Vec::new()));
    let list = list.as_array_mut().ok_or_else(corrupt)?;
    let text = |other: &Value, key: &str| {
        other.get(key).and_then(Value::as_str).unwrap_or_default().to_owned()
    };
    let same = |other: &Value| {
        text(other, "code") == record.code() && text(other, "valid_from") == record.valid_from()
    };
    let place = list.iter().position(same).unwrap_or(list.len());
    if place == list.len() {
        list.push(body);
    } else {
        list[place] = body;
    }
    let with: BakeryBody = serde_json::from_value(whole).map_err(|_| corrupt())?;
    let own = format!("/{}/{place}", R::NOUN);
    match with.compile() {
        Ok(bakery) => Ok(bakery),
        Err(faults) => {
            Err(Refusal::Body(faults.into_iter().map(|fault| as_of(&own, fault)).collect()))
        }
    }
}

/// A fault of the bakery as one of the record that makes it.
fn as_of(own: &str, fault: Fault) -> Fault {
    let Fault { pointer, kind, detail } = fault;
    match pointer.strip_prefix(own) {
        Some(rest) if rest.is_empty() || rest.starts_with('/') => {
            Fault { pointer: rest.to_owned(), kind, detail }
        }
        _ => Fault {
            pointer: String::new(),
            kind,
            detail: format!("this would break {pointer} of the bakery: {detail}"),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_put_over_something_needs_to_say_what_was_read() {
        let slug = |precondition: &Precondition, held| match precondition.check("it", held) {
            Ok(()) => "",
            Err(Refusal::Stated { slug, .. }) => slug,
            Err(other) => panic!("{other}"),
        };
        let tags = Precondition::Tags(vec!["\"a\"".to_owned(), "\"b\"".to_owned()]);
        assert_eq!(slug(&Precondition::None, None), "");
        assert_eq!(slug(&Precondition::None, Some("\"a\"")), "precondition-required");
        assert_eq!(slug(&Precondition::Any, Some("\"a\"")), "");
        assert_eq!(slug(&Precondition::Any, None), "precondition-failed");
        assert_eq!(slug(&tags, Some("\"b\"")), "");
        assert_eq!(slug(&tags, Some("\"c\"")), "precondition-failed");
        assert_eq!(slug(&tags, None), "precondition-failed");
    }

    #[test]
    fn faults_elsewhere_are_told_as_faults_of_the_whole_record() {
        let fault = |pointer: &str| Fault {
            pointer: pointer.to_owned(),
            kind: "unknown-code",
            detail: "gone".to_owned(),
        };
        assert_eq!(as_of("/items/1", fault("/items/1/place")).pointer, "/place");
        assert_eq!(as_of("/items/1", fault("/items/12/place")).pointer, "");
        let told = as_of("/items/1", fault("/formulas/0/lines/2"));
        assert!(told.detail.contains("/formulas/0/lines/2"), "{}", told.detail);
    }
}
