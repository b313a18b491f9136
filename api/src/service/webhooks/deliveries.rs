//! Deliveries: from the feed to each webhook, tried again until they arrive or are given up.
//!
//! One server at a time has a delivery: it leases the row in a transaction, posts outside it,
//! and writes what became of it. If it dies over that, the lease ends and another one posts
//! again: at least once, never two at the same time.

use super::live_secrets;
use crate::{
    clock::new_id,
    digest,
    messages::{Kept, Sentence},
    service::{Refusal, bakery, notices::Notice},
    state::State,
    store::{
        StoreError, Tx, instant, notices,
        webhook_deliveries::{self as rows, WebhookDeliveryRow},
        webhooks::{self, WebhookRow},
    },
};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

/// Tries before a delivery is given up, 14 to 29 hours after the first.
pub const TRIES_MAX: i64 = 12;
/// Seconds until the second try; each later one waits three times as long.
const WAIT_FIRST_S: i64 = 5;
/// Longest wait between two tries.
const WAIT_MAX_S: i64 = 8 * 3600;
/// How long a server has a delivery to itself: longer than it takes to post a share of them.
const LEASE: SignedDuration = SignedDuration::from_secs(90);
/// Deliveries of one webhook leased at once.
const LEASED_MAX: i64 = 40;
/// Notices that are looked at for one webhook in one transaction.
const NOTICES_MAX: i64 = 500;
/// How long what was delivered is remembered.
const DELIVERED_KEPT: SignedDuration = SignedDuration::from_hours(7 * 24);
/// The answer that asks to be told no more.
const GONE: u16 = 410;

/// Where a delivery is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DeliveryState {
    /// To be posted, or posted again.
    Waiting,
    /// It arrived.
    Delivered,
    /// It was given up: a dead letter.
    Dead,
}

impl DeliveryState {
    const ALL: [Self; 3] = [Self::Waiting, Self::Delivered, Self::Dead];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Delivered => "delivered",
            Self::Dead => "dead",
        }
    }

    /// The state of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }
}

/// One delivery.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Delivery {
    /// Its UUID, the same at each try.
    pub id: String,
    /// Code of the webhook.
    pub webhook: String,
    /// Number of the notice.
    pub notice: i64,
    /// Where it is.
    pub state: DeliveryState,
    /// Tries so far.
    pub tries: i64,
    /// When it is tried next, if it waits for a second or later try.
    pub next_try_at: Option<Timestamp>,
    /// When it was delivered or given up.
    pub settled_at: Option<Timestamp>,
    /// HTTP status of the last answer.
    pub last_status: Option<i32>,
    /// What went wrong at the last try.
    pub last_words: Option<Sentence>,
}

impl Delivery {
    fn read(row: WebhookDeliveryRow) -> Result<Self, StoreError> {
        let state = DeliveryState::from_word(&row.state).ok_or(StoreError::Corrupt("delivery"))?;
        let waits = state == DeliveryState::Waiting && row.tries > 0;
        Ok(Self {
            id: row.id,
            webhook: row.webhook,
            notice: row.notice,
            state,
            tries: row.tries,
            next_try_at: waits.then(|| instant::read(&row.next_try_at)).transpose()?,
            settled_at: row.settled_at.as_deref().map(instant::read).transpose()?,
            last_status: row.last_status,
            last_words: row.last_words.map(|text| Kept::read(text).into()),
        })
    }
}

/// What is posted, with all that it takes to post it.
#[derive(Debug, Clone)]
pub struct Letter {
    /// Id of the delivery: the receiver knows a second copy by it.
    pub id: String,
    /// Code of the webhook.
    pub webhook: String,
    /// Where to.
    pub url: String,
    /// Secrets that it is signed with, in base64.
    pub secrets: Vec<String>,
    /// What it tells.
    pub notice: Notice,
    /// The bakery's clock, on which its instants are shown.
    pub zone: TimeZone,
    /// The end of the lease, by which it is known.
    lease: String,
}

/// What became of a try.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outcome {
    /// The status of the answer, if there was one.
    pub status: Option<u16>,
    /// What went wrong; none if it arrived.
    pub failure: Option<Sentence>,
}

/// Makes deliveries of what happened since; returns whether there may be more at once.
///
/// # Errors
/// [`Refusal::Store`]
pub fn fan_out(state: &State) -> Result<bool, Refusal> {
    let behind = |tx: &mut Tx| -> Result<Vec<WebhookRow>, StoreError> {
        let last = notices::last_number(tx, &state.site)?;
        let mut behind = Vec::new();
        for row in webhooks::list(tx, &state.site)? {
            // Mostly nobody is behind, and then no secret is read.
            let waits = row.active && row.told_up_to < last;
            if waits && !webhooks::secrets(tx, &state.site, &row.code)?.is_empty() {
                behind.push(row);
            }
        }
        Ok(behind)
    };
    // Looked at often: nothing is written where nothing is to be done.
    if state.store.read(behind)?.is_empty() {
        return Ok(false);
    }
    state.store.write(|tx| {
        let mut more = false;
        for webhook in behind(tx)? {
            more |= fan_out_to(tx, state, webhook)?;
        }
        Ok(more)
    })
}

fn fan_out_to(tx: &mut Tx, state: &State, webhook: WebhookRow) -> Result<bool, StoreError> {
    let news = notices::after(tx, &state.site, webhook.told_up_to, NOTICES_MAX)?;
    let Some(last) = news.last().map(|row| row.number) else { return Ok(false) };
    let full = i64::try_from(news.len()).is_ok_and(|count| count >= NOTICES_MAX);
    for notice in news {
        if !webhook.kinds.split_whitespace().any(|kind| kind == notice.kind) {
            continue;
        }
        let at_once = instant::text(Timestamp::UNIX_EPOCH);
        let row = WebhookDeliveryRow {
            site: state.site.clone(),
            id: new_id(state.now()).to_string(),
            webhook: webhook.code.clone(),
            notice: notice.number,
            state: DeliveryState::Waiting.word().to_owned(),
            tries: 0,
            next_try_at: at_once.clone(),
            leased_until: at_once,
            settled_at: None,
            last_status: None,
            last_words: None,
        };
        rows::insert(tx, &row)?;
    }
    webhooks::keep(tx, &WebhookRow { told_up_to: last, ..webhook })?;
    Ok(full)
}

/// Takes what is due for this server alone, for a while.
///
/// # Errors
/// [`Refusal::Store`]
pub fn lease(state: &State, now: Timestamp) -> Result<Vec<Letter>, Refusal> {
    let at = instant::text(now);
    // Looked at often: nothing is written where nothing is due.
    if state.store.read(|tx| due(tx, state, &at))?.is_empty() {
        return Ok(Vec::new());
    }
    let until = instant::text(now.checked_add(LEASE).unwrap_or(Timestamp::MAX));
    state.store.write(|tx| {
        let zone = bakery::load(state, tx)?.site().time_zone.clone();
        let mut letters = Vec::new();
        for (hook, share) in due(tx, state, &at)? {
            let secrets = live_secrets(tx, &state.site, &hook.code, now)?;
            if secrets.is_empty() {
                continue;
            }
            for row in share {
                let notice = notices::find(tx, &state.site, row.notice)?;
                let notice = Notice::read(notice.ok_or(StoreError::Corrupt("delivery"))?)?;
                rows::keep(tx, &WebhookDeliveryRow { leased_until: until.clone(), ..row.clone() })?;
                letters.push(Letter {
                    id: row.id,
                    webhook: row.webhook,
                    url: hook.url.clone(),
                    secrets: secrets.clone(),
                    notice,
                    zone: zone.clone(),
                    lease: until.clone(),
                });
            }
        }
        Ok(letters)
    })
}

/// A webhook that tells, and its share of what is due.
type Share = (WebhookRow, Vec<WebhookDeliveryRow>);

/// What is due of each webhook that tells, so that a long row of one keeps no other waiting.
fn due(tx: &mut Tx, state: &State, at: &str) -> Result<Vec<Share>, StoreError> {
    let waiting = DeliveryState::Waiting.word();
    let mut found = Vec::new();
    for hook in webhooks::list(tx, &state.site)?.into_iter().filter(|hook| hook.active) {
        let share = rows::due(tx, &state.site, (&hook.code, waiting), (at, LEASED_MAX))?;
        if !share.is_empty() {
            found.push((hook, share));
        }
    }
    Ok(found)
}

/// Gives back what was leased and not tried.
///
/// # Errors
/// [`Refusal::Store`]
pub fn give_back(state: &State, letters: &[Letter]) -> Result<(), Refusal> {
    state.store.write(|tx| {
        for letter in letters {
            if let Some(row) = leased(tx, state, letter)? {
                let leased_until = instant::text(Timestamp::UNIX_EPOCH);
                rows::keep(tx, &WebhookDeliveryRow { leased_until, ..row })?;
            }
        }
        Ok(())
    })
}

/// The row of a letter, if this server still has it.
fn leased(
    tx: &mut Tx,
    state: &State,
    letter: &Letter,
) -> Result<Option<WebhookDeliveryRow>, StoreError> {
    let row = rows::find(tx, &state.site, &letter.id)?;
    Ok(row.filter(|row| row.leased_until == letter.lease))
}

/// Writes down what became of a try.
///
/// # Errors
/// [`Refusal::Store`]
pub fn settle(
    state: &State,
    now: Timestamp,
    letter: &Letter,
    outcome: &Outcome,
) -> Result<(), Refusal> {
    state.store.write(|tx| {
        let Some(row) = leased(tx, state, letter)? else { return Ok(()) };
        if outcome.status == Some(GONE) {
            rest(tx, state, &letter.webhook)?;
        }
        Ok(rows::keep(tx, &after(row, now, outcome)?)?)
    })
}

/// A receiver that says that it is gone is told no more until somebody sets it active.
fn rest(tx: &mut Tx, state: &State, code: &str) -> Result<(), StoreError> {
    match webhooks::find(tx, &state.site, code)? {
        Some(row) => webhooks::keep(tx, &WebhookRow { active: false, ..row }),
        None => Ok(()),
    }
}

/// A delivery after a try.
fn after(
    row: WebhookDeliveryRow,
    now: Timestamp,
    outcome: &Outcome,
) -> Result<WebhookDeliveryRow, StoreError> {
    let tries = row.tries + 1;
    let Outcome { status, failure } = outcome;
    let state = match failure {
        None => DeliveryState::Delivered,
        Some(_) if tries >= TRIES_MAX || *status == Some(GONE) => DeliveryState::Dead,
        Some(_) => DeliveryState::Waiting,
    };
    let next = now.checked_add(wait(&row.id, tries)).unwrap_or(Timestamp::MAX);
    let written = |words: &Sentence| words.kept().written();
    let last_words = failure.as_ref().map(written).transpose();
    Ok(WebhookDeliveryRow {
        state: state.word().to_owned(),
        tries,
        next_try_at: instant::text(next),
        leased_until: instant::text(Timestamp::UNIX_EPOCH),
        settled_at: (state != DeliveryState::Waiting).then(|| instant::text(now)),
        last_status: status.map(i32::from),
        last_words: last_words.map_err(|_| StoreError::Corrupt("delivery"))?,
        ..row
    })
}

/// How long to wait after a number of tries: three times as long after each, of which the
/// second half is spread by the delivery's own name, so that many do not come at once.
fn wait(id: &str, tries: i64) -> SignedDuration {
    let mut seconds = WAIT_FIRST_S;
    for _ in 1..tries {
        seconds = (seconds * 3).min(WAIT_MAX_S);
    }
    let spread = digest::of([id.as_bytes(), &tries.to_be_bytes()]);
    let spread = i64::from_str_radix(&spread[..4], 16).unwrap_or_default();
    let millis = seconds * 500 + seconds * 500 * spread / 0xffff;
    SignedDuration::from_millis(millis)
}

/// Forgets what was delivered a week ago; dead letters stay.
///
/// # Errors
/// [`Refusal::Store`]
pub fn forget(state: &State, now: Timestamp) -> Result<(), Refusal> {
    let before = now.checked_sub(DELIVERED_KEPT).unwrap_or(Timestamp::MIN);
    let (state_word, before) = (DeliveryState::Delivered.word(), instant::text(before));
    Ok(state.store.write(|tx| rows::forget(tx, &state.site, state_word, &before))?)
}

/// Deliveries of a state, or of any, before an id, newest first; at most `limit`.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(
    state: &State,
    of: Option<DeliveryState>,
    place: (Option<&str>, i64),
) -> Result<Vec<Delivery>, Refusal> {
    let of = of.map(DeliveryState::word);
    let found = state.store.read(|tx| rows::list(tx, &state.site, of, place))?;
    Ok(found.into_iter().map(Delivery::read).collect::<Result<_, _>>()?)
}

/// How many dead letters there are, of all webhooks.
///
/// # Errors
/// [`Refusal::Store`]
pub fn dead(state: &State) -> Result<i64, Refusal> {
    let dead = DeliveryState::Dead.word();
    let counts = state.store.read(|tx| rows::count(tx, &state.site, dead))?;
    Ok(counts.iter().map(|(_, count)| count).sum())
}

/// Sends a delivery again, from its first try on; one that waits is tried at once.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn resend(tx: &mut Tx, state: &State, id: &str) -> Result<Delivery, Refusal> {
    let unknown = || Refusal::Unknown { noun: "delivery", code: id.to_owned() };
    let row = rows::find(tx, &state.site, id)?.ok_or_else(unknown)?;
    let again = WebhookDeliveryRow {
        state: DeliveryState::Waiting.word().to_owned(),
        tries: 0,
        next_try_at: instant::text(Timestamp::UNIX_EPOCH),
        settled_at: None,
        ..row
    };
    rows::keep(tx, &again)?;
    Ok(Delivery::read(again)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_grow_up_to_a_day_and_are_spread() {
        let all = |id: &str| (1..TRIES_MAX).map(|tries| wait(id, tries)).collect::<Vec<_>>();
        let waits = all("a");
        for (wait, longest) in waits.iter().zip([5, 15, 45, 135, 405, 1215, 3645, 10_935]) {
            assert!(wait.as_millis() >= longest * 500, "{wait}");
            assert!(wait.as_millis() <= longest * 1000, "{wait}");
        }
        assert_eq!(waits, all("a"), "the same at each look");
        assert_ne!(waits, all("b"));
        let hours = waits.iter().map(|wait| wait.as_secs()).sum::<i64>() / 3600;
        assert!((14..=29).contains(&hours), "{hours}");
    }
}
