use super::*;
use crate::{
    id::Code,
    money::{Currency, Money},
    supplier::{BelowMinimum, Delivery, HolidayRule},
};
use jiff::{
    civil::{Date, Time, Weekday, date, time},
    tz::TimeZone,
};

fn code(text: &str) -> Code {
    Code::parse(text).expect("a code")
}

fn zone(name: &str) -> TimeZone {
    TimeZone::get(name).expect("a zone")
}

fn site(zone_name: &str) -> Site {
    Site {
        code: code("yard"),
        name: "Yard".to_owned(),
        time_zone: zone(zone_name),
        currency: Currency::parse("EUR").expect("a currency"),
        open_weekdays: Vec::new(),
        closed_dates: Vec::new(),
        teams: Vec::new(),
        temperatures: None,
        use_by_strict: false,
        waste_reasons: Vec::new(),
        count_weeks: 4,
        regulation: None,
        labour: None,
    }
}

/// A supplier in a zone that delivers from one weekday's cutoff to another day's window.
fn supplier(zone_name: &str, rows: &[(Weekday, Time, Weekday)]) -> Supplier {
    let nothing = Money { minor: 0, currency: Currency::parse("EUR").expect("a currency") };
    let row = |&(order_day, cutoff, delivery_day): &(Weekday, Time, Weekday)| Delivery {
        order_day,
        cutoff,
        delivery_day,
        window_from: time(6, 0, 0, 0),
        window_to: time(6, 0, 0, 0),
    };
    Supplier {
        code: code("dairy"),
        name: "The dairy".to_owned(),
        time_zone: zone(zone_name),
        holidays: Vec::new(),
        delivery_on_holiday: HolidayRule::Later,
        working_days: Vec::new(),
        minimum_order: nothing,
        below_minimum: BelowMinimum::Carriage,
        carriage: nothing,
        deliveries: rows.iter().map(row).collect(),
        value_breaks: Vec::new(),
        email: None,
    }
}

fn instant(text: &str) -> Timestamp {
    text.parse().expect("an instant")
}

fn noon(zone: &TimeZone, on: Date) -> Timestamp {
    crate::calendar::instant(zone, on, time(12, 0, 0, 0)).expect("in the calendar")
}

/// Cutoffs of a supplier who takes orders on one weekday, on one local date.
fn cutoff_on(zone_name: &str, on: Date, at: Time) -> Timestamp {
    let next = on.tomorrow().expect("a day").weekday();
    let found = supplier(zone_name, &[(on.weekday(), at, next)]);
    let around = noon(&zone(zone_name), on);
    let all = arrivals(&site(zone_name), &found, around, around).expect("a calendar");
    let same = |one: &&Arrival| zone(zone_name).to_datetime(one.cutoff).date() == on;
    all.iter().find(same).expect("a cutoff").cutoff
}

#[test]
fn a_cutoff_runs_on_the_suppliers_clock_whatever_the_clocks_do() {
    let four = time(16, 0, 0, 0);
    for (zone_name, on, utc) in [
        // Source: check-values TC-01 (IANA 2026f): New York around both changes of 2026.
        ("America/New_York", date(2026, 3, 7), "2026-03-07T21:00:00Z"),
        ("America/New_York", date(2026, 3, 8), "2026-03-08T20:00:00Z"),
        ("America/New_York", date(2026, 10, 31), "2026-10-31T20:00:00Z"),
        ("America/New_York", date(2026, 11, 1), "2026-11-01T21:00:00Z"),
        // Source: check-values TC-02: London.
        ("Europe/London", date(2026, 3, 28), "2026-03-28T16:00:00Z"),
        ("Europe/London", date(2026, 3, 29), "2026-03-29T15:00:00Z"),
        ("Europe/London", date(2026, 10, 24), "2026-10-24T15:00:00Z"),
        ("Europe/London", date(2026, 10, 25), "2026-10-25T16:00:00Z"),
        // Source: check-values TC-04: Lord Howe moves by half an hour.
        ("Australia/Lord_Howe", date(2026, 4, 4), "2026-04-04T05:00:00Z"),
        ("Australia/Lord_Howe", date(2026, 4, 5), "2026-04-05T05:30:00Z"),
        // Source: check-values TC-05: Vancouver stays on summer time; older data say 00:00Z.
        ("America/Vancouver", date(2026, 11, 25), "2026-11-25T23:00:00Z"),
        // Source: check-values TZ-10 and TZ-11: Casablanca is at +00 from 20 September on;
        // Tokyo never changes.
        ("Africa/Casablanca", date(2026, 9, 21), "2026-09-21T16:00:00Z"),
        ("Asia/Tokyo", date(2026, 3, 29), "2026-03-29T07:00:00Z"),
    ] {
        assert_eq!(cutoff_on(zone_name, on, four), instant(utc), "{zone_name} {on}");
    }
}

#[test]
fn a_time_that_exists_twice_is_the_earlier_and_one_that_does_not_is_moved_on() {
    for (zone_name, on, at, utc) in [
        // Source: check-values TC-08: for a cutoff choose the earlier of the two.
        ("America/New_York", date(2026, 11, 1), time(1, 30, 0, 0), "2026-11-01T05:30:00Z"),
        // Source: check-values TC-10: the fold and the gap of Lord Howe.
        ("Australia/Lord_Howe", date(2026, 4, 5), time(1, 45, 0, 0), "2026-04-04T14:45:00Z"),
        ("Australia/Lord_Howe", date(2026, 10, 4), time(2, 15, 0, 0), "2026-10-03T15:45:00Z"),
        // Source: check-values TC-07: of the policies for a gap ours is "later".
        ("America/New_York", date(2026, 3, 8), time(2, 30, 0, 0), "2026-03-08T07:30:00Z"),
    ] {
        assert_eq!(cutoff_on(zone_name, on, at), instant(utc), "{zone_name} {on} {at}");
    }
}

#[test]
fn a_cutoff_exactly_now_is_open_and_a_moment_later_it_is_gone() {
    // Source: reading R15; check-values TC-14 asks that it be stated.
    let dairy =
        supplier("Europe/Amsterdam", &[(Weekday::Wednesday, time(11, 0, 0, 0), Weekday::Thursday)]);
    let at = |now: &str| {
        let step = instant("2026-06-12T06:00:00Z");
        let found = latest_moment(&site("Europe/Amsterdam"), &dairy, 0, instant(now), step);
        found.expect("a calendar").expect("a moment")
    };
    let open = at("2026-06-10T09:00:00Z");
    assert_eq!((open.cutoff, open.gone), (instant("2026-06-10T09:00:00Z"), false));
    assert_eq!(open.arrives, instant("2026-06-11T04:00:00Z"));
    let gone = at("2026-06-10T09:00:00.001Z");
    assert!(gone.gone && gone.ring_now, "passed less than half an hour ago: ring them");
    assert!(!at("2026-06-10T09:30:00Z").ring_now);
}

/// Arrivals ordered by the cutoff of one local date.
fn of_cutoff(site: &Site, supplier: &Supplier, on: Date) -> Vec<(Date, bool, Option<Date>)> {
    let around = noon(&site.time_zone, on);
    let found = arrivals(site, supplier, around, around).expect("a calendar");
    let day = |at: Timestamp| site.time_zone.to_datetime(at).date();
    let of_day = found.into_iter().filter(|one| day(one.cutoff) == on);
    of_day.map(|one| (day(one.arrives), one.ask_supplier, one.moved_from)).collect()
}

#[test]
fn a_delivery_on_a_holiday_follows_the_written_rule() {
    // Source: alder-yard.md 8.6: the dairy's Friday order comes Monday; 15 June is a holiday.
    let yard = site("Europe/Amsterdam");
    let holiday = date(2026, 6, 15);
    let mut dairy =
        supplier("Europe/Amsterdam", &[(Weekday::Friday, time(11, 0, 0, 0), Weekday::Monday)]);
    dairy.holidays = vec![holiday];
    let friday = date(2026, 6, 12);
    let mut by = |rule| {
        dairy.delivery_on_holiday = rule;
        of_cutoff(&yard, &dairy, friday)
    };
    assert_eq!(by(HolidayRule::Later), [(date(2026, 6, 16), false, Some(holiday))]);
    assert_eq!(by(HolidayRule::Earlier), [(date(2026, 6, 14), false, Some(holiday))]);
    assert_eq!(by(HolidayRule::Skip), []);
    // Never assumed: it is shown, to be asked, and nothing counts on it.
    assert_eq!(by(HolidayRule::Ask), [(holiday, true, Some(holiday))]);
    let working =
        [Weekday::Monday, Weekday::Tuesday, Weekday::Wednesday, Weekday::Thursday, Weekday::Friday];
    dairy.working_days = working.to_vec();
    dairy.delivery_on_holiday = HolidayRule::Earlier;
    // The working day before Monday would be the Friday of the cutoff, before it at 06:00.
    assert_eq!(of_cutoff(&yard, &dairy, friday), []);
}

#[test]
fn our_closed_days_receive_nothing_and_a_cutoff_on_a_holiday_is_the_last_before_it() {
    let mut yard = site("Europe/Amsterdam");
    let daily = [
        (Weekday::Wednesday, time(11, 0, 0, 0), Weekday::Thursday),
        (Weekday::Thursday, time(11, 0, 0, 0), Weekday::Friday),
    ];
    let mut dairy = supplier("Europe/Amsterdam", &daily);
    let (wednesday, thursday, friday) = (date(2026, 6, 10), date(2026, 6, 11), date(2026, 6, 12));
    yard.closed_dates = vec![thursday];
    let moved = (friday, false, Some(thursday));
    assert_eq!(of_cutoff(&yard, &dairy, wednesday), [moved], "reading R14");
    yard.closed_dates.clear();
    dairy.holidays = vec![thursday];
    // Friday's delivery must be ordered on Wednesday; Thursday's comes with it.
    let found = of_cutoff(&yard, &dairy, wednesday);
    assert_eq!(found, [moved]);
    assert_eq!(of_cutoff(&yard, &dairy, thursday), []);
}

#[test]
fn put_away_and_thaw_time_come_before_use() {
    // Source: trade rules, part 3: window end + put-away, thaw and temper time <= step start.
    let yard = site("Europe/Amsterdam");
    let daily = [
        (Weekday::Tuesday, time(11, 0, 0, 0), Weekday::Wednesday),
        (Weekday::Wednesday, time(11, 0, 0, 0), Weekday::Thursday),
    ];
    let dairy = supplier("Europe/Amsterdam", &daily);
    let latest = |ready_minutes| {
        let (now, step) = (instant("2026-06-08T07:00:00Z"), instant("2026-06-11T06:00:00Z"));
        let found = latest_moment(&yard, &dairy, ready_minutes, now, step);
        found.expect("a calendar").map(|found| (found.cutoff, found.usable_from))
    };
    // Thursday 06:00 local is 04:00Z: two hours fit before the step at 06:00Z, more do not.
    let wednesday = instant("2026-06-10T09:00:00Z");
    assert_eq!(latest(120), Some((wednesday, instant("2026-06-11T06:00:00Z"))));
    let tuesday = instant("2026-06-09T09:00:00Z");
    assert_eq!(latest(121), Some((tuesday, instant("2026-06-10T06:01:00Z"))));
    assert_eq!(latest(60_000), None);
}

#[test]
fn an_elapsed_lead_runs_across_the_clock_change() {
    // Source: check-values TC-13: 36 h before Monday 26 October 2026 04:00 in Paris.
    let paris = zone("Europe/Paris");
    let step = crate::calendar::instant(&paris, date(2026, 10, 26), time(4, 0, 0, 0));
    let step = step.expect("in the calendar");
    let before = crate::calendar::add_minutes(step, -36 * 60).expect("in bounds");
    assert_eq!(before, instant("2026-10-24T17:00:00+02:00"));
}
