//! Traces: which lots went into which, how many steps on and with what exact share.
//!
//! Lots pass into other lots through passages: a load, or a part that was carried away and
//! became a lot of its own. A trace walks them from one lot, forwards to everything that it
//! went into or back to everything that it came from. No link is dropped, however small its
//! share; lots that feed each other in a ring are met once.

mod links;
mod passages;
mod share;

pub use passages::{Document, Making, Posting, passages};
pub use share::Share;

use crate::ratio::{Overflow, Ratio};
use jiff::Timestamp;
use links::{Links, Side};

use std::collections::VecDeque;

/// Most lots that one trace meets; more is refused whole, never cut.
pub const LOTS_MAX: usize = 200_000;

/// Which way a trace walks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// To everything that the lot went into.
    Forwards,
    /// To everything that the lot came from.
    Back,
}

/// What a passage is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PassageKind {
    /// A load, or pieces made out of it: one generation.
    Made,
    /// A part of a lot that became a lot of its own: the same generation.
    Split,
}

/// A lot at one end of a passage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// Its number in the trace.
    pub lot: u32,
    /// How much of it, in millionths of its base unit; never below zero.
    pub micro: i64,
    /// The same in micrograms; none if it has no weight on record.
    pub mass_ug: Option<Ratio>,
    /// Whether the book says so; else it is only possible, as in a bin with several lots.
    pub certain: bool,
}

/// One way from lots into lots.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passage {
    /// What it is.
    pub kind: PassageKind,
    /// When what it gave was there.
    pub at: Timestamp,
    /// What went in.
    pub inputs: Vec<Part>,
    /// What came out; nothing if nobody wrote down what became of it.
    pub outputs: Vec<Part>,
    /// What went in besides and is in no lot, such as water: micrograms.
    pub untracked_ug: Ratio,
}

/// What is traced.
#[derive(Debug, Clone, Copy)]
pub struct TraceInput<'a> {
    /// The ways between lots.
    pub passages: &'a [Passage],
    /// For each lot, all that ever came into it, in millionths of its base unit.
    pub came_micro: &'a [i64],
    /// The lot that is asked for.
    pub origin: u32,
    /// Which way.
    pub direction: Direction,
}

/// A lot that a trace met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReachedLot {
    /// Its number.
    pub lot: u32,
    /// Loads and product lots passed, the shortest way; 0 for the lot itself and its parts.
    pub generation: u32,
    /// Forwards: how much of it is the lot that is asked for. Back: how much of that lot it is.
    pub share: Share,
    /// Whether the share is known; else something on the way has no weight on record.
    pub known: bool,
    /// Whether the book says so; else it is only possible.
    pub certain: bool,
}

/// A passage that a trace met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReachedPassage {
    /// Its position among the passages.
    pub passage: u32,
    /// Loads and product lots passed up to it, itself included.
    pub generation: u32,
    /// As of its lots.
    pub share: Share,
    /// As of its lots.
    pub known: bool,
    /// As of its lots.
    pub certain: bool,
}

/// All that a lot went into, or came from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Trace {
    /// Lots by generation, then number; the lot itself first.
    pub lots: Vec<ReachedLot>,
    /// Passages by generation, then time.
    pub passages: Vec<ReachedPassage>,
    /// Whether lots feed each other in a ring: then shares in it are at least what is said.
    pub ring: bool,
}

/// Walks from a lot, each passage once.
///
/// A share is by mass of all that went in, water included; a lot that was filled several
/// times has the share of each filling by its size.
///
/// # Errors
/// [`Overflow`] if the masses of one passage are beyond exact arithmetic.
///
/// # Source
/// The trade rules, part 4, trace; reading R25 for share and generation.
pub fn trace(input: TraceInput<'_>) -> Result<Trace, Overflow> {
    let links = Links::new(input)?;
    let mut walk = Walk::new(&links, input);
    walk.measure();
    walk.share();
    Ok(walk.finish())
}

/// What is known of a lot or a passage while it is walked.
#[derive(Debug, Clone)]
struct Spot {
    generation: u32,
    share: Share,
    known: bool,
    certain: bool,
}

const FAR: u32 = u32::MAX;

impl Spot {
    const fn far() -> Self {
        Self { generation: FAR, share: Share::ZERO, known: true, certain: false }
    }

    fn take(&mut self, from: &Self, weight: Option<Ratio>, certain: bool) {
        match weight {
            Some(weight) => self.share.add_part(&from.share, weight),
            None => self.known = false,
        }
        self.known &= from.known;
        self.certain |= from.certain && certain;
    }
}

struct Walk<'a> {
    links: &'a Links,
    input: TraceInput<'a>,
    lots: Vec<Spot>,
    through: Vec<Spot>,
    ring: bool,
}

impl<'a> Walk<'a> {
    fn new(links: &'a Links, input: TraceInput<'a>) -> Self {
        let mut lots = vec![Spot::far(); input.came_micro.len()];
        if let Some(origin) = lots.get_mut(input.origin as usize) {
            *origin = Spot { generation: 0, share: Share::ONE, known: true, certain: true };
        }
        let through = vec![Spot::far(); input.passages.len()];
        Self { links, input, lots, through, ring: false }
    }

    /// Generations, the shortest way: a passage that makes something costs one.
    fn measure(&mut self) {
        let mut next: VecDeque<u32> = VecDeque::from([self.input.origin]);
        while let Some(lot) = next.pop_front() {
            let Some(here) = self.lots.get(lot as usize).map(|spot| spot.generation) else {
                continue;
            };
            for &passage in self.links.out_of(lot) {
                let made = self.input.passages[passage as usize].kind == PassageKind::Made;
                let there = here + u32::from(made);
                let spot = &mut self.through[passage as usize];
                if there >= spot.generation {
                    continue;
                }
                spot.generation = there;
                for part in self.links.to(passage) {
                    let found = &mut self.lots[part.lot as usize];
                    if there < found.generation {
                        found.generation = there;
                        if made { next.push_back(part.lot) } else { next.push_front(part.lot) }
                    }
                }
            }
        }
    }

    /// Shares, each passage once, after all that feed it; in a ring the earliest first.
    fn share(&mut self) {
        let reached: Vec<u32> = (0_u32..)
            .zip(&self.through)
            .filter(|(_, spot)| spot.generation != FAR)
            .map(|(at, _)| at)
            .collect();
        // How many passages still feed a lot, and how many lots of a passage still wait.
        let mut feeds = vec![0_u32; self.lots.len()];
        for &passage in &reached {
            for part in self.links.to(passage).filter(|part| part.lot != self.input.origin) {
                feeds[part.lot as usize] += 1;
            }
        }
        let waits = |feeds: &[u32], passage: u32| {
            self.links.from(passage).filter(|part| feeds[part.lot as usize] > 0).count()
        };
        let mut waiting: Vec<usize> = vec![0; self.through.len()];
        let mut ready = VecDeque::new();
        for &passage in &reached {
            waiting[passage as usize] = waits(&feeds, passage);
            if waiting[passage as usize] == 0 {
                ready.push_back(passage);
            }
        }
        let mut late = reached;
        late.sort_by_key(|&at| {
            let passage = &self.input.passages[at as usize];
            match self.input.direction {
                Direction::Forwards => (passage.at.as_nanosecond(), at),
                Direction::Back => (-passage.at.as_nanosecond(), at),
            }
        });
        let mut late = late.into_iter();
        let mut done = vec![false; self.through.len()];
        loop {
            let passage = match ready.pop_front() {
                Some(passage) => passage,
                None => match late.find(|&at| !done[at as usize]) {
                    Some(passage) => {
                        self.ring = true;
                        passage
                    }
                    None => return,
                },
            };
            if std::mem::replace(&mut done[passage as usize], true) {
                continue;
            }
            self.pass(passage);
            for part in self.links.to(passage).filter(|part| part.lot != self.input.origin) {
                let left = &mut feeds[part.lot as usize];
                *left -= 1;
                if *left > 0 {
                    continue;
                }
                for &after in self.links.out_of(part.lot) {
                    let waits = &mut waiting[after as usize];
                    *waits = waits.saturating_sub(1);
                    if *waits == 0 && !done[after as usize] {
                        ready.push_back(after);
                    }
                }
            }
        }
    }

    /// Carries shares through one passage.
    fn pass(&mut self, passage: u32) {
        let mut spot =
            Spot { generation: self.through[passage as usize].generation, ..Spot::far() };
        for part in self.links.from(passage) {
            let from = &self.lots[part.lot as usize];
            if from.generation != FAR {
                spot.take(from, part.weight, part.certain);
            }
        }
        for part in self.links.to(passage).filter(|part| part.lot != self.input.origin) {
            self.lots[part.lot as usize].take(&spot, part.weight, part.certain);
        }
        self.through[passage as usize] = spot;
    }

    fn finish(self) -> Trace {
        let mut lots: Vec<ReachedLot> = (0_u32..)
            .zip(self.lots)
            .filter(|(_, spot)| spot.generation != FAR)
            .map(|(lot, spot)| {
                let Spot { generation, share, known, certain } = spot;
                ReachedLot { lot, generation, share, known, certain }
            })
            .collect();
        let origin = self.input.origin;
        lots.sort_by_key(|found| (found.generation, found.lot != origin, found.lot));
        let mut passages: Vec<ReachedPassage> = (0_u32..)
            .zip(self.through)
            .filter(|(_, spot)| spot.generation != FAR)
            .map(|(passage, spot)| {
                let Spot { generation, share, known, certain } = spot;
                ReachedPassage { passage, generation, share, known, certain }
            })
            .collect();
        passages.sort_by_key(|found| {
            (found.generation, self.input.passages[found.passage as usize].at, found.passage)
        });
        Trace { lots, passages, ring: self.ring }
    }
}

impl Direction {
    /// The side of a passage that a walk comes from.
    const fn from(self) -> Side {
        match self {
            Self::Forwards => Side::Inputs,
            Self::Back => Side::Outputs,
        }
    }
}

#[cfg(test)]
mod tests;
