//! The courier: a thread beside the server that looks for shortages and posts webhooks.
//!
//! It works by the computer's own clock, also where the bakery's stands still: receivers
//! compare the moment of a signature with theirs.

mod post;

use crate::{
    clock::Clock,
    service::{
        Refusal,
        notices::watch,
        webhooks::deliveries::{self, Letter},
    },
    state::State,
    store::{StoreError, sites},
};
pub use post::Post;
use std::{
    collections::BTreeMap,
    thread,
    time::{Duration, Instant},
};

/// How often is looked whether there is anything to do.
const LOOK: Duration = Duration::from_secs(1);
/// Looks between two cleanings: an hour.
const LOOKS_PER_CLEANING: u32 = 3600;
/// How long one webhook may take of a round, so that a slow one holds up no other: with the
/// last request's own limit it stays below the lease.
const SHARE: Duration = Duration::from_secs(20);

/// Does everything that is to be done, as long as the process lives.
pub fn keep(state: &State, post: &Post) {
    let mut seen = None;
    for look in 0_u32.. {
        let done = round(state, post, &mut seen);
        if let Err(error) = done {
            tracing::error!(error = &error as &dyn std::error::Error, "the courier failed");
        }
        if look.is_multiple_of(LOOKS_PER_CLEANING) {
            let cleaned = deliveries::forget(state, Clock::System.now());
            drop(cleaned.inspect_err(|error| tracing::error!(%error, "nothing was forgotten")));
        }
        thread::sleep(LOOK);
    }
}

/// What the shortages were looked at for last: the plan revision and the minute.
pub type Seen = Option<(i64, i64)>;

/// Does everything that is to be done now; returns how many webhooks were posted.
///
/// # Errors
/// [`Refusal`]
pub fn round(state: &State, post: &Post, seen: &mut Seen) -> Result<usize, Refusal> {
    let revision = state.store.read(|tx| sites::find(tx, &state.site))?.plan_revision;
    let asked = (revision, state.now().as_second() / 60);
    if *seen != Some(asked) {
        match watch::look(state) {
            // Without a bakery, or with a plan beyond all bounds, nothing is known to be short.
            Err(Refusal::Store(error)) => return Err(error.into()),
            _ => *seen = Some(asked),
        }
    }
    while deliveries::fan_out(state)? {}
    let mut shares: BTreeMap<String, Vec<Letter>> = BTreeMap::new();
    for letter in deliveries::lease(state, Clock::System.now())? {
        shares.entry(letter.webhook.clone()).or_default().push(letter);
    }
    thread::scope(|scope| {
        let start = |letters| scope.spawn(move || carry(state, post, letters));
        let threads: Vec<_> = shares.values().map(Vec::as_slice).map(start).collect();
        let mut posted = 0;
        for thread in threads {
            posted += thread.join().map_err(|_| StoreError::Thread)??;
        }
        Ok(posted)
    })
}

/// Posts the letters of one webhook; after a failure, or when its share of the time is over,
/// the rest is given back.
fn carry(state: &State, post: &Post, letters: &[Letter]) -> Result<usize, Refusal> {
    let began = Instant::now();
    for (at, letter) in letters.iter().enumerate() {
        let outcome = post.letter(letter, Clock::System.now());
        deliveries::settle(state, Clock::System.now(), letter, &outcome)?;
        if let Some(failure) = &outcome.failure {
            let Letter { webhook, id, .. } = letter;
            tracing::warn!(%webhook, %id, status = outcome.status, %failure, "a webhook failed");
        }
        if outcome.failure.is_some() || began.elapsed() > SHARE {
            deliveries::give_back(state, &letters[at + 1..])?;
            return Ok(at + 1);
        }
    }
    Ok(letters.len())
}
