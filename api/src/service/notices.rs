//! What happened, as others are told of it: an outbox that is written in the transaction of
//! what it tells of.

pub mod watch;

use super::Refusal;
use crate::{
    notice::NoticeKind,
    state::State,
    store::{
        StoreError, Tx, instant,
        notices::{self, NoticeRow},
    },
};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// One thing that happened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Its place in the order, from 1.
    pub number: i64,
    /// What kind of thing.
    pub kind: NoticeKind,
    /// When.
    pub made_at: Timestamp,
    /// The plan revision that it made, or that it was seen in.
    pub plan_revision: i64,
    /// The name of what it is about.
    pub about: String,
    /// The same in plain words.
    pub words: String,
    /// What is lacking, if it tells of a shortage.
    pub shortage: Option<Shortage>,
}

/// How much of an item the plan lacks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shortage {
    /// In millionths of the base unit; 0 once it is gone.
    pub short_micro: i64,
    /// Symbol of the base unit.
    pub unit: String,
    /// The first moment that lacks it.
    #[serde(with = "moment")]
    pub runs_out: Option<Timestamp>,
    /// Until when it can be ordered; none if nobody delivers in time at all.
    #[serde(with = "moment")]
    pub order_by: Option<Timestamp>,
}

/// What is told, before it has a place in the order.
#[derive(Debug, Clone, Copy)]
pub struct News<'a> {
    /// What kind of thing.
    pub kind: NoticeKind,
    /// When.
    pub at: Timestamp,
    /// The plan revision that it made, or that it was seen in.
    pub plan_revision: i64,
    /// The name of what it is about.
    pub about: &'a str,
    /// The same in plain words.
    pub words: &'a str,
}

/// Gives notice in the transaction of what happened.
///
/// # Errors
/// [`StoreError`]
pub fn give(
    tx: &mut Tx,
    site: &str,
    news: News<'_>,
    shortage: Option<&Shortage>,
) -> Result<(), StoreError> {
    let News { kind, at, plan_revision, about, words } = news;
    let facts = shortage.map(serde_json::to_string).transpose();
    let row = NoticeRow {
        site: site.to_owned(),
        number: 0,
        kind: kind.word().to_owned(),
        made_at: instant::text(at),
        plan_revision,
        about: about.to_owned(),
        words: words.to_owned(),
        facts: facts.map_err(|_| StoreError::Corrupt("notice"))?,
    };
    notices::add(tx, row).map(|_| ())
}

/// Where a reader of the feed begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// After a notice, by its number; 0 for all.
    After(i64),
    /// With what happens from here on.
    Now,
}

/// Notices in order, at most `limit`, with the number to go on after.
///
/// # Errors
/// [`Refusal::Store`]
pub fn read(state: &State, start: Start, limit: i64) -> Result<(Vec<Notice>, i64), Refusal> {
    state.store.read(|tx| {
        let after = match start {
            Start::After(number) => number,
            Start::Now => return Ok((Vec::new(), notices::last_number(tx, &state.site)?)),
        };
        let rows = notices::after(tx, &state.site, after, limit)?;
        let last = rows.last().map_or(after, |row| row.number);
        let read: Result<Vec<_>, StoreError> = rows.into_iter().map(Notice::read).collect();
        Ok((read?, last))
    })
}

impl Notice {
    /// A notice from its row.
    pub(super) fn read(row: NoticeRow) -> Result<Self, StoreError> {
        let NoticeRow { site: _, number, kind, made_at, plan_revision, about, words, facts } = row;
        let corrupt = || StoreError::Corrupt("notice");
        let shortage = facts.map(|facts| serde_json::from_str(&facts)).transpose();
        Ok(Self {
            number,
            kind: NoticeKind::from_word(&kind).ok_or_else(corrupt)?,
            made_at: instant::read(&made_at)?,
            plan_revision,
            about,
            words,
            shortage: shortage.map_err(|_| corrupt())?,
        })
    }
}

/// Instants in kept figures, as everywhere in the store.
mod moment {
    use crate::store::instant;
    use jiff::Timestamp;
    use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error};

    pub(super) fn serialize<S: Serializer>(
        at: &Option<Timestamp>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        at.map(instant::text).serialize(serializer)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<Timestamp>, D::Error> {
        let text: Option<String> = Option::deserialize(deserializer)?;
        text.as_deref().map(instant::read).transpose().map_err(D::Error::custom)
    }
}
