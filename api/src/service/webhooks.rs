//! Webhooks: who is told of what happens, and how it is signed.
//!
//! A secret is made on the machine itself or on the owner's page, and shown once: no answer
//! that is kept or logged ever holds one. Until it has a secret nothing is sent.
//!
//! # Source
//! The open specification Standard Webhooks 1.0.0 (Apache-2.0): headers, what is signed,
//! several signatures while a secret is exchanged, 410 as "tell me no more".

pub mod address;
pub mod deliveries;
pub mod signature;

use super::{Refusal, reference::Precondition, tokens};
use crate::{
    clock::new_id,
    digest,
    document::Fault,
    notice::NoticeKind,
    state::State,
    store::{
        StoreError, Tx, instant, notices,
        webhooks::{self, WebhookRow, WebhookSecretRow},
    },
};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use domain::id::Code;
use jiff::{SignedDuration, Timestamp};

/// What a secret begins with, so that one found lying about is known for what it is.
pub const SECRET_PREFIX: &str = "whsec_";
/// Webhooks of a shop.
const WEBHOOKS_MAX: usize = 20;

/// A webhook without its secret.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Webhook {
    /// Its code.
    pub code: String,
    /// What it is to do.
    pub asked: Asked,
    /// Whether it has a secret; without one nothing is sent.
    pub signed: bool,
    /// The entity tag of what it is to do.
    pub etag: String,
}

/// What a webhook is to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// Where it posts to.
    pub url: String,
    /// What it tells of.
    pub kinds: Vec<NoticeKind>,
    /// Whether it tells at all.
    pub active: bool,
}

impl Asked {
    fn kinds_text(&self) -> String {
        let mut words: Vec<_> = self.kinds.iter().map(|kind| kind.word()).collect();
        words.sort_unstable();
        words.dedup();
        words.join(" ")
    }

    fn faults(&self) -> Vec<Fault> {
        let fault = |pointer: &str, kind, detail: String| Fault {
            pointer: pointer.to_owned(),
            kind,
            detail,
        };
        let mut faults = Vec::new();
        if let Err(detail) = address::judge(&self.url) {
            faults.push(fault("/url", "malformed", detail));
        }
        if self.kinds.is_empty() {
            let detail = "say at least one kind of thing that it tells of".to_owned();
            faults.push(fault("/kinds", "field-mismatch", detail));
        }
        faults
    }
}

impl Webhook {
    fn read(tx: &mut Tx, row: &WebhookRow) -> Result<Self, StoreError> {
        let kinds = row.kinds.split_whitespace().map(NoticeKind::from_word);
        let kinds: Option<Vec<_>> = kinds.collect();
        let asked = Asked {
            url: row.url.clone(),
            kinds: kinds.ok_or(StoreError::Corrupt("webhook"))?,
            active: row.active,
        };
        let signed = !webhooks::secrets(tx, &row.site, &row.code)?.is_empty();
        Ok(Self { code: row.code.clone(), asked, signed, etag: etag(row) })
    }
}

fn etag(row: &WebhookRow) -> String {
    digest::etag(&format!("{} {} {}", row.url, row.kinds, row.active))
}

/// All webhooks, by code.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(state: &State) -> Result<Vec<Webhook>, Refusal> {
    state.store.read(|tx| {
        let rows = webhooks::list(tx, &state.site)?;
        let read = rows.iter().map(|row| Webhook::read(tx, row));
        Ok(read.collect::<Result<_, _>>()?)
    })
}

/// A webhook by its code.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn find(state: &State, code: &str) -> Result<Webhook, Refusal> {
    state.store.read(|tx| {
        let row = row(tx, &state.site, code)?;
        Ok(Webhook::read(tx, &row)?)
    })
}

fn row(tx: &mut Tx, site: &str, code: &str) -> Result<WebhookRow, Refusal> {
    let unknown = || Refusal::Unknown { noun: "webhook", code: code.to_owned() };
    webhooks::find(tx, site, code)?.ok_or_else(unknown)
}

/// Sets what a webhook is to do; one that begins tells of what happens from here on.
///
/// # Errors
/// [`Refusal::Body`] with every fault; `precondition-required`, `precondition-failed`,
/// `too-many`
pub fn put(
    state: &State,
    code: &str,
    asked: &Asked,
    precondition: &Precondition,
) -> Result<(Webhook, bool), Refusal> {
    state.write(|tx| put_in(tx, state, code, (asked, precondition)))
}

/// The same in a transaction that is open already, which says itself who wrote.
///
/// # Errors
/// As [`put`]
pub fn put_in(
    tx: &mut Tx,
    state: &State,
    code: &str,
    (asked, precondition): (&Asked, &Precondition),
) -> Result<(Webhook, bool), Refusal> {
    Code::parse(code).map_err(|error| {
        Refusal::stated("invalid-path", format!("`{code}` is no code: {error}"))
    })?;
    let faults = asked.faults();
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let held = webhooks::find(tx, &state.site, code)?;
    let tag = held.as_ref().map(etag);
    precondition.check(&format!("webhook `{code}`"), tag.as_deref())?;
    if held.is_none() && webhooks::list(tx, &state.site)?.len() >= WEBHOOKS_MAX {
        let detail = format!("there are {WEBHOOKS_MAX} webhooks: use one of them again");
        return Err(Refusal::stated("too-many", detail));
    }
    let told_up_to = match held.as_ref().filter(|held| held.active) {
        Some(held) => held.told_up_to,
        None => notices::last_number(tx, &state.site)?,
    };
    let row = WebhookRow {
        site: state.site.clone(),
        code: code.to_owned(),
        url: asked.url.clone(),
        kinds: asked.kinds_text(),
        active: asked.active,
        told_up_to,
    };
    webhooks::keep(tx, &row)?;
    Ok((Webhook::read(tx, &row)?, held.is_none()))
}

/// Makes a secret and returns it, this once; those before it sign beside it for `grace`.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn make_secret(state: &State, code: &str, grace: SignedDuration) -> Result<String, Refusal> {
    state.write(|tx| make_secret_in(tx, state, code, grace))
}

/// The same in a transaction that is open already, which says itself who wrote.
///
/// # Errors
/// As [`make_secret`]
pub fn make_secret_in(
    tx: &mut Tx,
    state: &State,
    code: &str,
    grace: SignedDuration,
) -> Result<String, Refusal> {
    let now = state.now();
    let end = now.checked_add(grace).unwrap_or(Timestamp::MAX);
    let secret = STANDARD.encode(tokens::secret_bytes()?);
    let row = row(tx, &state.site, code)?;
    webhooks::forget_secrets(tx, &state.site, &instant::text(now))?;
    if webhooks::secrets(tx, &state.site, code)?.is_empty() {
        // Nothing could be sent before: it begins here.
        let told_up_to = notices::last_number(tx, &state.site)?;
        webhooks::keep(tx, &WebhookRow { told_up_to, ..row })?;
    }
    webhooks::end_secrets(tx, &state.site, code, &instant::text(end))?;
    let kept = WebhookSecretRow {
        site: state.site.clone(),
        id: new_id(now).to_string(),
        webhook: code.to_owned(),
        secret: secret.clone(),
        made_at: instant::text(now),
        ends_at: None,
    };
    webhooks::add_secret(tx, &kept)?;
    Ok(format!("{SECRET_PREFIX}{secret}"))
}

/// The secrets that sign at an instant, the newest first.
fn live_secrets(
    tx: &mut Tx,
    site: &str,
    code: &str,
    now: Timestamp,
) -> Result<Vec<String>, StoreError> {
    let now = instant::text(now);
    let rows = webhooks::secrets(tx, site, code)?;
    let live = rows.into_iter().filter(|row| row.ends_at.as_ref().is_none_or(|end| *end > now));
    Ok(live.map(|row| row.secret).collect())
}
