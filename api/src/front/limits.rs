//! How often a token, or somebody without one, may ask.

use crate::problem::{Kind, Problem};
use governor::{
    DefaultKeyedRateLimiter, Quota,
    clock::{Clock as _, DefaultClock},
};
use std::{net::SocketAddr, num::NonZeroU32};

/// Tries without a token that opens anything, a minute and address.
const STRANGER_TRIES: NonZeroU32 = NonZeroU32::new(60).unwrap();
/// Names that are remembered before those at rest are forgotten.
const NAMES_MAX: usize = 10_000;
/// Seconds of the rate that a caller may save up for a burst.
const BURST_SECONDS: NonZeroU32 = NonZeroU32::new(10).unwrap();

/// Buckets that fill with time and empty with each request.
pub struct Limits {
    tokens: DefaultKeyedRateLimiter<String>,
    strangers: DefaultKeyedRateLimiter<String>,
    clock: DefaultClock,
}

impl Limits {
    /// `per_second` requests of each token, ten seconds of them at once.
    #[must_use]
    pub fn new(per_second: NonZeroU32) -> Self {
        let burst = per_second.saturating_mul(BURST_SECONDS);
        Self {
            tokens: DefaultKeyedRateLimiter::keyed(
                Quota::per_second(per_second).allow_burst(burst),
            ),
            strangers: DefaultKeyedRateLimiter::keyed(Quota::per_minute(STRANGER_TRIES)),
            clock: DefaultClock::default(),
        }
    }

    /// Takes one request of a token.
    ///
    /// # Errors
    /// [`Kind::TooManyRequests`]
    pub fn take(&self, token: &str) -> Result<(), Problem> {
        self.take_from(&self.tokens, token)
    }

    /// Takes one try of somebody whose token opens nothing, by the address that asks.
    ///
    /// # Errors
    /// [`Kind::TooManyRequests`]
    pub fn take_stranger(&self, peer: Option<SocketAddr>) -> Result<(), Problem> {
        let address = peer.map(|peer| peer.ip().to_string()).unwrap_or_default();
        self.take_from(&self.strangers, &address)
    }

    fn take_from(
        &self,
        buckets: &DefaultKeyedRateLimiter<String>,
        name: &str,
    ) -> Result<(), Problem> {
        if buckets.len() > NAMES_MAX {
            buckets.retain_recent();
        }
        buckets.check_key(&name.to_owned()).map_err(|until| {
            let wait = until.wait_time_from(self.clock.now()).as_secs() + 1;
            Problem::new(Kind::TooManyRequests, format!("too many requests: wait {wait} s"))
        })
    }
}
