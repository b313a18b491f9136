//! Entries that one event writes together, and what they did in words.

use super::{Entry, enter};
use crate::{service::Refusal, store::Tx};
use domain::movement::MovementKind;
use jiff::Timestamp;
use serde_json::{Value, json};

/// Entries of one event: a step of a load, pieces that were made, goods that were sent.
#[derive(Debug, Clone)]
pub struct Posting {
    /// The shop.
    pub site: String,
    /// When it is written down.
    pub now: Timestamp,
    /// When it happened.
    pub at: Timestamp,
    /// Who did it.
    pub who: Option<String>,
    /// Id of the load that it was for.
    pub load: Option<String>,
    /// The document behind it.
    pub document: Option<String>,
    /// What happened, in words; it stands behind every reason.
    pub about: String,
    /// What was written: id of the entry, lot, kind and amount of each.
    pub movements: Vec<Value>,
    /// What a person should know of it.
    pub notes: Vec<String>,
}

impl Posting {
    /// Writes one entry where most of the lot lies; returns its id.
    ///
    /// # Errors
    /// As [`enter`].
    pub fn post(
        &mut self,
        tx: &mut Tx,
        (lot, place): (&str, Option<&str>),
        (kind, amount_micro, reason): (MovementKind, i64, Option<&str>),
    ) -> Result<String, Refusal> {
        let about = &self.about;
        let reason = reason.map_or_else(|| about.clone(), |reason| format!("{reason}: {about}"));
        let entry = Entry {
            who: self.who.as_deref(),
            reason: Some(&reason),
            load: self.load.as_deref(),
            document: self.document.as_deref(),
            place,
            ..Entry::new(lot, kind, amount_micro, self.at)
        };
        let id = enter(tx, &self.site, self.now, entry)?;
        let kind = kind.word();
        let moved = json!({"movement": id, "lot": lot, "kind": kind, "amount_micro": amount_micro});
        self.movements.push(moved);
        Ok(id)
    }
}
