//! Plans that were made before, for requests that ask the same again.
//!
//! A plan answers only for the state that it was made from: the same plan revision, which
//! is read from the database in the transaction that asks, and a moment between the same
//! two full minutes of the same local date, for every need, cutoff and step of a plan lies
//! on a full minute. What it says of its own moment is up to a minute old.

use super::{Horizon, Morning, after, read};
use crate::{
    metrics::{PlanFrom, PlanMetrics},
    service::{Refusal, bakery},
    state::State,
    store::{
        Count, Tx, orders,
        sites::{self, SiteRow},
    },
};
use domain::bakery::Bakery;
use jiff::{Timestamp, civil::Date};
use std::{
    sync::{Arc, Mutex, PoisonError},
    time::Instant,
};

/// Plans that are kept: those of a few horizons, or of the last few revisions.
const KEPT_MAX: usize = 4;

/// What a kept plan answers for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Key {
    revision: i64,
    /// Losses of shared transactions before: a revision that was lost is made again.
    losses: u64,
    /// The full minute at or after the moment of asking.
    minute: i128,
    today: Date,
    until: Date,
}

impl Key {
    /// Whether it asks for the same but for the revision.
    fn is_like(self, other: Self) -> bool {
        Self { revision: other.revision, ..self } == other
    }
}

/// The place where plans are kept, the one asked last first.
#[derive(Debug, Clone)]
pub struct KeptMornings {
    place: Arc<Mutex<Kept>>,
    losses: Count,
    begun: Count,
    judging: Arc<Mutex<Option<Judging>>>,
    metrics: PlanMetrics,
}

/// By which plan revision the orders of an open transaction are judged.
#[derive(Debug, Clone, Copy)]
struct Judging {
    /// The number of the transaction.
    begun: u64,
    revision: i64,
}

/// Plans with what they answer for.
type Kept = Vec<(Key, Arc<Morning>)>;

/// A plan of what the transaction sees, as it was made before or anew.
///
/// # Errors
/// [`Refusal`]
pub fn kept(
    state: &State,
    tx: &mut Tx,
    now: Timestamp,
    horizon: Horizon,
) -> Result<Arc<Morning>, Refusal> {
    let bakery = bakery::load(state, tx)?;
    state.mornings.morning((tx, &state.site), &bakery, now, horizon)
}

impl KeptMornings {
    /// A place with nothing in it, of a store that counts these losses.
    #[must_use]
    pub fn new(losses: Count, begun: Count) -> Self {
        let (place, judging) = (Arc::default(), Arc::default());
        Self { place, losses, begun, judging, metrics: PlanMetrics::default() }
    }

    /// What it counts.
    #[must_use]
    pub const fn metrics(&self) -> &PlanMetrics {
        &self.metrics
    }

    /// A plan of what the transaction sees; nothing that a plan is made from may have been
    /// written by the transaction itself, for it is kept for others.
    ///
    /// # Errors
    /// [`Refusal`]
    pub fn morning(
        &self,
        (tx, site): (&mut Tx, &str),
        bakery: &Arc<Bakery>,
        now: Timestamp,
        horizon: Horizon,
    ) -> Result<Arc<Morning>, Refusal> {
        let asked = Instant::now();
        let counts = sites::find(tx, site)?;
        if let Some(found) = self.kept(counts, bakery, now, horizon)? {
            return Ok(found);
        }
        let key = self.key(counts, bakery, now, horizon)?;
        let _span = tracing::info_span!("plan", revision = key.revision).entered();
        let before = self.take(|kept| kept.is_like(key) && kept.revision < key.revision);
        let changed = match before {
            Some(before) => after::orders((tx, site), before, key.revision)?,
            None => None,
        };
        let (morning, from) = match changed {
            Some(changed) => (Arc::new(changed), PlanFrom::Changed),
            None => (Arc::new(read((tx, site), bakery, now, horizon)?), PlanFrom::Whole),
        };
        self.metrics.made(from, asked.elapsed());
        self.keep(key, &morning);
        Ok(morning)
    }

    /// A plan to judge an order by, and whether orders came since: those that share a commit came
    /// at once, and are judged by the plan of the first of them as the orders of a batch are.
    ///
    /// # Errors
    /// [`Refusal`]
    pub fn to_judge_by(
        &self,
        (tx, site): (&mut Tx, &str),
        bakery: &Arc<Bakery>,
        now: Timestamp,
        horizon: Horizon,
    ) -> Result<(Arc<Morning>, bool), Refusal> {
        let (counts, begun) = (sites::find(tx, site)?, self.begun.count());
        let first = *self.judging.lock().unwrap_or_else(PoisonError::into_inner);
        let first = first.filter(|first| first.begun == begun).map(|first| first.revision);
        let first = first.map(|revision| (revision, counts.plan_revision - revision));
        if let Some((revision, since)) = first
            && since > 0
            && let Some(found) =
                self.kept(SiteRow { plan_revision: revision, ..counts }, bakery, now, horizon)?
            && orders::made_between(tx, site, (revision, counts.plan_revision))? == since
        {
            return Ok((found, true));
        }
        let morning = self.morning((tx, site), bakery, now, horizon)?;
        let judging = Some(Judging { begun, revision: counts.plan_revision });
        *self.judging.lock().unwrap_or_else(PoisonError::into_inner) = judging;
        Ok((morning, false))
    }

    /// A plan that was made before for the counters that a transaction sees.
    ///
    /// # Errors
    /// [`Refusal`] for a horizon beyond all calendars.
    pub fn kept(
        &self,
        counts: SiteRow,
        bakery: &Bakery,
        now: Timestamp,
        horizon: Horizon,
    ) -> Result<Option<Arc<Morning>>, Refusal> {
        let asked = Instant::now();
        let key = self.key(counts, bakery, now, horizon)?;
        let found = self.find(|kept| kept == key);
        if found.is_some() {
            self.metrics.made(PlanFrom::Kept, asked.elapsed());
        }
        Ok(found)
    }

    fn key(
        &self,
        counts: SiteRow,
        bakery: &Bakery,
        now: Timestamp,
        horizon: Horizon,
    ) -> Result<Key, Refusal> {
        Ok(Key {
            revision: counts.plan_revision,
            losses: self.losses.count(),
            minute: full_minute(now),
            today: bakery.site().time_zone.to_datetime(now).date(),
            until: horizon.until(bakery, now)?,
        })
    }

    /// The plan asked last that answers; it is then the one asked last of all.
    fn find(&self, answers: impl Fn(Key) -> bool) -> Option<Arc<Morning>> {
        let mut kept = self.place.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(key, _)| answers(*key))?;
        kept[..=at].rotate_right(1);
        kept.first().map(|(_, morning)| Arc::clone(morning))
    }

    /// A plan that is asked for no more once the one after it is made: what nobody else holds
    /// of it is changed where it stands.
    fn take(&self, answers: impl Fn(Key) -> bool) -> Option<Arc<Morning>> {
        let mut kept = self.place.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(key, _)| answers(*key))?;
        Some(kept.remove(at).1)
    }

    fn keep(&self, key: Key, morning: &Arc<Morning>) {
        let mut kept = self.place.lock().unwrap_or_else(PoisonError::into_inner);
        // What is older than this is asked for no more, unless another horizon is.
        kept.retain(|(other, _)| !other.is_like(key) || other.revision > key.revision);
        kept.insert(0, (key, Arc::clone(morning)));
        kept.truncate(KEPT_MAX);
    }
}

/// The first full minute that is not before an instant, counted in minutes.
fn full_minute(at: Timestamp) -> i128 {
    const MINUTE: i128 = 60_000_000_000;
    (at.as_nanosecond() + MINUTE - 1).div_euclid(MINUTE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::service::orders::{
        Asked,
        tests::{House, SITE, order},
    };

    #[test]
    fn a_kept_plan_answers_up_to_a_full_minute_and_not_beyond() {
        let minute = |text: &str| full_minute(text.parse().expect("an instant"));
        let at = minute("2026-06-10T10:54:00Z");
        assert_eq!(minute("2026-06-10T10:53:00.000000001Z"), at);
        assert_eq!(minute("2026-06-10T10:53:59Z"), at);
        assert_ne!(minute("2026-06-10T10:53:00Z"), at);
        assert_ne!(minute("2026-06-10T10:54:00.000000001Z"), at);
    }

    #[test]
    fn orders_of_one_commit_are_judged_by_the_plan_of_the_first() {
        let (mut house, begun) = (House::new(), Count::default());
        let mornings = KeptMornings::new(Count::default(), begun.clone());
        let now: Timestamp = "2026-06-10T09:30:00+02:00".parse().expect("an instant");
        let judge = |house: &mut House| {
            let House { tx, bakery } = house;
            let found = mornings.to_judge_by((tx, SITE), bakery, now, Horizon::Usual);
            let (morning, behind) = found.expect("a plan");
            (morning.plan_revision, behind)
        };
        let named = |name: &str| Asked {
            order_ref: name.to_owned(),
            ..order(1, &[("sugar-bun", "6"), ("croissant", "12")])
        };
        begun.another();
        assert_eq!(judge(&mut house), (0, false));
        house.take(&named("a"));
        house.take(&named("b"));
        assert_eq!(judge(&mut house), (0, true), "two orders of the same commit");
        let change = sites::Change { at: now, cause: "the test says so", bakery_changed: false };
        sites::bump(&mut house.tx, SITE, change).expect("a revision");
        assert_eq!(judge(&mut house), (3, false), "something else than an order");
        house.take(&named("c"));
        begun.another();
        assert_eq!(judge(&mut house), (4, false), "another commit");
    }
}
