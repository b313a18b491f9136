//! Work on stations that take only so much at once.
//!
//! Runs are placed one after the other in the order they are given, each at the free
//! start next to the one it would like best. That is not the best timetable of all, but
//! it is the same each time and easy to follow; whatever finds a better one only has to
//! answer the same questions: [`Timetable::place`] and [`Timetable::free`].

use crate::spans::Spans;

/// What a station takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Station {
    /// Units that are alike, as one mixer or the decks of an oven: each with one setup
    /// at a time, and with room for so much of it if all of it goes in together.
    Units {
        /// How many there are.
        units: usize,
        /// What one of them takes.
        room: i64,
        /// Minutes from one setup to another, by their numbers; none from one to itself.
        changeover: Vec<Vec<i64>>,
    },
    /// Slots that are taken and given back, whatever is in them.
    Slots {
        /// How many there are.
        slots: i64,
    },
}

/// One piece of work on one station.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// Position of the station.
    pub station: usize,
    /// Minutes after the start of its run.
    pub offset: i64,
    /// How long it takes, in minutes.
    pub minutes: i64,
    /// Slots, or room in units.
    pub amount: i64,
    /// The setup that it needs of a unit.
    pub setup: usize,
}

/// Slots that are kept from some minutes after a run's start until a settled minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hold {
    /// Position of the station.
    pub station: usize,
    /// Minutes after the start of its run.
    pub offset: i64,
    /// The minute at which they are given back.
    pub until: i64,
    /// How many slots.
    pub amount: i64,
}

/// Work whose parts lie at fixed minutes of each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// Its parts; those on stations with units follow each other with one setup.
    pub tasks: Vec<Task>,
    /// What it leaves behind on a station.
    pub hold: Option<Hold>,
    /// The minutes at which it may start.
    pub allowed: Spans,
    /// The minute at which it would like to start.
    pub preferred: i64,
}

/// Where a run went.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placement {
    /// The minute at which it starts.
    pub start: i64,
    /// For each task the units that it occupies, with what it puts into each; none for slots.
    pub units: Vec<Vec<(usize, i64)>>,
}

/// A run that has no place; nothing of it is in the timetable.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clash {
    /// The station that has no place for it.
    pub station: usize,
    /// Fewest minutes by which its start would have to give; none if nothing helps.
    pub minutes: Option<i64>,
    /// The last free start before those allowed.
    pub earlier: Option<i64>,
    /// The first free start after those allowed.
    pub later: Option<i64>,
}

/// One setup in one unit from a start to an end.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Load {
    start: i64,
    end: i64,
    setup: usize,
    /// Room that is left for what goes in and comes out with it.
    room: i64,
}

/// What is taken of one station.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Taken {
    /// Loads of each unit in order.
    Units(Vec<Vec<Load>>),
    /// How many slots more or fewer are taken from a minute on, in order.
    Slots(Vec<(i64, i64)>),
}

/// Stations and what is taken of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timetable {
    stations: Vec<Station>,
    taken: Vec<Taken>,
}

/// So far before and after everything that nothing lies there.
const FAR: i64 = i64::MAX / 8;

impl Timetable {
    /// Empty stations.
    #[must_use]
    pub fn new(stations: Vec<Station>) -> Self {
        let empty = |station: &Station| match station {
            Station::Units { units, .. } => Taken::Units(vec![Vec::new(); *units]),
            Station::Slots { .. } => Taken::Slots(Vec::new()),
        };
        let taken = stations.iter().map(empty).collect();
        Self { stations, taken }
    }

    /// Places a run at the free start that is nearest to the preferred one.
    ///
    /// # Errors
    /// [`Clash`] if none of its starts is free.
    pub fn place(&mut self, run: &Run) -> Result<Placement, Clash> {
        let mut free = run.allowed.clone();
        for task in &run.tasks {
            free = free.intersect(&self.free_for(task));
            if free.is_empty() {
                return Err(self.clash(run, task.station));
            }
        }
        if let Some(hold) = &run.hold {
            free = free.intersect(&self.free_to_hold(hold));
        }
        let Some(start) = free.nearest(run.preferred) else {
            let station = run.hold.map_or(0, |hold| hold.station);
            return Err(self.clash(run, station));
        };
        let units = run.tasks.iter().map(|task| self.take(task, start)).collect();
        if let Some(hold) = &run.hold {
            self.take_slots(hold.station, start + hold.offset, hold.until, hold.amount);
        }
        Ok(Placement { start, units })
    }

    /// All starts at which a run has a place, whatever it is allowed.
    #[must_use]
    pub fn free(&self, run: &Run) -> Spans {
        let all = Spans::between(-FAR, FAR);
        let free = run.tasks.iter().fold(all, |free, task| free.intersect(&self.free_for(task)));
        match &run.hold {
            Some(hold) => free.intersect(&self.free_to_hold(hold)),
            None => free,
        }
    }

    fn clash(&self, run: &Run, station: usize) -> Clash {
        let free = self.free(run);
        let first = run.allowed.earliest().unwrap_or(run.preferred);
        let last = run.allowed.latest().unwrap_or(run.preferred);
        Clash {
            station,
            minutes: run.allowed.distance(&free),
            earlier: free.latest_until(first).filter(|start| *start > -FAR),
            later: free.earliest_from(last).filter(|start| *start < FAR),
        }
    }

    /// Starts of a run at which one of its tasks finds its station free.
    fn free_for(&self, task: &Task) -> Spans {
        let all = Spans::between(-FAR, FAR);
        if task.minutes <= 0 || task.amount <= 0 {
            return all;
        }
        match (&self.stations[task.station], &self.taken[task.station]) {
            (Station::Units { room, changeover, .. }, Taken::Units(units)) => {
                let wanted = units_for(task.amount, *room);
                let starts: Vec<Spans> = units
                    .iter()
                    .map(|loads| {
                        let alone = free_in_unit(loads, changeover, task);
                        if wanted == 1 { alone.union(&shared(loads, task)) } else { alone }
                    })
                    .collect();
                Spans::in_at_least(wanted, &starts).shift(-task.offset)
            }
            (Station::Slots { slots }, Taken::Slots(steps)) => {
                let full = overfull(steps, slots - task.amount);
                // A start is bad if any minute of the task is.
                let bad = full.widen(1 - task.minutes, 0);
                bad.gaps(-FAR, FAR).shift(-task.offset)
            }
            _ => all,
        }
    }

    /// Starts from which slots can be kept until the settled minute.
    fn free_to_hold(&self, hold: &Hold) -> Spans {
        let (Station::Slots { slots }, Taken::Slots(steps)) =
            (&self.stations[hold.station], &self.taken[hold.station])
        else {
            return Spans::between(-FAR, FAR);
        };
        let full = overfull(steps, slots - hold.amount);
        let from = full.latest_until(hold.until - 1).map_or(-FAR, |last| last + 1);
        Spans::between(from - hold.offset, FAR)
    }

    /// Takes a station for a task; its place was found free.
    fn take(&mut self, task: &Task, run_start: i64) -> Vec<(usize, i64)> {
        let start = run_start + task.offset;
        if task.minutes <= 0 || task.amount <= 0 {
            return Vec::new();
        }
        let Station::Units { room, changeover, .. } = &self.stations[task.station] else {
            self.take_slots(task.station, start, start + task.minutes, task.amount);
            return Vec::new();
        };
        let Taken::Units(units) = &mut self.taken[task.station] else { return Vec::new() };
        if task.amount <= *room {
            for (unit, loads) in units.iter_mut().enumerate() {
                let together = |load: &&mut Load| load.start == start && fits_into(load, task);
                if let Some(load) = loads.iter_mut().find(together) {
                    load.room -= task.amount;
                    return vec![(unit, task.amount)];
                }
            }
        }
        // Of the free units those that change over quickest, then in their own order.
        let mut choices: Vec<(i64, usize)> = Vec::new();
        for (unit, loads) in units.iter().enumerate() {
            if free_in_unit(loads, changeover, task).contains(start) {
                let before = loads.iter().rev().find(|load| load.end <= start);
                let minutes = before.map_or(0, |load| changeover[load.setup][task.setup]);
                choices.push((minutes, unit));
            }
        }
        choices.sort_unstable();
        let (mut left, mut taken) = (task.amount, Vec::new());
        for &(_, unit) in choices.iter().take(units_for(task.amount, *room)) {
            let amount = left.min(*room);
            left -= amount;
            let load =
                Load { start, end: start + task.minutes, setup: task.setup, room: room - amount };
            let loads = &mut units[unit];
            let at = loads.partition_point(|other| other.start < start);
            loads.insert(at, load);
            taken.push((unit, amount));
        }
        taken
    }

    fn take_slots(&mut self, station: usize, from: i64, until: i64, amount: i64) {
        let Taken::Slots(steps) = &mut self.taken[station] else { return };
        if from >= until || amount <= 0 {
            return;
        }
        for (minute, change) in [(from, amount), (until, -amount)] {
            let at = steps.partition_point(|(other, _)| *other < minute);
            match steps.get_mut(at) {
                Some((other, sum)) if *other == minute => *sum += change,
                _ => steps.insert(at, (minute, change)),
            }
        }
    }
}

/// Units that an amount fills.
fn units_for(amount: i64, room: i64) -> usize {
    let units = (amount + room.max(1) - 1) / room.max(1);
    usize::try_from(units).unwrap_or(usize::MAX)
}

/// Starts at which a unit is empty long enough, changeovers before and after included.
fn free_in_unit(loads: &[Load], changeover: &[Vec<i64>], task: &Task) -> Spans {
    let mut free = Vec::with_capacity(loads.len() + 1);
    let mut from = -FAR;
    for load in loads {
        free.push((from, load.start - changeover[task.setup][load.setup] - task.minutes));
        from = load.end + changeover[load.setup][task.setup];
    }
    free.push((from, FAR));
    Spans::of(free)
}

/// Starts at which a task goes in together with a load that is there.
fn shared(loads: &[Load], task: &Task) -> Spans {
    let together = loads.iter().filter(|load| fits_into(load, task));
    Spans::of(together.map(|load| (load.start, load.start)).collect())
}

/// Whether a task can go in and come out with a load.
const fn fits_into(load: &Load, task: &Task) -> bool {
    load.setup == task.setup && load.end - load.start == task.minutes && load.room >= task.amount
}

/// Minutes at which more than some slots are taken.
fn overfull(steps: &[(i64, i64)], most: i64) -> Spans {
    if most < 0 {
        return Spans::between(-FAR, FAR);
    }
    let (mut taken, mut full) = (0, Vec::new());
    for pair in steps.windows(2) {
        taken += pair[0].1;
        if taken > most {
            full.push((pair[0].0, pair[1].0 - 1));
        }
    }
    Spans::of(full)
}

#[cfg(test)]
mod tests;
