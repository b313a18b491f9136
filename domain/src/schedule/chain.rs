//! A route as a chain of moments with bounds between them.

use super::{Hours, Pin, Work, length};
use crate::{route::Route, spans::Spans};
use std::cell::Cell;

/// Before all minutes of all calendars, with room to count on.
pub(super) const FAR_BACK: i64 = i64::MIN / 4;
/// Minutes before all settled moments in which an answer is looked for: 40 days.
const LOOK_AROUND: i64 = 40 * 24 * 60;
/// Minutes that are tried one by one before a question is given up.
const CHOICES_MAX: u32 = 200_000;
/// Lengths that are tried for a window inside a bound that does not count it.
const VARIANTS_MAX: i64 = 20_000;

/// One step: how far its end lies from its start, and who must be there.
#[derive(Debug, Clone)]
struct Link<'a> {
    least: i64,
    most: i64,
    /// Minutes at which it may start.
    start: Option<&'a Spans>,
    /// Minutes at which it may end.
    end: Option<&'a Spans>,
    /// It lies in one span of these from start to end.
    attended: Option<&'a Spans>,
}

/// How far one moment may lie after another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Bound {
    from: usize,
    to: usize,
    least: i64,
    most: i64,
}

/// Steps of a sum that is bounded, with windows between them that do not count.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Parted {
    from: usize,
    to: usize,
    most: i64,
    between: Vec<usize>,
}

/// Moment `i` is the start of step `i` and the end of the step before it.
#[derive(Debug, Clone)]
pub(super) struct Chain<'a> {
    links: Vec<Link<'a>>,
    bounds: Vec<Bound>,
    parted: Vec<Parted>,
    choices: Cell<u32>,
}

impl<'a> Chain<'a> {
    /// The moments of a route; `mirrored` with time running backwards, for hours that do.
    pub(super) fn new(hours: &'a Hours, route: &Route, work: Work, mirrored: bool) -> Self {
        let mut links = Vec::with_capacity(route.steps.len());
        for step in &route.steps {
            let (least, most) = length(&step.length, work);
            let start = step.start_team.as_ref().map(|team| hours.of(team));
            let attended = step.team.as_ref().map(|team| hours.of(team));
            links.push(Link { least, most: most.max(least), start, end: None, attended });
        }
        let mut chain =
            Self { links, bounds: Vec::new(), parted: Vec::new(), choices: Cell::new(0) };
        for limit in &route.limits {
            let named = |name: &String| route.steps.iter().position(|step| step.name == *name);
            let counted: Vec<usize> = limit.steps.iter().filter_map(named).collect();
            chain.limit(&counted, limit.most_minutes);
        }
        for age in &route.ages {
            let named = |name: &String| route.steps.iter().position(|step| step.name == *name);
            let (Some(after), Some(to)) = (named(&age.after), named(&age.before)) else { continue };
            let (least, most) = (age.least_minutes, age.most_minutes);
            if after < to {
                chain.bound(Bound { from: after + 1, to, least, most });
            }
        }
        if mirrored {
            chain.mirror();
        }
        chain
    }

    /// Bounds the sum of some steps.
    fn limit(&mut self, counted: &[usize], most: i64) {
        let (Some(&from), Some(&last)) = (counted.iter().min(), counted.iter().max()) else {
            return;
        };
        let others = || (from..=last).filter(|step| !counted.contains(step));
        let fixed = |step: &usize| self.links[*step].least == self.links[*step].most;
        let sum: i64 = others().filter(fixed).map(|step| self.links[step].least).sum();
        let between: Vec<usize> = others().filter(|step| !fixed(step)).collect();
        let (to, most) = (last + 1, most + sum);
        if between.is_empty() {
            self.bound(Bound { from, to, least: 0, most });
        } else {
            self.parted.push(Parted { from, to, most, between });
        }
    }

    /// Keeps a bound, unless the steps between keep it anyway.
    fn bound(&mut self, bound: Bound) {
        let (least, most) = self.apart(bound.from, bound.to);
        if least < bound.least || most > bound.most {
            self.bounds.push(bound);
        }
    }

    /// Whether no lengths of the steps between keep a bound.
    fn contradicts(&self, bound: &Bound) -> bool {
        let (least, most) = self.apart(bound.from, bound.to);
        most < bound.least || least > bound.most
    }

    /// How far two moments lie apart by the steps between them.
    fn apart(&self, from: usize, to: usize) -> (i64, i64) {
        let between = self.links[from..to].iter();
        between.fold((0, 0), |(least, most), link| (least + link.least, most + link.most))
    }

    fn mirror(&mut self) {
        let count = self.links.len();
        self.links.reverse();
        for link in &mut self.links {
            std::mem::swap(&mut link.start, &mut link.end);
        }
        for bound in &mut self.bounds {
            (bound.from, bound.to) = (count - bound.to, count - bound.from);
        }
        for parted in &mut self.parted {
            (parted.from, parted.to) = (count - parted.to, count - parted.from);
            parted.between.iter_mut().for_each(|step| *step = count - 1 - *step);
        }
    }

    /// The chain itself, or one for each length of the windows that a sum leaves out.
    pub(super) fn variants(&self) -> impl Iterator<Item = Self> + '_ {
        let mut windows: Vec<usize> =
            self.parted.iter().flat_map(|parted| parted.between.iter().copied()).collect();
        windows.sort_unstable();
        windows.dedup();
        let lengths = |step: usize| self.links[step].most - self.links[step].least + 1;
        let count = windows.iter().fold(1_i64, |count, &step| count.saturating_mul(lengths(step)));
        (0..count.min(VARIANTS_MAX)).map(move |mut number| {
            let mut chain = self.clone();
            for &step in &windows {
                let link = &mut chain.links[step];
                let length = link.least + number % lengths(step);
                number /= lengths(step);
                (link.least, link.most) = (length, length);
            }
            for parted in std::mem::take(&mut chain.parted) {
                let left_out: i64 = parted.between.iter().map(|&at| chain.links[at].least).sum();
                let (from, to) = (parted.from, parted.to);
                chain.bound(Bound { from, to, least: 0, most: parted.most + left_out });
            }
            chain
        })
    }

    /// The latest minute of each moment, if all fit.
    pub(super) fn latest(&self, pins: &[Pin]) -> Option<Vec<i64>> {
        let count = self.links.len();
        let mut lower = vec![FAR_BACK; count + 1];
        let mut upper = vec![-FAR_BACK; count + 1];
        for pin in pins {
            lower[pin.moment] = lower[pin.moment].max(pin.first);
            upper[pin.moment] = upper[pin.moment].min(pin.last);
        }
        // What lies far before all else cannot be right: it ends the search.
        let longest: i64 = self.links.iter().map(|link| link.most).sum();
        let end = *upper.iter().min()? - longest - LOOK_AROUND;
        for low in &mut lower {
            *low = (*low).max(end);
        }
        if self.bounds.iter().any(|bound| self.contradicts(bound)) {
            return None;
        }
        loop {
            let before = upper.clone();
            for (at, link) in self.links.iter().enumerate().rev() {
                (upper[at], upper[at + 1]) = link.latest(upper[at], upper[at + 1])?;
            }
            for bound in &self.bounds {
                upper[bound.from] = upper[bound.from].min(upper[bound.to] - bound.least);
                upper[bound.to] = upper[bound.to].min(upper[bound.from] + bound.most);
            }
            if upper.iter().zip(&lower).any(|(upper, lower)| upper < lower) {
                return None;
            }
            if upper == before {
                return Some(upper);
            }
        }
    }

    /// All minutes of a moment; none if there are too many choices to try.
    pub(super) fn starts(&self, moment: usize, pins: &[Pin]) -> Option<Spans> {
        let count = self.links.len();
        if self.bounds.iter().any(|bound| self.contradicts(bound)) {
            return Some(Spans::EMPTY);
        }
        let drop = pins.iter().filter(|pin| pin.moment == count);
        let all = Spans::between(FAR_BACK, -FAR_BACK);
        let drop = drop.fold(all, |drop, pin| drop.within(pin.first, pin.last));
        let mut pins = pins.to_vec();
        self.choices.set(0);
        let found = self.reach(count, drop, &mut pins, moment);
        (self.choices.get() <= CHOICES_MAX).then_some(found)
    }

    /// Minutes of moment `target` from which some of `set` can be reached at `moment`.
    fn reach(
        &self,
        mut moment: usize,
        mut set: Spans,
        pins: &mut Vec<Pin>,
        target: usize,
    ) -> Spans {
        let open = pins.len();
        loop {
            set = pinned(set, pins, moment);
            if set.is_empty() || moment == target {
                break;
            }
            let mut closing = self.bounds.iter().filter(|bound| bound.to == moment).peekable();
            if closing.peek().is_some() {
                let Some(minute) = set.single() else {
                    let reach = |minute, pins: &mut Vec<Pin>| {
                        self.reach(moment, Spans::minute(minute), pins, target)
                    };
                    set = self.each(&set, pins, reach);
                    pins.truncate(open);
                    return set;
                };
                pins.extend(closing.map(|bound| bound.seen_from(minute)));
            }
            moment -= 1;
            set = self.links[moment].back(&set);
        }
        if target > 0 && !set.is_empty() {
            // All bounds that end later are pins by now: what lies before decides alone.
            set = set.intersect(&self.arrive(&set, pins, target));
        }
        pins.truncate(open);
        set
    }

    /// Minutes of a moment that can be reached from what lies before it.
    fn arrive(&self, wanted: &Spans, pins: &mut Vec<Pin>, target: usize) -> Spans {
        let mut first = wanted.clone();
        for moment in (0..target).rev() {
            first = pinned(self.links[moment].back(&first), pins, moment);
        }
        self.ahead(0, first, pins, target)
    }

    /// Minutes of moment `target` that can be reached from some of `set` at `moment`.
    fn ahead(
        &self,
        mut moment: usize,
        mut set: Spans,
        pins: &mut Vec<Pin>,
        target: usize,
    ) -> Spans {
        let open = pins.len();
        loop {
            set = pinned(set, pins, moment);
            if set.is_empty() || moment == target {
                break;
            }
            let opens = |bound: &&Bound| bound.from == moment && bound.to <= target;
            let mut opening = self.bounds.iter().filter(opens).peekable();
            if opening.peek().is_some() {
                let Some(minute) = set.single() else {
                    let ahead = |minute, pins: &mut Vec<Pin>| {
                        self.ahead(moment, Spans::minute(minute), pins, target)
                    };
                    set = self.each(&set, pins, ahead);
                    break;
                };
                pins.extend(opening.map(|bound| bound.seen_to(minute)));
            }
            set = self.links[moment].forth(&set);
            moment += 1;
        }
        pins.truncate(open);
        set
    }

    /// The same for each minute of a set alone.
    fn each(
        &self,
        set: &Spans,
        pins: &mut Vec<Pin>,
        answer: impl Fn(i64, &mut Vec<Pin>) -> Spans,
    ) -> Spans {
        let mut found = Vec::new();
        for minute in set.minutes() {
            self.choices.set(self.choices.get() + 1);
            if self.choices.get() > CHOICES_MAX {
                break;
            }
            found.extend(answer(minute, pins).iter());
        }
        Spans::of(found)
    }

    /// The last step that never fitted, and by how many minutes.
    pub(super) fn misfit(&self, pins: &[Pin]) -> (usize, Option<i64>) {
        let all = || Spans::between(FAR_BACK, -FAR_BACK);
        let mut set = pinned(all(), pins, self.links.len());
        for (step, link) in self.links.iter().enumerate().rev() {
            let allowed = pinned(all(), pins, step);
            let before = link.back(&set).intersect(&allowed);
            if before.is_empty() {
                return (step, link.shift_needed(&set, &allowed));
            }
            set = before;
        }
        self.over_age(pins)
    }

    /// The step that ends the first bound that does not hold, and its excess.
    fn over_age(&self, pins: &[Pin]) -> (usize, Option<i64>) {
        let fits = |bounds: Vec<Bound>| {
            Self { bounds, ..self.clone() }.variants().any(|chain| chain.latest(pins).is_some())
        };
        let alone = self.bounds.iter().find(|bound| !fits(vec![**bound]));
        let Some(bound) = alone.or_else(|| self.bounds.first()) else { return (0, None) };
        let given = |minutes: i64| {
            let give = |bound: &Bound| Bound {
                least: bound.least - minutes,
                most: bound.most + minutes,
                ..*bound
            };
            fits(self.bounds.iter().map(give).collect())
        };
        let (mut too_few, mut enough) = (0, 1);
        while !given(enough) {
            (too_few, enough) = (enough, enough * 2);
            if enough > 1 << 20 {
                return (bound.to.saturating_sub(1), None);
            }
        }
        while enough - too_few > 1 {
            let middle = i64::midpoint(too_few, enough);
            if given(middle) { enough = middle } else { too_few = middle }
        }
        (bound.to.saturating_sub(1), Some(enough))
    }
}

impl Bound {
    /// What it leaves for its first moment once the second is settled.
    const fn seen_from(&self, minute: i64) -> Pin {
        Pin { moment: self.from, first: minute - self.most, last: minute - self.least }
    }

    /// What it leaves for its second moment once the first is settled.
    const fn seen_to(&self, minute: i64) -> Pin {
        Pin { moment: self.to, first: minute + self.least, last: minute + self.most }
    }
}

impl Link<'_> {
    /// The latest start and end that are not after two minutes.
    fn latest(&self, start: i64, end: i64) -> Option<(i64, i64)> {
        let (mut start, mut end) = (start, end);
        loop {
            let before = (start, end);
            if let Some(hours) = self.attended {
                let (from, to) = hours.span_at(end.min(hours.latest_until(end)?))?;
                end = end.min(to);
                start = start.min(end - self.least);
                if start < from {
                    // Not in this span: the one before it.
                    end = hours.latest_until(from - 1)?;
                    continue;
                }
            }
            start = start.min(end - self.least);
            if let Some(hours) = self.start {
                start = hours.latest_until(start)?;
            }
            end = end.min(start.saturating_add(self.most));
            if let Some(hours) = self.end {
                end = hours.latest_until(end)?;
            }
            if (start, end) == before {
                return Some(before);
            }
        }
    }

    /// The starts that lead to some of these ends.
    fn back(&self, ends: &Spans) -> Spans {
        both(ends, (-self.most, -self.least), (self.end, self.attended, self.start))
    }

    /// The ends that follow from some of these starts.
    fn forth(&self, starts: &Spans) -> Spans {
        both(starts, (self.least, self.most), (self.start, self.attended, self.end))
    }

    /// Fewest minutes by which the step would have to move.
    fn shift_needed(&self, ends: &Spans, allowed: &Spans) -> Option<i64> {
        let wanted = ends.widen(-self.most, -self.least);
        let mut allowed = allowed.clone();
        if let Some(hours) = self.attended {
            allowed = allowed.intersect(&hours.shorten(self.least));
        }
        if let Some(hours) = self.start {
            allowed = allowed.intersect(hours);
        }
        wanted.distance(&allowed)
    }
}

/// Minutes of a moment that its pins leave.
fn pinned(set: Spans, pins: &[Pin], moment: usize) -> Spans {
    let mine = pins.iter().filter(|pin| pin.moment == moment);
    mine.fold(set, |set, pin| set.within(pin.first, pin.last))
}

/// Minutes that lie so far from some others, each in its hours, both in one stay of a team.
fn both(
    others: &Spans,
    (from, to): (i64, i64),
    (theirs, together, own): (Option<&Spans>, Option<&Spans>, Option<&Spans>),
) -> Spans {
    let others = theirs.map_or_else(|| others.clone(), |hours| others.intersect(hours));
    let minutes = match together {
        None => others.widen(from, to),
        Some(hours) => {
            let (Some(first), Some(last)) = (others.earliest(), others.latest()) else {
                return Spans::EMPTY;
            };
            let mut minutes = Vec::new();
            for (opens, closes) in hours.iter().filter(|&(a, b)| a <= last && b >= first) {
                let inside = others.within(opens, closes).widen(from, to);
                minutes.extend(inside.within(opens, closes).iter());
            }
            Spans::of(minutes)
        }
    };
    own.map_or_else(|| minutes.clone(), |hours| minutes.intersect(hours))
}
