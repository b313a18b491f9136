//! An order that is only asked about: nothing of it is kept.

use super::{
    Asked, OrderState, Refusal, Settled,
    desk::{Held, Standing, settle},
    held::held_version,
    standing::{self, Base, held_duplicate},
};
use crate::{
    service::plan::{self, Horizon, Morning},
    state::State,
};
use jiff::Timestamp;
use std::sync::Arc;

pub use super::words::{asked as sentence, is_in_time, reason};

/// What would become of an order.
#[derive(Debug)]
pub struct Check {
    /// What it was judged against.
    pub morning: Arc<Morning>,
    /// The moment of asking.
    pub now: Timestamp,
    /// What would become of it and its lines.
    pub settled: Settled,
    /// Whether its version would have no effect.
    pub stale: bool,
}

/// Judges an order as if it came now.
///
/// # Errors
/// [`Refusal`] as [`super::take`], and if the orders that are held cannot be planned.
pub fn check(state: &State, asked: &Asked, version: Option<i64>) -> Result<Check, Refusal> {
    let now = state.now();
    let (morning, held, base) = state.store.read(|tx| -> Result<_, Refusal> {
        let morning = plan::kept(state, tx, now, Horizon::ServiceDate(asked.service_date))?;
        let zone = &morning.bakery.site().time_zone;
        let held = held_version(tx, &state.site, zone, &asked.order_ref)?;
        let base = standing::base(tx, &state.site, &morning.bakery, asked, held.as_ref())?;
        Ok((morning, held, base))
    })?;
    let stale = held.as_ref().zip(version).is_some_and(|(held, version)| {
        version < held.version || version == held.version && held.state == OrderState::Cancelled
    });
    let standing = Standing {
        bakery: &morning.bakery,
        book: &morning.book,
        plan: &morning.plan,
        until: morning.until,
        now,
    };
    let lines = super::judge(&morning.bakery, asked);
    let settled = match &base {
        Base::Duplicate => held_duplicate(lines),
        Base::Held(base) => settle(standing, asked, lines, Held::of(base.as_ref(), asked))?,
    };
    Ok(Check { morning: Arc::clone(&morning), now, settled, stale })
}
