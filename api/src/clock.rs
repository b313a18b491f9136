//! The only clock of the house: the system's, or one that stands still.

use jiff::Timestamp;
use std::sync::Mutex;
use uuid::{ContextV7, Uuid};

/// Where "now" comes from.
#[derive(Debug, Clone, Copy)]
pub enum Clock {
    /// The computer's clock.
    System,
    /// Always this instant: for demonstrations, tests and "what did it look like then".
    Fixed(Timestamp),
}

impl Clock {
    /// The present instant.
    #[must_use]
    pub fn now(self) -> Timestamp {
        match self {
            #[expect(clippy::disallowed_methods, reason = "this file is where the clock is read")]
            Self::System => Timestamp::now(),
            Self::Fixed(instant) => instant,
        }
    }
}

/// Counts within a millisecond, so that ids of this process sort as they were made, even
/// under a clock that stands still.
static COUNTER: Mutex<ContextV7> = Mutex::new(ContextV7::new());

/// A new UUID of version 7 for something that happens at `now`; it sorts after all before.
///
/// # Source
/// RFC 9562, section 5.7.
#[must_use]
pub fn new_id(now: Timestamp) -> Uuid {
    let seconds = u64::try_from(now.as_second()).unwrap_or(0);
    let nanos = u32::try_from(now.subsec_nanosecond()).unwrap_or(0);
    Uuid::new_v7(uuid::Timestamp::from_unix(&COUNTER, seconds, nanos))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_sort_as_they_were_made_even_if_the_clock_stands_still() {
        let now = "2026-06-10T07:30:00Z".parse().expect("an instant");
        let ids: Vec<Uuid> = (0..1000).map(|_| new_id(now)).collect();
        assert!(ids.is_sorted_by(|a, b| a < b));
    }
}
