//! Tokens: what opens this shop's data to a till, a tablet or a person.
//!
//! A token is `wh1.ID.SECRET`. The secret has 256 random bits, so that its plain SHA-256 at
//! rest gives nothing away: slow hashes are for words that people choose.

use super::{Refusal, fault};
use crate::{
    access::Job,
    clock::new_id,
    digest,
    state::State,
    store::{
        StoreError, Tx, door, instant,
        sites::SiteRow,
        tokens::{self, TokenRow},
    },
};
use jiff::{SignedDuration, Timestamp};
use subtle::ConstantTimeEq as _;
use uuid::Uuid;

/// First part of every token, so that one found lying about is known for what it is.
const PREFIX: &str = "wh1";
/// Random bytes of a secret; what signs webhooks asks for 24 to 64.
const SECRET_BYTES: usize = 32;
/// Longest name of a token.
const NAME_CHARS_MAX: usize = 60;

/// A token without its secret.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Token {
    /// Its open part.
    pub id: Uuid,
    /// Who uses it.
    pub name: String,
    /// What it may do.
    pub job: Job,
    /// When it was made.
    pub made_at: Timestamp,
    /// From when on it opens nothing.
    pub expires_at: Option<Timestamp>,
    /// Since when it opens nothing.
    pub revoked_at: Option<Timestamp>,
}

impl Token {
    fn read(row: &TokenRow) -> Result<Self, StoreError> {
        let at = |text: &Option<String>| text.as_deref().map(instant::read).transpose();
        Ok(Self {
            id: row.id.parse().map_err(|_| StoreError::Corrupt("token"))?,
            name: row.name.clone(),
            job: Job::from_word(&row.job).ok_or(StoreError::Corrupt("job"))?,
            made_at: instant::read(&row.made_at)?,
            expires_at: at(&row.expires_at)?,
            revoked_at: at(&row.revoked_at)?,
        })
    }

    /// Whether it opens anything at an instant.
    #[must_use]
    pub fn is_live(&self, now: Timestamp) -> bool {
        let over = |end: Option<Timestamp>| end.is_some_and(|end| end <= now);
        !over(self.expires_at) && !over(self.revoked_at)
    }
}

/// Makes a token; the second value is the whole token, which is shown once and kept nowhere.
///
/// # Errors
/// `out-of-range` if it has no name or expires in the past; [`Refusal::Store`]
pub fn make(
    state: &State,
    name: &str,
    job: Job,
    expires_at: Option<Timestamp>,
) -> Result<(Token, String), Refusal> {
    state.write(|tx| make_in(tx, state, (name, job), expires_at))
}

/// The same in a transaction that is open already, which says itself who wrote.
///
/// # Errors
/// As [`make`]
pub fn make_in(
    tx: &mut Tx,
    state: &State,
    (name, job): (&str, Job),
    expires_at: Option<Timestamp>,
) -> Result<(Token, String), Refusal> {
    let name = name.trim();
    if name.is_empty() || name.chars().count() > NAME_CHARS_MAX {
        let detail = format!("a token needs a name of 1 to {NAME_CHARS_MAX} characters");
        return Err(Refusal::stated("out-of-range", detail));
    }
    if expires_at.is_some_and(|end| end <= state.now()) {
        return Err(Refusal::stated("out-of-range", "a token cannot expire before it is made"));
    }
    insert(tx, state, (name, job), expires_at)
}

/// Makes a token for whoever asks in a browser: the first one is an owner's, or nobody could
/// come in there any more.
///
/// # Errors
/// As [`make`]; `field-mismatch` if the first one is for another job.
pub fn make_in_browser(
    tx: &mut Tx,
    state: &State,
    (name, job): (&str, Job),
    expires_at: Option<Timestamp>,
) -> Result<(Token, String), Refusal> {
    if job != Job::Owner && !tokens::exist(tx, &state.site)? {
        let detail = "the first token is an owner's: with it you make the others".to_owned();
        return Err(fault("/job", "field-mismatch", detail));
    }
    make_in(tx, state, (name, job), expires_at)
}

/// Keeps a new token.
fn insert(
    tx: &mut Tx,
    state: &State,
    (name, job): (&str, Job),
    expires_at: Option<Timestamp>,
) -> Result<(Token, String), Refusal> {
    let (now, secret) = (state.now(), secret()?);
    let row = TokenRow {
        site: state.site.clone(),
        id: new_id(now).to_string(),
        name: name.to_owned(),
        job: job.word().to_owned(),
        secret_hash: digest::whole([secret.as_bytes()]),
        made_at: now.to_string(),
        expires_at: expires_at.map(|end| end.to_string()),
        revoked_at: None,
    };
    tokens::insert(tx, &row)?;
    Ok((Token::read(&row)?, format!("{PREFIX}.{}.{secret}", row.id)))
}

/// Makes another token of the same name, job and end; the old one goes on for `grace`.
///
/// # Errors
/// [`Refusal::Unknown`] if there is none or it opens nothing any more.
pub fn rotate(state: &State, id: &str, grace: SignedDuration) -> Result<(Token, String), Refusal> {
    state.write(|tx| rotate_in(tx, state, id, grace))
}

/// The same in a transaction that is open already, which says itself who wrote.
///
/// # Errors
/// As [`rotate`]
pub fn rotate_in(
    tx: &mut Tx,
    state: &State,
    id: &str,
    grace: SignedDuration,
) -> Result<(Token, String), Refusal> {
    let now = state.now();
    let end = now.checked_add(grace).unwrap_or(Timestamp::MAX);
    let old = find(tx, &state.site, id)?;
    if !old.is_live(now) {
        let detail = format!("token `{id}` opens nothing any more: make a new one");
        return Err(Refusal::stated("wrong-state", detail));
    }
    let until = old.expires_at.map_or(end, |known| known.min(end)).to_string();
    tokens::set_expiry(tx, &state.site, id, &until)?;
    insert(tx, state, (&old.name, old.job), old.expires_at)
}

/// Revokes a token at once; one that is revoked stays as it is.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn revoke(tx: &mut Tx, state: &State, id: &str) -> Result<Token, Refusal> {
    let held = find(tx, &state.site, id)?;
    if held.revoked_at.is_none() {
        tokens::revoke(tx, &state.site, id, &state.now().to_string())?;
    }
    find(tx, &state.site, id)
}

/// All tokens, in the order in which they were made.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(state: &State) -> Result<Vec<Token>, Refusal> {
    let rows = state.store.read(|tx| tokens::list(tx, &state.site))?;
    Ok(rows.iter().map(Token::read).collect::<Result<_, _>>()?)
}

fn find(tx: &mut Tx, site: &str, id: &str) -> Result<Token, Refusal> {
    let row = tokens::find(tx, site, id)?;
    let row = row.ok_or_else(|| Refusal::Unknown { noun: "token", code: id.to_owned() })?;
    Ok(Token::read(&row)?)
}

/// What a request may do by what it showed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shown {
    /// A token that opens this shop.
    Token(Token),
    /// Nothing, and nothing is needed: no token was ever made.
    NothingNeeded,
    /// Nothing, a token of another shop, or one that opens nothing.
    NotEnough,
}

/// Judges what a request showed, and says at which counters of the shop; none before its first
/// write. Every way to fail takes the same steps.
///
/// # Errors
/// [`Refusal::Store`]
pub fn judge(
    state: &State,
    tx: &mut Tx,
    shown: Option<&str>,
) -> Result<(Shown, Option<SiteRow>), Refusal> {
    let site = &state.site;
    let Some((id, secret)) = shown.map(parts) else {
        let (counts, needed) = match door::without_token(tx, site)? {
            Some((counts, needed)) => (Some(counts), needed),
            None => (None, tokens::exist(tx, site)?),
        };
        return Ok((if needed { Shown::NotEnough } else { Shown::NothingNeeded }, counts));
    };
    let (counts, row) = match door::with_token(tx, site, id)? {
        Some((counts, row)) => (Some(counts), row),
        None => (None, tokens::find(tx, site, id)?),
    };
    let digest = digest::whole([secret.as_bytes()]);
    let kept = row.as_ref().map_or("", |row| row.secret_hash.as_str());
    let same = bool::from(digest.as_bytes().ct_eq(kept.as_bytes()));
    let token = row.filter(|_| same).map(|row| Token::read(&row)).transpose()?;
    let live = token.filter(|token| token.is_live(state.now()));
    Ok((live.map_or(Shown::NotEnough, Shown::Token), counts))
}

/// Whether a token that was let in would still be.
///
/// # Errors
/// [`Refusal::Store`]
pub fn is_live(state: &State, id: Uuid) -> Result<bool, Refusal> {
    let row = state.store.read(|tx| tokens::find(tx, &state.site, &id.to_string()))?;
    let token = row.as_ref().map(Token::read).transpose()?;
    Ok(token.is_some_and(|token| token.is_live(state.now())))
}

/// Whether a token was ever made for this shop.
///
/// # Errors
/// [`Refusal::Store`]
pub fn exist(state: &State) -> Result<bool, Refusal> {
    Ok(state.store.read(|tx| tokens::exist(tx, &state.site))?)
}

/// The open part and the secret; empty texts, which nothing has, if it is no token.
fn parts(token: &str) -> (&str, &str) {
    let rest = token.strip_prefix(PREFIX).and_then(|rest| rest.strip_prefix('.'));
    let parts = rest.and_then(|rest| rest.split_once('.'));
    // What is no UUID is no name of ours, and not every text can be asked for.
    parts.filter(|(id, _)| id.parse::<Uuid>().is_ok()).unwrap_or_default()
}

fn secret() -> Result<String, StoreError> {
    Ok(digest::hex(&secret_bytes()?))
}

/// Bytes that nobody can guess.
pub(super) fn secret_bytes() -> Result<[u8; SECRET_BYTES], StoreError> {
    let mut bytes = [0; SECRET_BYTES];
    getrandom::fill(&mut bytes).map_err(|_| StoreError::Corrupt("source of randomness"))?;
    Ok(bytes)
}
