//! Sets of whole minutes, kept as sorted spans with both ends inside.
//!
//! A minute is a number of minutes on the line of instants, so a set knows nothing
//! of clocks on walls. All operations walk over spans, never over minutes.

/// A set of minutes: spans in order, neither touching nor overlapping.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Spans(Vec<(i64, i64)>);

impl Spans {
    /// No minute at all.
    pub const EMPTY: Self = Self(Vec::new());

    /// All minutes from the first to the last, both inside; none if the last is earlier.
    #[must_use]
    pub fn between(first: i64, last: i64) -> Self {
        if first <= last { Self(vec![(first, last)]) } else { Self::EMPTY }
    }

    /// One minute.
    #[must_use]
    pub fn minute(minute: i64) -> Self {
        Self(vec![(minute, minute)])
    }

    /// The minutes of any spans, in any order; a span that ends before it starts has none.
    #[must_use]
    pub fn of(mut spans: Vec<(i64, i64)>) -> Self {
        spans.retain(|&(first, last)| first <= last);
        spans.sort_unstable();
        Self::merged(spans)
    }

    /// Spans in order of their first minute, those that touch or overlap made one.
    fn merged(spans: Vec<(i64, i64)>) -> Self {
        let mut merged: Vec<(i64, i64)> = Vec::with_capacity(spans.len());
        for (first, last) in spans {
            match merged.last_mut() {
                Some(before) if first <= before.1.saturating_add(1) => {
                    before.1 = before.1.max(last);
                }
                _ => merged.push((first, last)),
            }
        }
        Self(merged)
    }

    /// Its spans in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (i64, i64)> + '_ {
        self.0.iter().copied()
    }

    /// Each of its minutes in order.
    pub fn minutes(&self) -> impl Iterator<Item = i64> + '_ {
        self.0.iter().flat_map(|&(first, last)| first..=last)
    }

    /// Whether it has no minute.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many minutes it has.
    #[must_use]
    pub fn len(&self) -> i64 {
        self.0.iter().map(|(first, last)| last - first + 1).sum()
    }

    /// Its minute, if it has just one.
    #[must_use]
    pub fn single(&self) -> Option<i64> {
        match self.0[..] {
            [(first, last)] if first == last => Some(first),
            _ => None,
        }
    }

    /// Whether a minute is in it.
    #[must_use]
    pub fn contains(&self, minute: i64) -> bool {
        self.span_at(minute).is_some()
    }

    /// The span that a minute lies in.
    #[must_use]
    pub fn span_at(&self, minute: i64) -> Option<(i64, i64)> {
        let span = self.before(minute).checked_sub(1).map(|at| self.0[at])?;
        (minute <= span.1).then_some(span)
    }

    /// How many spans start at a minute or before it.
    fn before(&self, minute: i64) -> usize {
        self.0.partition_point(|&(first, _)| first <= minute)
    }

    /// Its first minute.
    #[must_use]
    pub fn earliest(&self) -> Option<i64> {
        self.0.first().map(|&(first, _)| first)
    }

    /// Its last minute.
    #[must_use]
    pub fn latest(&self) -> Option<i64> {
        self.0.last().map(|&(_, last)| last)
    }

    /// Its last minute that is not after one.
    #[must_use]
    pub fn latest_until(&self, minute: i64) -> Option<i64> {
        let (_, last) = self.before(minute).checked_sub(1).map(|at| self.0[at])?;
        Some(last.min(minute))
    }

    /// Its first minute that is not before one.
    #[must_use]
    pub fn earliest_from(&self, minute: i64) -> Option<i64> {
        if self.contains(minute) {
            return Some(minute);
        }
        self.0.get(self.before(minute)).map(|&(first, _)| first)
    }

    /// Its minute next to one; of two equally near, the earlier.
    #[must_use]
    pub fn nearest(&self, minute: i64) -> Option<i64> {
        match (self.latest_until(minute), self.earliest_from(minute)) {
            (Some(before), Some(after)) if after - minute < minute - before => Some(after),
            (before, after) => before.or(after),
        }
    }

    /// Fewest minutes between one of its own and one of another set; none if one is empty.
    #[must_use]
    pub fn distance(&self, other: &Self) -> Option<i64> {
        let mut least: Option<i64> = None;
        let (mut mine, mut theirs) = (self.0.iter().peekable(), other.0.iter().peekable());
        while let (Some(&&(a, b)), Some(&&(c, d))) = (mine.peek(), theirs.peek()) {
            let apart = (c - b).max(a - d).max(0);
            least = Some(least.map_or(apart, |least| least.min(apart)));
            if b < d {
                mine.next()
            } else {
                theirs.next()
            };
        }
        least
    }

    /// Every minute moved by some minutes.
    #[must_use]
    pub fn shift(&self, by: i64) -> Self {
        Self(self.0.iter().map(|&(first, last)| (first + by, last + by)).collect())
    }

    /// Every minute replaced by those from `from` to `to` minutes after it, both inside.
    #[must_use]
    pub fn widen(&self, from: i64, to: i64) -> Self {
        if from > to {
            return Self::EMPTY;
        }
        Self::merged(self.0.iter().map(|&(first, last)| (first + from, last + to)).collect())
    }

    /// Every span shortened at its end: the starts of what takes so long and stays in it.
    #[must_use]
    pub fn shorten(&self, by: i64) -> Self {
        let shorter = self.0.iter().map(|&(first, last)| (first, last - by));
        Self(shorter.filter(|(first, last)| first <= last).collect())
    }

    /// The minutes of both.
    #[must_use]
    pub fn intersect(&self, other: &Self) -> Self {
        let mut both = Vec::new();
        let (Some(&(first, _)), Some(&(other_first, _))) = (self.0.first(), other.0.first()) else {
            return Self::EMPTY;
        };
        let mut mine = &self.0[self.before(other_first).saturating_sub(1)..];
        let mut theirs = &other.0[other.before(first).saturating_sub(1)..];
        while let ([(a, b), ..], [(c, d), ..]) = (mine, theirs) {
            let (first, last) = (*a.max(c), *b.min(d));
            if first <= last {
                both.push((first, last));
            }
            if b < d { mine = &mine[1..] } else { theirs = &theirs[1..] }
        }
        Self(both)
    }

    /// Its minutes from the first to the last, both inside.
    #[must_use]
    pub fn within(&self, first: i64, last: i64) -> Self {
        self.intersect(&Self::between(first, last))
    }

    /// The minutes of either.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        Self::of(self.0.iter().chain(&other.0).copied().collect())
    }

    /// The minutes from the first to the last, both inside, that are not in it.
    #[must_use]
    pub fn gaps(&self, first: i64, last: i64) -> Self {
        let mut gaps = Vec::with_capacity(self.0.len() + 1);
        let mut from = first;
        for &(a, b) in &self.0 {
            gaps.push((from, (a - 1).min(last)));
            from = from.max(b + 1);
        }
        gaps.push((from, last));
        gaps.retain(|(from, to)| from <= to);
        Self(gaps)
    }

    /// The same set with time running backwards.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        Self(self.0.iter().rev().map(|&(first, last)| (-last, -first)).collect())
    }

    /// The minutes that are in at least so many of some sets.
    #[must_use]
    pub fn in_at_least(count: usize, sets: &[Self]) -> Self {
        let mut edges: Vec<(i64, i64)> = Vec::new();
        for &(first, last) in sets.iter().flat_map(|set| &set.0) {
            edges.extend([(first, 1), (last + 1, -1)]);
        }
        edges.sort_unstable();
        let wanted = i64::try_from(count).unwrap_or(i64::MAX);
        let (mut inside, mut spans) = (0_i64, Vec::new());
        for pair in edges.chunk_by(|a, b| a.0 == b.0) {
            let after = inside + pair.iter().map(|(_, step)| step).sum::<i64>();
            match (inside >= wanted, after >= wanted) {
                (false, true) => spans.push((pair[0].0, pair[0].0)),
                (true, false) => {
                    if let Some(span) = spans.last_mut() {
                        span.1 = pair[0].0 - 1;
                    }
                }
                _ => {}
            }
            inside = after;
        }
        Self::merged(spans)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A set of the minutes 0 to 127, one bit each.
    fn bits(spans: &Spans) -> u128 {
        spans.minutes().filter(|m| (0..128).contains(m)).fold(0, |bits, m| bits | 1 << m)
    }

    /// Numbers that look like chance and are the same each time.
    struct Chance(u64);

    impl Chance {
        fn below(&mut self, bound: u64) -> i64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            i64::try_from(self.0 % bound).expect("small")
        }

        fn spans(&mut self) -> Spans {
            let count = self.below(6);
            let spans = (0..count).map(|_| {
                let first = 30 + self.below(60);
                (first, first + self.below(12) - 2)
            });
            Spans::of(spans.collect())
        }
    }

    fn well_formed(spans: &Spans) -> bool {
        spans.0.iter().all(|(first, last)| first <= last)
            && spans.0.windows(2).all(|pair| pair[0].1 + 1 < pair[1].0)
    }

    #[test]
    fn sets_do_what_bits_do() {
        let mut chance = Chance(0x5eed);
        for round in 0..4_000 {
            let (a, b) = (chance.spans(), chance.spans());
            let (x, y) = (bits(&a), bits(&b));
            let by = chance.below(25) - 12;
            let (from, to) = (chance.below(12) - 8, chance.below(12) - 4);
            let moved = |bits: u128, by: i64| {
                let steps = u32::try_from(by.abs()).expect("small");
                if by < 0 { bits >> steps } else { bits << steps }
            };
            let widened = (from..=to).fold(0, |all, by| all | moved(x, by));
            let long = chance.below(6);
            let shortened = (0..=long).fold(u128::MAX, |all, by| all & moved(x, -by));
            let inside = (40..=90).fold(0_u128, |all, minute| all | 1 << minute);
            for (name, set, expected) in [
                ("intersect", a.intersect(&b), x & y),
                ("union", a.union(&b), x | y),
                ("shift", a.shift(by), moved(x, by)),
                ("widen", a.widen(from, to), widened),
                ("shorten", a.shorten(long), shortened),
                ("within", a.within(40, 90), x & inside),
                ("gaps", a.gaps(40, 90), !x & inside),
                ("in both", Spans::in_at_least(2, &[a.clone(), b.clone()]), x & y),
                ("in either", Spans::in_at_least(1, &[a.clone(), b.clone()]), x | y),
                ("mirrored twice", a.mirrored().mirrored(), x),
            ] {
                assert_eq!(bits(&set), expected, "{name} in round {round} of {a:?} and {b:?}");
                assert!(well_formed(&set), "{name} in round {round}: {set:?}");
            }
        }
    }

    #[test]
    fn single_minutes_are_found_as_by_walking_all_of_them() {
        let mut chance = Chance(0xbee5);
        for _ in 0..2_000 {
            let (a, b) = (chance.spans(), chance.spans());
            let all: Vec<i64> = a.minutes().collect();
            let asked = 20 + chance.below(80);
            assert_eq!(a.len(), i64::try_from(all.len()).expect("small"));
            assert_eq!(a.contains(asked), all.contains(&asked));
            assert_eq!(a.earliest(), all.first().copied());
            assert_eq!(a.latest(), all.last().copied());
            let until = all.iter().filter(|&&m| m <= asked).max().copied();
            let from = all.iter().filter(|&&m| m >= asked).min().copied();
            assert_eq!((a.latest_until(asked), a.earliest_from(asked)), (until, from));
            assert_eq!(a.nearest(asked), all.iter().min_by_key(|m| (*m - asked).abs()).copied());
            let pairs = all.iter().flat_map(|m| b.minutes().map(move |n| (m - n).abs()));
            assert_eq!(a.distance(&b), pairs.min());
        }
    }

    #[test]
    fn spans_that_touch_are_one_and_backward_spans_are_none() {
        assert_eq!(Spans::of(vec![(5, 9), (1, 4), (20, 19)]), Spans::between(1, 9));
        assert_eq!(Spans::between(3, 2), Spans::EMPTY);
        assert_eq!(Spans::between(3, 3).single(), Some(3));
        assert_eq!(Spans::between(3, 4).single(), None);
        assert_eq!(Spans::between(3, 4).span_at(4), Some((3, 4)));
        assert_eq!(Spans::between(3, 4).span_at(5), None);
    }
}
