mod edges;

use super::*;
use crate::route::{AgeLimit, Length, RouteLimit, Step};
use jiff::civil::Time;

/// A team's hours from "HH:MM" texts.
fn team(code: &str, from: &str, to: &str) -> Team {
    Team { code: named(code), from: time(from), to: time(to) }
}

fn named(code: &str) -> Code {
    Code::parse(code).expect("a code")
}

fn time(text: &str) -> Time {
    text.parse().expect("a time")
}

fn at(text: &str) -> Timestamp {
    text.parse().expect("an instant")
}

/// The times of all steps of a route with nothing settled but its drop.
fn schedule(
    hours: &Hours,
    route: &Route,
    work: Work,
    drop: Timestamp,
) -> Result<Vec<StepTime>, ScheduleError> {
    schedule_with(hours, route, work, &[Pin::drop(route, drop)])
}

fn zone(name: &str) -> TimeZone {
    TimeZone::get(name).expect("a zone")
}

fn step(name: &str, length: Length, team: Option<&str>, start_team: Option<&str>) -> Step {
    Step {
        name: name.to_owned(),
        length,
        team: team.map(named),
        start_team: start_team.map(named),
        station: None,
    }
}

fn fixed(minutes: i64) -> Length {
    Length::Fixed { minutes }
}

fn window(least_minutes: i64, most_minutes: i64) -> Length {
    Length::Window { least_minutes, most_minutes }
}

fn route(steps: Vec<Step>) -> Route {
    Route { code: named("route"), steps, limits: Vec::new(), ages: Vec::new() }
}

const ONE: Work = Work { loads: 1, pieces: 1 };

fn hours(zone: &TimeZone, teams: &[Team], first: &str, last: &str) -> Hours {
    let date = |text: &str| text.parse().expect("a date");
    Hours::new(zone, teams, date(first), date(last)).expect("in the calendar")
}

/// What a schedule says, as local text.
fn said(zone: &TimeZone, route: &Route, times: &[StepTime]) -> Vec<String> {
    let local = |at: Timestamp| {
        let (local, offset) = (zone.to_datetime(at), zone.to_offset(at).seconds() / 3_600);
        format!("{}+{offset:02}:00", local.strftime("%a %H:%M"))
    };
    times
        .iter()
        .map(|time| format!("{} {}", route.steps[time.step].name, local(time.start)))
        .collect()
}

/// alder-yard 8.7, with the teams of its head and reading R18.
fn bun_route() -> Route {
    let mut route = route(vec![
        step("weigh", fixed(40), Some("weigh"), None),
        step("mix", Length::PerLoad { minutes: 18, between_minutes: 5 }, Some("mixers"), None),
        step("bulk", fixed(45), None, None),
        step("cold", window(12 * 60, 48 * 60), None, Some("bench")),
        step("temper", fixed(30), Some("bench"), None),
        step("shape", fixed(75), Some("bench"), None),
        step("retard", window(8 * 60, 16 * 60), None, Some("bench")),
        step("prove", fixed(120), None, None),
        step("wash", fixed(12), Some("oven"), None),
        step("bake", fixed(16), Some("oven"), None),
        step("cool", fixed(60), None, None),
        step("fill", fixed(25), Some("oven"), None),
        step("pack", fixed(20), Some("oven"), None),
        step("load", fixed(10), None, None),
        step("drive", fixed(20), None, None),
    ]);
    route.limits =
        vec![RouteLimit { steps: vec!["cold".into(), "retard".into()], most_minutes: 48 * 60 }];
    route
}

fn alder_yard() -> [Team; 4] {
    [
        team("oven", "02:00", "10:00"),
        team("weigh", "04:00", "14:00"),
        team("mixers", "06:00", "15:00"),
        team("bench", "06:00", "15:00"),
    ]
}

#[test]
fn custard_buns_for_friday_are_weighed_on_wednesday_at_12_54() {
    // alder-yard 8.9 E.
    let amsterdam = zone("Europe/Amsterdam");
    let hours = hours(&amsterdam, &alder_yard(), "2026-06-06", "2026-06-12");
    let (route, work) = (bun_route(), Work { loads: 2, pieces: 49 });
    let drop = at("2026-06-12T07:00:00+02:00");
    let times = schedule(&hours, &route, work, drop).expect("it fits");
    assert_eq!(
        said(&amsterdam, &route, &times),
        [
            "weigh Wed 12:54+02:00",
            "mix Wed 13:34+02:00",
            "bulk Wed 14:15+02:00",
            "cold Wed 15:00+02:00",
            "temper Thu 13:15+02:00",
            "shape Thu 13:45+02:00",
            "retard Thu 15:00+02:00",
            "prove Fri 02:17+02:00",
            "wash Fri 04:17+02:00",
            "bake Fri 04:29+02:00",
            "cool Fri 04:45+02:00",
            "fill Fri 05:45+02:00",
            "pack Fri 06:10+02:00",
            "load Fri 06:30+02:00",
            "drive Fri 06:40+02:00",
        ]
    );
    // Its start is the last of all starts.
    let pin = [Pin::at(route.steps.len(), minute(drop))];
    let all = starts(&hours, &route, work, 0, &pin).expect("it fits");
    assert_eq!(all.latest(), Some(minute(times[0].start)));
    // Cold may start from Tue 13:15 to Thu 01:15, in bench hours.
    let cold = Pin::at(6, minute(times[6].start));
    let cold = starts(&hours, &route, work, 3, &[pin[0], cold]).expect("it fits");
    let minutes = |from: &str, to: &str| (minute(at(from)), minute(at(to)));
    assert_eq!(
        cold.iter().collect::<Vec<_>>(),
        [minutes("2026-06-10T07:26:00+02:00", "2026-06-10T15:00:00+02:00"),],
        "mixers start at 06:00, so bulk ends at 07:26 earliest, and cold + retard is 48 h"
    );
}

#[test]
fn a_retard_over_the_spring_change_is_ten_hours_long() {
    // trade.md 7, case 1: 20:00+01:00 on 28 Mar 2026 and 10 h give 07:00+02:00.
    let amsterdam = zone("Europe/Amsterdam");
    let hours = hours(&amsterdam, &[team("all", "00:00", "00:00")], "2026-03-27", "2026-03-30");
    let route = route(vec![step("retard", fixed(600), None, Some("all"))]);
    let times = schedule(&hours, &route, ONE, at("2026-03-29T07:00:00+02:00")).expect("it fits");
    assert_eq!(said(&amsterdam, &route, &times), ["retard Sat 20:00+01:00"]);
    assert_eq!(times[0].start, at("2026-03-28T20:00:00+01:00"));
}

#[test]
fn a_retard_over_the_autumn_change_is_eight_hours_long_and_02_30_exists_twice() {
    // trade.md 7, case 2: 22:00+02:00 on 24 Oct 2026 and 8 h give 05:00+01:00.
    let amsterdam = zone("Europe/Amsterdam");
    let hours = hours(&amsterdam, &[team("all", "00:00", "00:00")], "2026-10-23", "2026-10-26");
    let whole = route(vec![step("retard", fixed(480), None, Some("all"))]);
    let times = schedule(&hours, &whole, ONE, at("2026-10-25T05:00:00+01:00")).expect("it fits");
    assert_eq!(said(&amsterdam, &whole, &times), ["retard Sat 22:00+02:00"]);
    let halves = route(vec![
        step("first", fixed(60), Some("all"), None),
        step("second", fixed(30), Some("all"), None),
    ]);
    let times = schedule(&hours, &halves, ONE, at("2026-10-25T03:00:00+01:00")).expect("it fits");
    assert_eq!(
        said(&amsterdam, &halves, &times),
        ["first Sun 02:30+02:00", "second Sun 02:30+01:00"]
    );
    // check-values TC-13: 36 h before Mon 04:00 in Paris is Sat 17:00+02:00 elapsed.
    let paris = zone("Europe/Paris");
    let long = route(vec![step("cold", fixed(36 * 60), None, None)]);
    let times = schedule(&hours, &long, ONE, at("2026-10-26T04:00:00+01:00")).expect("it fits");
    assert_eq!(said(&paris, &long, &times), ["cold Sat 17:00+02:00"]);
}

#[test]
fn a_team_may_stay_over_midnight() {
    let utc = TimeZone::UTC;
    let hours = hours(&utc, &[team("night", "22:00", "06:00")], "2026-06-09", "2026-06-11");
    let route = route(vec![step("bake", fixed(240), Some("night"), None)]);
    let fits = |drop: &str| schedule(&hours, &route, ONE, at(drop)).is_ok();
    assert!(fits("2026-06-10T02:00:00Z"));
    assert!(fits("2026-06-10T06:00:00Z"), "the closing minute is inside");
    assert!(!fits("2026-06-10T06:01:00Z"));
    assert!(!fits("2026-06-10T01:59:00Z"), "it would start at 21:59");
}

#[test]
fn no_fit_says_which_step_and_how_far_off_it_is() {
    let amsterdam = zone("Europe/Amsterdam");
    let hours = hours(&amsterdam, &alder_yard(), "2026-06-01", "2026-06-20");
    let route = bun_route();
    let work = Work { loads: 2, pieces: 49 };
    let asked = |drop: &str| schedule(&hours, &route, work, at(drop));
    // Fill would start at 08:46 and pack end at 09:31 plus 30 minutes of road: the oven team
    // stops at 10:00, so 10:30 is the last drop, and 10:45 is 15 minutes off at packing.
    assert!(asked("2026-06-12T10:30:00+02:00").is_ok());
    let Err(ScheduleError::NoFit { step, minutes, .. }) = asked("2026-06-12T10:45:00+02:00") else {
        panic!("it cannot fit");
    };
    assert_eq!((step.as_str(), minutes), ("pack", Some(15)));
    // Wash would start at 01:50 for a drop at 04:33: ten minutes before the oven team is in.
    let Err(ScheduleError::NoFit { step, minutes, .. }) = asked("2026-06-12T04:33:00+02:00") else {
        panic!("it cannot fit");
    };
    assert_eq!((step.as_str(), minutes), ("wash", Some(10)));
    let earliest = |drop: &str, now: &str| {
        earliest_drop(&hours, &route, work, at(drop), at(now)).expect("in the calendar")
    };
    let now = "2026-06-10T09:30:00+02:00";
    assert_eq!(earliest("2026-06-12T04:33:00+02:00", now), Some(at("2026-06-12T04:43:00+02:00")));
    assert_eq!(earliest("2026-06-12T07:00:00+02:00", now), Some(at("2026-06-12T07:00:00+02:00")));
    // Weighed after Wed 12:54, it is not ready on Friday morning any more.
    let later = earliest("2026-06-12T07:00:00+02:00", "2026-06-10T12:55:00+02:00");
    let later = later.expect("there is one");
    assert!(later > at("2026-06-12T07:00:00+02:00"));
    let times = schedule(&hours, &route, work, later).expect("it fits");
    assert!(times[0].start >= at("2026-06-10T12:55:00+02:00"));
}

#[test]
fn each_edge_of_a_cold_and_of_a_retard_window_is_exact() {
    // alder-yard 8.7: cold 12-48 h, retard 8-16 h, both ends in.
    // Hours reach one day on either side, so bulk can end on 9, 10 and 11 June at 12:30.
    let hours =
        hours(&TimeZone::UTC, &[team("mixers", "12:00", "12:30")], "2026-06-10", "2026-06-10");
    let bulk = minute(at("2026-06-11T12:30:00Z"));
    for (least, most) in [(12 * 60, 48 * 60), (8 * 60, 16 * 60)] {
        let route = route(vec![
            step("bulk", fixed(30), Some("mixers"), None),
            step("window", window(least, most), None, None),
            step("divide", fixed(20), None, None),
        ]);
        for (length, fits) in [
            (least - 1, false),
            (least, true),
            (least + 1, true),
            (most - 1, true),
            (most, true),
            (most + 1, false),
        ] {
            let drop = instant(bulk + length + 20).expect("near");
            let found = schedule(&hours, &route, ONE, drop).map(|times| minute(times[0].end));
            let this = found.as_ref().is_ok_and(|end| *end == bulk);
            assert_eq!(this, fits, "{length} minutes in {least} to {most}: {found:?}");
        }
        let refused = schedule(&hours, &route, ONE, instant(bulk + most + 21).expect("near"));
        let Err(ScheduleError::NoFit { step, minutes, .. }) = refused else {
            panic!("over age: {refused:?}")
        };
        assert_eq!((step.as_str(), minutes), ("bulk", Some(1)));
    }
}

#[test]
fn each_edge_of_the_sum_of_two_windows_is_exact() {
    // alder-yard 8.7: cold + retard at most 48 h, counted without what lies between.
    let mut route = route(vec![
        step("bulk", fixed(30), Some("mixers"), None),
        step("cold", window(12 * 60, 48 * 60), None, None),
        step("shape", fixed(75), None, None),
        step("retard", window(8 * 60, 16 * 60), None, None),
        step("prove", fixed(120), None, None),
    ]);
    route.limits =
        vec![RouteLimit { steps: vec!["cold".into(), "retard".into()], most_minutes: 48 * 60 }];
    let hours =
        hours(&TimeZone::UTC, &[team("mixers", "12:00", "12:30")], "2026-06-10", "2026-06-10");
    // Hours reach one day on either side, so 9 June is the first and 11 June the last.
    let bulk = minute(at("2026-06-11T12:30:00Z"));
    for (together, fits) in [
        (20 * 60 - 1, false),
        (20 * 60, true),
        (20 * 60 + 1, true),
        (48 * 60 - 1, true),
        (48 * 60, true),
        (48 * 60 + 1, false),
    ] {
        let drop = instant(bulk + 75 + 120 + together).expect("near");
        let found = schedule(&hours, &route, ONE, drop).map(|times| minute(times[0].end));
        assert_eq!(found.as_ref().is_ok_and(|end| *end == bulk), fits, "{together}: {found:?}");
    }
    let drop = instant(bulk + 75 + 120 + 48 * 60 + 7).expect("near");
    let refused = schedule(&hours, &route, ONE, drop);
    let Err(ScheduleError::NoFit { step, minutes, .. }) = refused else { panic!("{refused:?}") };
    assert_eq!((step.as_str(), minutes), ("retard", Some(7)));
}

#[test]
fn an_age_is_counted_from_the_end_of_one_step_to_the_start_of_another() {
    // trade.md 2.7: from a named event to a named event, in elapsed hours.
    let mut route = route(vec![
        step("bulk", fixed(30), Some("mixers"), None),
        step("cold", window(0, 4_000), None, None),
        step("temper", fixed(30), None, None),
        step("divide", fixed(20), None, None),
    ]);
    let (after, before) = ("bulk".to_owned(), "divide".to_owned());
    route.ages = vec![AgeLimit { after, before, least_minutes: 12 * 60, most_minutes: 48 * 60 }];
    let hours =
        hours(&TimeZone::UTC, &[team("mixers", "12:00", "12:30")], "2026-06-10", "2026-06-10");
    let bulk = minute(at("2026-06-11T12:30:00Z"));
    for (age, fits) in [(719, false), (720, true), (721, true), (2_880, true), (2_881, false)] {
        let drop = instant(bulk + age + 20).expect("near");
        let found = schedule(&hours, &route, ONE, drop).map(|times| minute(times[0].end));
        assert_eq!(found.as_ref().is_ok_and(|end| *end == bulk), fits, "age {age}: {found:?}");
    }
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

    fn team(&mut self) -> Option<&'static str> {
        match self.below(9) {
            0 => Some("early"),
            1 => Some("late"),
            2 => Some("night"),
            _ => None,
        }
    }

    fn route(&mut self) -> Route {
        let count = usize::try_from(3 + self.below(4)).expect("small");
        let names: Vec<String> = (0..count).map(|number| format!("s{number}")).collect();
        let mut windows = 0;
        let steps = names.iter().map(|name| {
            let length = if windows < 3 && self.below(2) == 0 {
                windows += 1;
                let least = self.below(6);
                window(least, least + self.below(9))
            } else {
                fixed(self.below(6))
            };
            step(name, length, self.team(), self.team())
        });
        let mut found = route(steps.collect());
        let any = |chance: &mut Self| usize::try_from(chance.below(count as u64)).expect("small");
        for _ in 0..self.below(3) {
            let mut steps: Vec<String> =
                (0..=self.below(2)).map(|_| names[any(self)].clone()).collect();
            steps.dedup();
            found.limits.push(RouteLimit { steps, most_minutes: self.below(14) });
        }
        for _ in 0..self.below(3) {
            let (a, b) = (any(self), any(self));
            if a < b {
                let (after, before) = (names[a].clone(), names[b].clone());
                let least = self.below(8);
                let most = least + self.below(8);
                found.ages.push(AgeLimit {
                    after,
                    before,
                    least_minutes: least,
                    most_minutes: most,
                });
            }
        }
        found
    }
}

const SMALL_TEAMS: [(&str, i64, i64); 3] =
    [("early", 600, 614), ("late", 611, 640), ("night", 620, 605)];

fn there(code: &Code, minute: i64) -> Option<i64> {
    // Minutes of the day; the night team is away from 605 to 620. Which stay it is.
    let day = minute.div_euclid(1_440);
    let of_day = minute.rem_euclid(1_440);
    let (_, from, to) = SMALL_TEAMS.iter().find(|team| team.0 == code.as_str())?;
    if from <= to {
        return (*from..=*to).contains(&of_day).then_some(day);
    }
    if of_day >= *from { Some(day) } else { (of_day <= *to).then_some(day - 1) }
}

/// Whether a route may run at these moments: every rule in its own words.
fn allowed(route: &Route, moments: &[i64]) -> bool {
    let position = |name: &String| route.steps.iter().position(|step| step.name == *name);
    let steps = route.steps.iter().enumerate().all(|(at, step)| {
        let (start, end) = (moments[at], moments[at + 1]);
        let length = match step.length {
            Length::Fixed { minutes } => end - start == minutes,
            Length::Window { least_minutes, most_minutes } => {
                (least_minutes..=most_minutes).contains(&(end - start))
            }
            Length::PerLoad { .. } | Length::PerPiece { .. } => false,
        };
        length
            && step.start_team.as_ref().is_none_or(|team| there(team, start).is_some())
            && step.team.as_ref().is_none_or(|team| {
                there(team, start).is_some() && there(team, start) == there(team, end)
            })
    });
    let limits = route.limits.iter().all(|limit| {
        let counted = route.steps.iter().enumerate();
        let counted = counted.filter(|(_, step)| limit.steps.contains(&step.name));
        let sum: i64 = counted.map(|(at, _)| moments[at + 1] - moments[at]).sum();
        sum <= limit.most_minutes
    });
    let ages = route.ages.iter().all(|age| {
        let (after, before) = (position(&age.after), position(&age.before));
        let (Some(after), Some(before)) = (after, before) else { return false };
        let old = moments[before] - moments[after + 1];
        (age.least_minutes..=age.most_minutes).contains(&old)
    });
    steps && limits && ages
}

/// All ways through a route that end at a drop, minute by minute.
fn every_way(route: &Route, drop: i64) -> Vec<Vec<i64>> {
    let mut ways = vec![vec![drop]];
    for step in route.steps.iter().rev() {
        let (least, most) = match step.length {
            Length::Fixed { minutes } => (minutes, minutes),
            Length::Window { least_minutes, most_minutes } => (least_minutes, most_minutes),
            Length::PerLoad { .. } | Length::PerPiece { .. } => (0, 0),
        };
        let longer = |way: &Vec<i64>| {
            let way = way.clone();
            (least..=most).map(move |length| [&[way[0] - length], &way[..]].concat())
        };
        ways = ways.iter().flat_map(longer).collect();
    }
    ways.retain(|way| allowed(route, way));
    ways
}

#[test]
fn what_is_found_is_what_trying_every_minute_finds() {
    let mut chance = Chance(0xa1de5);
    let of_day = |minutes: i64| {
        let (hour, minute) = (minutes / 60, minutes % 60);
        format!("{hour:02}:{minute:02}")
    };
    let teams = SMALL_TEAMS.map(|(code, from, to)| team(code, &of_day(from), &of_day(to)));
    let hours = hours(&TimeZone::UTC, &teams, "1970-01-01", "1970-01-04");
    let (mut fitted, mut refused) = (0, 0);
    for round in 0..6_000 {
        let route = chance.route();
        let drop = 2 * 1_440 + 595 + chance.below(60);
        let ways = every_way(&route, drop);
        let drop = Pin::at(route.steps.len(), drop);
        let latest = ways.iter().max_by(|a, b| a.iter().rev().cmp(b.iter().rev()));
        let found = schedule_with(&hours, &route, ONE, &[drop]);
        let Some(latest) = latest else {
            refused += 1;
            assert!(matches!(found, Err(ScheduleError::NoFit { .. })), "round {round}: {route:?}");
            let none = starts(&hours, &route, ONE, 0, &[drop]);
            assert!(matches!(none, Err(ScheduleError::NoFit { .. })), "round {round}: {route:?}");
            continue;
        };
        fitted += 1;
        let found = found.unwrap_or_else(|error| panic!("round {round}: {error} {route:?}"));
        let mut moments: Vec<i64> = found.iter().map(|time| minute(time.start)).collect();
        moments.push(drop.first);
        assert_eq!(moments, *latest, "round {round}: {route:?}");
        for step in [0, route.steps.len() / 2] {
            let mut expected: Vec<i64> = ways.iter().map(|way| way[step]).collect();
            expected.sort_unstable();
            expected.dedup();
            let found = starts(&hours, &route, ONE, step, &[drop]).expect("it fits");
            let found: Vec<i64> = found.minutes().collect();
            assert_eq!(found, expected, "step {step} in round {round}: {route:?}");
        }
        // From a start that is not the latest, the rest is still the latest.
        let first = ways[0][0];
        let rest = ways.iter().filter(|way| way[0] == first);
        let expected = rest.max_by(|a, b| a.iter().rev().cmp(b.iter().rev())).expect("one");
        let pinned = schedule_with(&hours, &route, ONE, &[drop, Pin::at(0, first)]);
        let pinned = pinned.expect("it fits");
        let moments: Vec<i64> = pinned.iter().map(|time| minute(time.start)).collect();
        assert_eq!(moments[..], expected[..moments.len()], "round {round}: {route:?}");
    }
    assert!(fitted > 300 && refused > 300, "{fitted} fitted, {refused} refused");
}

#[test]
fn the_earliest_drop_is_the_first_that_trying_every_minute_finds() {
    let mut chance = Chance(0xea571);
    let teams = [
        team("early", "10:00", "10:14"),
        team("late", "10:11", "10:40"),
        team("night", "10:20", "10:05"),
    ];
    let hours = hours(&TimeZone::UTC, &teams, "1970-01-02", "1970-01-03");
    let mut found_some = 0;
    for round in 0..300 {
        let route = chance.route();
        let asked = 2 * 1_440 + 595 + chance.below(40);
        let now = asked - chance.below(40);
        let fits = |drop: &i64| every_way(&route, *drop).iter().any(|way| way[0] >= now);
        let expected = (asked..asked + 60).find(fits);
        let [asked, now] = [asked, now].map(|minute| instant(minute).expect("near"));
        let found = earliest_drop(&hours, &route, ONE, asked, now).expect("in the calendar");
        match (expected, found.map(minute)) {
            (Some(expected), found) => {
                found_some += 1;
                assert_eq!(found, Some(expected), "round {round}: {route:?}");
            }
            (None, None) => {}
            (None, Some(found)) => assert!(found >= minute(asked) + 60, "round {round}: {route:?}"),
        }
    }
    assert!(found_some > 50, "{found_some}");
}
