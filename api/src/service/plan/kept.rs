//! The plan that was made last, for questions that change nothing.
//!
//! It answers only for the state that it was made from: the same plan revision, and a
//! moment between the same two full minutes of the same local date, for every need, cutoff
//! and step of a plan lies on a full minute.

use super::{Horizon, Morning};
use crate::{
    service::{Refusal, book},
    state::State,
    store::{Tx, sites},
};
use jiff::{Timestamp, civil::Date};
use std::sync::{Arc, Mutex, PoisonError};

/// What a kept plan answers for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Key {
    revision: i64,
    /// The full minute at or after the moment of asking.
    minute: i128,
    today: Date,
    until: Date,
}

/// The place where one plan is kept.
#[derive(Debug, Default)]
pub struct KeptMorning(Mutex<Option<(Key, Arc<Morning>)>>);

/// A plan of what the transaction sees, as it was made last or anew.
///
/// # Errors
/// [`Refusal`]
pub fn kept(
    state: &State,
    tx: &mut Tx,
    now: Timestamp,
    horizon: Horizon,
) -> Result<Arc<Morning>, Refusal> {
    let bakery = crate::service::bakery::load(state, tx)?;
    let key = Key {
        revision: sites::find(tx, &state.site)?.plan_revision,
        minute: full_minute(now),
        today: bakery.site().time_zone.to_datetime(now).date(),
        until: horizon.until(&bakery, now)?,
    };
    let KeptMorning(place) = &state.morning;
    let found = place.lock().unwrap_or_else(PoisonError::into_inner).clone();
    if let Some((_, morning)) = found.filter(|(of, _)| *of == key) {
        return Ok(morning);
    }
    let morning = Arc::new(Morning::new(book::load(state, tx, horizon)?, now, horizon)?);
    let kept = Some((key, Arc::clone(&morning)));
    *place.lock().unwrap_or_else(PoisonError::into_inner) = kept;
    Ok(morning)
}

/// The first full minute that is not before an instant, counted in minutes.
fn full_minute(at: Timestamp) -> i128 {
    const MINUTE: i128 = 60_000_000_000;
    (at.as_nanosecond() + MINUTE - 1).div_euclid(MINUTE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kept_plan_answers_up_to_a_full_minute_and_not_beyond() {
        let minute = |text: &str| full_minute(text.parse().expect("an instant"));
        let at = minute("2026-06-10T10:54:00Z");
        assert_eq!(minute("2026-06-10T10:53:00.000000001Z"), at);
        assert_eq!(minute("2026-06-10T10:53:59Z"), at);
        assert_ne!(minute("2026-06-10T10:53:00Z"), at);
        assert_ne!(minute("2026-06-10T10:54:00.000000001Z"), at);
    }
}
