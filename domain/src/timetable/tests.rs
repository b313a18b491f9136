use super::*;

fn mixer(wash: i64) -> Station {
    Station::Units { units: 1, room: 1, changeover: vec![vec![0, 0], vec![wash, 0]] }
}

fn task(station: usize, offset: i64, minutes: i64, amount: i64, setup: usize) -> Task {
    Task { station, offset, minutes, amount, setup }
}

fn run(tasks: Vec<Task>, first: i64, last: i64, preferred: i64) -> Run {
    Run { tasks, hold: None, allowed: Spans::between(first, last), preferred }
}

#[test]
fn a_mixer_takes_one_load_at_a_time_and_the_second_goes_next_to_it() {
    let mut table = Timetable::new(vec![mixer(0)]);
    let two_loads =
        |preferred| run(vec![task(0, 0, 18, 1, 0), task(0, 23, 18, 1, 0)], 0, 200, preferred);
    assert_eq!(table.place(&two_loads(100)).map(|placed| placed.start), Ok(100));
    // Its two loads could only interlock with five minutes between them: they go before.
    assert_eq!(table.place(&two_loads(100)).map(|placed| placed.start), Ok(59));
    assert_eq!(table.place(&two_loads(120)).map(|placed| placed.start), Ok(141));
}

#[test]
fn a_mixer_is_washed_from_sesame_to_none_but_not_from_none_to_sesame() {
    // trade.md 6: free of X before X, a full clean between.
    let mut table = Timetable::new(vec![mixer(15)]);
    let place = |table: &mut Timetable, setup, preferred| {
        table.place(&run(vec![task(0, 0, 20, 1, setup)], 0, 500, preferred)).map(|p| p.start)
    };
    assert_eq!(place(&mut table, 0, 100), Ok(100));
    assert_eq!(place(&mut table, 1, 120), Ok(120));
    assert_eq!(place(&mut table, 0, 150), Ok(155), "15 minutes to wash after 140");
    assert_eq!(place(&mut table, 1, 100), Ok(65), "ends at 85, 15 minutes to wash before 100");
}

#[test]
fn a_run_that_fits_nowhere_says_how_far_off_it_is_and_is_not_in_the_table() {
    let mut table = Timetable::new(vec![mixer(0)]);
    table.place(&run(vec![task(0, 0, 60, 1, 0)], 100, 100, 100)).expect("empty");
    let stuck = run(vec![task(0, 0, 30, 1, 0)], 90, 140, 110);
    let expected = Clash { station: 0, minutes: Some(20), earlier: Some(70), later: Some(160) };
    assert_eq!(table.place(&stuck), Err(expected));
    assert_eq!(table.place(&run(vec![task(0, 0, 30, 1, 0)], 70, 70, 70)).map(|p| p.start), Ok(70));
}

#[test]
fn decks_heat_up_between_programs_and_goods_of_one_program_share_a_deck() {
    // trade.md 2.8: one program per deck load; trays of a product are its own.
    let changeover = vec![vec![0, 28], vec![35, 0]];
    let mut table = Timetable::new(vec![Station::Units { units: 2, room: 6, changeover }]);
    let place = |table: &mut Timetable, trays, setup, minutes, preferred| {
        table.place(&run(vec![task(0, 0, minutes, trays, setup)], 0, 300, preferred))
    };
    let placed = place(&mut table, 4, 0, 16, 200).expect("free");
    assert_eq!((placed.start, placed.units), (200, vec![vec![(0, 4)]]));
    let placed = place(&mut table, 2, 0, 16, 200).expect("free");
    assert_eq!((placed.start, placed.units), (200, vec![vec![(0, 2)]]), "with the first");
    let placed = place(&mut table, 9, 0, 16, 200).expect("free");
    assert_eq!(placed.start, 184, "two decks at once only before");
    assert_eq!(placed.units, [vec![(0, 6), (1, 3)]]);
    let placed = place(&mut table, 3, 1, 20, 210).expect("free");
    assert_eq!((placed.start, placed.units), (228, vec![vec![(1, 3)]]), "deck 2 heats from 200");
}

#[test]
fn slots_are_counted_and_a_hold_starts_after_the_last_full_minute() {
    let mut table = Timetable::new(vec![Station::Slots { slots: 10 }]);
    let place = |table: &mut Timetable, amount, preferred| {
        table.place(&run(vec![task(0, 0, 60, amount, 0)], 0, 1_000, preferred)).map(|p| p.start)
    };
    assert_eq!(place(&mut table, 6, 100), Ok(100));
    assert_eq!(place(&mut table, 4, 100), Ok(100));
    assert_eq!(place(&mut table, 1, 130), Ok(160));
    assert!(place(&mut table, 11, 130).is_err(), "more than there is");
    let mut shaped = run(vec![], 0, 400, 100);
    shaped.hold = Some(Hold { station: 0, offset: 20, until: 300, amount: 5 });
    assert_eq!(table.place(&shaped).map(|placed| placed.start), Ok(140), "full until 159");
    assert_eq!(place(&mut table, 6, 250), Ok(300), "five are kept until 300");
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

    fn index(&mut self, bound: u64) -> usize {
        usize::try_from(self.below(bound)).expect("small")
    }

    fn run(&mut self) -> Run {
        let count = 1 + self.below(3);
        let (mut offset, setup) = (0, self.index(3));
        let tasks = (0..count)
            .map(|_| {
                let (station, minutes) = (self.index(3), 1 + self.below(20));
                let task = task(
                    station,
                    offset,
                    minutes,
                    1 + self.below(if station == 0 { 1 } else { 8 }),
                    setup,
                );
                offset += minutes + self.below(4);
                task
            })
            .collect();
        let first = self.below(300);
        let hold = (self.below(4) == 0).then(|| Hold {
            station: 2,
            offset,
            until: first + offset + self.below(80),
            amount: 1 + self.below(4),
        });
        let last = match hold {
            // A hold ends after it begins.
            Some(hold) => hold.until - offset,
            None => first + self.below(60),
        };
        run(tasks, first, last, first + self.below(60)).with(hold)
    }
}

impl Run {
    fn with(self, hold: Option<Hold>) -> Self {
        Self { hold, ..self }
    }
}

fn stations() -> Vec<Station> {
    let changeover = vec![vec![0, 7, 3], vec![5, 0, 9], vec![2, 8, 0]];
    vec![
        Station::Units { units: 1, room: 1, changeover: changeover.clone() },
        Station::Units { units: 2, room: 5, changeover },
        Station::Slots { slots: 9 },
    ]
}

/// What a placed run does, told minute by minute: station, unit, from, to, setup, amount.
type Doing = (usize, usize, i64, i64, usize, i64);

fn doings(run: &Run, placed: &Placement) -> Vec<Doing> {
    let mut all = Vec::new();
    for (task, units) in run.tasks.iter().zip(&placed.units) {
        let from = placed.start + task.offset;
        let to = from + task.minutes;
        if units.is_empty() {
            all.push((task.station, 0, from, to, task.setup, task.amount));
        }
        all.extend(
            units.iter().map(|&(unit, amount)| (task.station, unit, from, to, task.setup, amount)),
        );
    }
    if let Some(hold) = run.hold {
        all.push((hold.station, 0, placed.start + hold.offset, hold.until, 0, hold.amount));
    }
    all
}

/// Whether nothing overlaps: slots counted minute by minute, units pair by pair.
fn holds(stations: &[Station], all: &[Doing]) -> bool {
    let pairs =
        all.iter().enumerate().flat_map(|(at, a)| all[at + 1..].iter().map(move |b| (a, b)));
    let units = pairs.filter(|(a, b)| a.0 == b.0 && a.1 == b.1).all(|(a, b)| {
        let Station::Units { room, changeover, .. } = &stations[a.0] else { return true };
        let together = (a.2, a.3, a.4) == (b.2, b.3, b.4);
        let inside: i64 =
            all.iter().filter(|c| (c.0, c.1, c.2) == (a.0, a.1, a.2)).map(|c| c.5).sum();
        (together && inside <= *room)
            || a.3 + changeover[a.4][b.4] <= b.2
            || b.3 + changeover[b.4][a.4] <= a.2
    });
    let slots = (0..600).all(|minute| {
        let taken = all.iter().filter(|d| d.0 == 2 && (d.2..d.3).contains(&minute));
        taken.map(|d| d.5).sum::<i64>() <= 9
    });
    units && slots
}

#[test]
fn seeded_timetables_never_overlap_and_miss_no_place() {
    let mut chance = Chance(0x71_3e);
    let (mut placed_runs, mut clashes) = (0, 0);
    for round in 0..120 {
        let stations = stations();
        let mut table = Timetable::new(stations.clone());
        let mut all: Vec<Doing> = Vec::new();
        for _ in 0..14 {
            let run = chance.run();
            match table.place(&run) {
                Ok(placed) => {
                    placed_runs += 1;
                    assert!(run.allowed.contains(placed.start), "round {round}");
                    all.extend(doings(&run, &placed));
                    assert!(holds(&stations, &all), "round {round}: {run:?} at {placed:?}");
                }
                Err(clash) => {
                    clashes += 1;
                    // No start is free alone on any choice of units.
                    for start in run.allowed.minutes() {
                        assert!(!table.free(&run).contains(start), "round {round}");
                    }
                    assert!(clash.minutes != Some(0), "round {round}");
                }
            }
        }
    }
    assert!(placed_runs > 500 && clashes > 100, "{placed_runs} placed, {clashes} clashes");
}
