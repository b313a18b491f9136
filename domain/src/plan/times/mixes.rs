//! One mix for several products: the starts that all of them can live with.

use super::{Clock, DropLine};
use crate::{
    calendar::OutOfCalendar,
    schedule::{Pin, ScheduleError, Work},
    spans::Spans,
};

/// Products that a mix is shared by, at most, for the fewest mixes to be found for sure.
const SHARED_MAX: usize = 64;
/// Ways of splitting that are looked at before the greedy one is taken.
const WAYS_MAX: u32 = 50_000;

/// Starts of a shared step, one set for each drop.
pub(in crate::plan) struct Starts {
    /// By position in the drops that were asked; none if a drop fits at no time.
    pub(in crate::plan) of: Vec<Option<Spans>>,
    /// Why the first of them fits at no time.
    pub(in crate::plan) misfit: Option<ScheduleError>,
}

impl Starts {
    /// Starts of a step of each drop's own route, for a mix of so many loads.
    pub(in crate::plan) fn new(
        clock: &Clock<'_>,
        drops: &[DropLine],
        step: &str,
        loads: i64,
    ) -> Result<Self, OutOfCalendar> {
        let mut all = Self { of: Vec::with_capacity(drops.len()), misfit: None };
        for drop in drops {
            let found = clock.route_of(drop.product).and_then(|route| {
                let at = route.steps.iter().position(|found| found.name == step)?;
                let pin = Pin::drop(route, drop.at);
                let work = Work { loads, pieces: drop.pieces };
                Some(clock.starts(route, work, at, &[pin]))
            });
            let set = match found {
                Some(Ok(set)) => Some(set),
                Some(Err(ScheduleError::OutOfCalendar(error))) => return Err(error),
                Some(Err(error)) => {
                    all.misfit.get_or_insert(error);
                    None
                }
                None => None,
            };
            all.of.push(set);
        }
        Ok(all)
    }

    /// The starts that suit all drops that fit at all; none if no drop does.
    pub(in crate::plan) fn together(&self) -> Option<Spans> {
        let mut sets = self.of.iter().flatten();
        let first = sets.next()?.clone();
        Some(sets.fold(first, |together, set| together.intersect(set)))
    }

    /// For each drop the number of its mix, from 0, in as few mixes as possible.
    ///
    /// A drop that fits at no time goes with the first mix. Of equally few mixes those
    /// with the latest starts are taken, and a drop goes into the latest that suits it.
    pub(in crate::plan) fn split(&self) -> Vec<usize> {
        let sets: Vec<(usize, &Spans)> =
            self.of.iter().enumerate().filter_map(|(at, set)| Some((at, set.as_ref()?))).collect();
        let mut chosen = fewest(&sets.iter().map(|(_, set)| *set).collect::<Vec<_>>());
        chosen.sort_unstable_by(|a, b| b.cmp(a));
        let mut mix_of = vec![0; self.of.len()];
        // Only minutes that somebody takes, in order of their first drop.
        let mut taken: Vec<i64> = Vec::new();
        for &(at, set) in &sets {
            let Some(&start) = chosen.iter().find(|start| set.contains(**start)) else { continue };
            mix_of[at] = taken.iter().position(|known| *known == start).unwrap_or_else(|| {
                taken.push(start);
                taken.len() - 1
            });
        }
        mix_of
    }
}

/// Fewest minutes so that each set has one of them.
fn fewest(sets: &[&Spans]) -> Vec<i64> {
    // A minute that suits most lies at the end of a span of one of them.
    let mut minutes: Vec<i64> =
        sets.iter().flat_map(|set| set.iter().map(|(_, last)| last)).collect();
    minutes.sort_unstable_by(|a, b| b.cmp(a));
    minutes.dedup();
    let greedy = greedy(sets, &minutes);
    if sets.len() > SHARED_MAX {
        return greedy;
    }
    let suits = |minute: i64| {
        (0..sets.len()).filter(|&at| sets[at].contains(minute)).fold(0_u64, |all, at| all | 1 << at)
    };
    let mut choices: Vec<(i64, u64)> = Vec::new();
    for &minute in &minutes {
        let mask = suits(minute);
        if !choices.iter().any(|(_, other)| mask & !other == 0) {
            choices.retain(|(_, other)| other & !mask != 0);
            choices.push((minute, mask));
        }
    }
    let all = suits_all(sets.len());
    let mut ways = 0;
    for count in 1..greedy.len() {
        let mut chosen = Vec::with_capacity(count);
        if cover(&choices, all, count, &mut chosen, &mut ways) {
            return chosen;
        }
        if ways > WAYS_MAX {
            break;
        }
    }
    greedy
}

/// One bit for each of some sets.
const fn suits_all(count: usize) -> u64 {
    if count >= SHARED_MAX { u64::MAX } else { (1 << count) - 1 }
}

/// Whether so many choices cover what is left; the first set left decides what is tried.
fn cover(
    choices: &[(i64, u64)],
    left: u64,
    count: usize,
    chosen: &mut Vec<i64>,
    ways: &mut u32,
) -> bool {
    if left == 0 {
        return true;
    }
    *ways += 1;
    if count == 0 || *ways > WAYS_MAX {
        return false;
    }
    let first = 1 << left.trailing_zeros();
    for &(minute, mask) in choices.iter().filter(|(_, mask)| mask & first != 0) {
        chosen.push(minute);
        if cover(choices, left & !mask, count - 1, chosen, ways) {
            return true;
        }
        chosen.pop();
    }
    false
}

/// The minute that suits most of those left, again and again.
fn greedy(sets: &[&Spans], minutes: &[i64]) -> Vec<i64> {
    let mut left: Vec<&Spans> = sets.to_vec();
    let mut chosen = Vec::new();
    while !left.is_empty() {
        let suits = |minute: i64| left.iter().filter(|set| set.contains(minute)).count();
        // Of equally good ones the first, which is the latest.
        let best = minutes.iter().rev().copied().max_by_key(|&minute| suits(minute));
        let Some(best) = best.filter(|&minute| suits(minute) > 0) else { break };
        left.retain(|set| !set.contains(best));
        chosen.push(best);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(of: &[&[(i64, i64)]]) -> Vec<usize> {
        let of = of.iter().map(|spans| Some(Spans::of(spans.to_vec()))).collect();
        Starts { of, misfit: None }.split()
    }

    #[test]
    fn products_without_a_common_start_are_split_into_as_few_mixes_as_possible() {
        assert_eq!(split(&[&[(0, 10)], &[(5, 20)], &[(8, 9)]]), [0, 0, 0]);
        assert_eq!(split(&[&[(0, 10)], &[(11, 20)], &[(8, 12)]]), [0, 1, 1], "the later start");
        // Greedy takes the minute that suits three first and needs three mixes then.
        let sets: [&[(i64, i64)]; 6] = [
            &[(30, 30), (50, 50)],
            &[(30, 30), (40, 40)],
            &[(50, 50), (60, 60)],
            &[(40, 40), (60, 60)],
            &[(50, 50)],
            &[(40, 40)],
        ];
        assert_eq!(split(&sets), [0, 1, 0, 1, 0, 1]);
    }

    #[test]
    fn a_drop_that_fits_at_no_time_goes_with_the_first_mix() {
        let of = vec![Some(Spans::between(1, 2)), None, Some(Spans::between(5, 6))];
        let starts = Starts { of, misfit: None };
        assert_eq!(starts.together(), Some(Spans::EMPTY));
        assert_eq!(starts.split(), [0, 0, 1]);
        assert_eq!(Starts { of: vec![None], misfit: None }.together(), None);
    }
}
