//! The cold window, the retard window and their sum, at each edge: one minute in, one out.

use super::*;
use crate::route::AgeLimit;

/// Position of the first cold step, the retard and the drop on the bun route.
const COLD: usize = 3;
const RETARD: usize = 6;
/// From the end of the retard to the drop: prove 120, wash 12, bake 16, cool 60, fill 25,
/// pack 20, van 10, drive 20.
const AFTER: i64 = 283;
/// Between cold and retard: temper 30, shape 75.
const BETWEEN: i64 = 105;

/// The bun route of alder-yard 8.7 with people at all hours.
fn unattended() -> Route {
    let mut route = bun_route();
    for step in &mut route.steps {
        (step.team, step.start_team) = (None, None);
    }
    route
}

/// Whether a route fits with so many minutes of cold and of retard before a drop.
///
/// What pins at single minutes say and what the set of all starts says must agree.
fn fits(route: &Route, drop: &str, cold: i64, retard: i64) -> bool {
    let end = minute(at(drop));
    let retarded = end - AFTER - retard;
    let chilled = retarded - BETWEEN - cold;
    let pins = [Pin::at(route.steps.len(), end), Pin::at(RETARD, retarded)];
    let hours = Hours::default();
    let all = starts(&hours, route, ONE, COLD, &pins);
    let among = all.is_ok_and(|all| all.contains(chilled));
    let pins = [pins[0], pins[1], Pin::at(COLD, chilled)];
    let alone = schedule_with(&hours, route, ONE, &pins).is_ok();
    assert_eq!(among, alone, "cold {cold}, retard {retard} before {drop}");
    alone
}

/// A plain night, the spring night of 23 hours and the autumn night of 25.
const DROPS: [&str; 3] =
    ["2026-06-12T07:00:00+02:00", "2026-03-29T07:00:00+02:00", "2026-10-25T07:00:00+01:00"];

#[test]
fn each_window_holds_to_the_minute() {
    let mut route = unattended();
    route.limits.clear();
    for drop in DROPS {
        let cold = |minutes| fits(&route, drop, minutes, 600);
        assert_eq!([719, 720, 2_880, 2_881].map(cold), [false, true, true, false], "{drop}");
        let retard = |minutes| fits(&route, drop, 1_000, minutes);
        assert_eq!([479, 480, 960, 961].map(retard), [false, true, true, false], "{drop}");
    }
}

#[test]
fn cold_and_retard_together_hold_to_the_minute() {
    let route = unattended();
    for drop in DROPS {
        let sum = |(cold, retard)| fits(&route, drop, cold, retard);
        // 48 h together: with the least and with the most of the retard.
        assert_eq!(
            [(2_400, 480), (2_401, 480), (1_920, 960), (1_921, 960), (720, 480)].map(sum),
            [true, false, true, false, true],
            "{drop}"
        );
        // Each window still holds alone.
        assert_eq!([(719, 480), (720, 479), (720, 961)].map(sum), [false; 3], "{drop}");
    }
}

/// The same window said as an age: from the end of the bulk to the start of the temper.
#[test]
fn an_age_between_two_events_holds_to_the_minute() {
    let mut route = unattended();
    route.limits.clear();
    route.steps[COLD].length = window(0, 6_000);
    route.ages = vec![AgeLimit {
        after: "bulk".into(),
        before: "temper".into(),
        least_minutes: 720,
        most_minutes: 2_880,
    }];
    for drop in DROPS {
        let cold = |minutes| fits(&route, drop, minutes, 600);
        assert_eq!([719, 720, 2_880, 2_881].map(cold), [false, true, true, false], "{drop}");
    }
}

/// What keeps a step out: nobody is there whatever the windows, or a window too short.
#[test]
fn a_window_that_could_be_wider_is_told_from_people_who_are_not_there() {
    let amsterdam = zone("Europe/Amsterdam");
    let hours = hours(&amsterdam, &alder_yard(), "2026-06-06", "2026-06-12");
    let hindrance = |route: &Route, drop: &str| {
        let refused = schedule(&hours, route, ONE, at(drop));
        let Err(ScheduleError::NoFit { by, step, .. }) = refused else { panic!("{refused:?}") };
        (step, by)
    };
    // Filling before 04:45 drops out of the oven team's hours at any length of any window.
    let (_, by) = hindrance(&bun_route(), "2026-06-12T03:00:00+02:00");
    assert_eq!(by, Hindrance::Staff);
    // A retard of at most nine hours ends before the oven wants it: the bench stops at 15:00.
    let mut short = bun_route();
    short.steps[RETARD].length = window(8 * 60, 9 * 60);
    let (step, by) = hindrance(&short, "2026-06-12T07:00:00+02:00");
    assert_eq!((step.as_str(), by), ("retard", Hindrance::AgeWindow));
    // A sum that no two lengths keep is one too.
    let mut together = bun_route();
    together.limits[0].most_minutes = 20 * 60 - 1;
    let (_, by) = hindrance(&together, "2026-06-12T07:00:00+02:00");
    assert_eq!(by, Hindrance::AgeWindow);
}
