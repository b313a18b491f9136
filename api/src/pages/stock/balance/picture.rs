//! The picture of a balance: thin what was, thick what will be, in black on white.

use super::{
    super::said,
    course::{Course, Event, What},
};
use crate::{
    messages::Words,
    sheets::chart::{Level, Plot},
};
use domain::calendar;
use jiff::{Timestamp, ToSpan, civil::Time};
use maud::{Markup, html};

/// Width and height of the picture, in its own units.
const SIZE: (i64, i64) = (880, 300);
/// Where the figures of the axis end and the levels begin, and how wide these are.
const ACROSS: (i64, i64) = (96, 770);
/// The upper end of the levels and their height.
const DOWN: (i64, i64) = (24, 190);
/// Where arrivals and needs are marked.
const MARKS: i64 = 232;
/// Where the days stand.
const DAYS: i64 = 276;
/// Days that are named at most.
const DAYS_MAX: i64 = 9;
/// Room that the name of a day takes.
const DAY: i64 = 90;

pub(super) fn draw(words: Words, course: &Course, description: &str) -> Markup {
    let (was, will) = levels(course);
    let all: Vec<Level> = was.iter().chain(&will).copied().collect();
    let plot = Plot { across: ACROSS, down: DOWN, ..Plot::of(&all, course.safety_micro) };
    let (width, height) = SIZE;
    html! {
        svg role="img" aria-labelledby="balance-name balance-words"
            viewBox=(format!("0 0 {width} {height}")) xmlns="http://www.w3.org/2000/svg" font-size="14"
        {
            title id="balance-name" { (words.say("balance-title")) }
            desc id="balance-words" { (description) }
            (days(words, course, &plot))
            (rulers(words, course, &plot))
            (plot.lacking(&will))
            path d=(plot.steps(&was)) fill="none" stroke="#000" stroke-width="1.5" {}
            path d=(plot.steps(&will)) fill="none" stroke="#000" stroke-width="3.5" {}
            (now(words, course, &plot))
            @for event in &course.events { (mark(event, &plot)) }
            (key(words))
        }
    }
}

fn minute(at: Timestamp) -> i64 {
    at.as_second().div_euclid(60)
}

/// Levels up to now by the book, and from now on by the plan.
fn levels(course: &Course) -> (Vec<Level>, Vec<Level>) {
    let level = |event: &Event| (minute(event.at), event.left_micro);
    let before = course.events.iter().take_while(|event| !matches!(event.what, What::Now));
    let after = course.events.iter().skip_while(|event| !matches!(event.what, What::Now));
    let mut was = vec![(minute(course.from), course.start_micro)];
    was.extend(before.map(level));
    was.push((minute(course.now), course.book_micro));
    let mut will: Vec<Level> = after.map(level).collect();
    let last = will.last().map_or(0, |one| one.1);
    will.push((minute(course.to), last));
    (was, will)
}

/// A line at each local midnight, and some of them named.
fn days(words: Words, course: &Course, plot: &Plot) -> Markup {
    let start = |at: Timestamp| course.zone().to_datetime(at).date();
    let (first, last) = (start(course.from), start(course.to));
    let count = first.until(last).map_or(0, |span| i64::from(span.get_days())) + 1;
    let every = (count + DAYS_MAX - 1) / DAYS_MAX;
    let midnights = (0..count).filter_map(|day| {
        let date = first.checked_add(day.days()).ok()?;
        let at = calendar::instant(course.zone(), date, Time::midnight()).ok()?;
        Some((day, date, plot.x(minute(at))))
    });
    html! {
        @for (day, date, x) in midnights {
            @let bottom = DOWN.0 + DOWN.1;
            line x1=(x) x2=(x) y1=(DOWN.0) y2=(bottom) stroke="#000" stroke-width=".4" {}
            @if day % every == 0 && x + DAY <= SIZE.0 {
                text x=(x + 2) y=(DAYS) fill="#000" { (words.day(date)) }
            }
        }
    }
}

/// The lines of nothing and of what should be left, with the figures of the axis.
fn rulers(words: Words, course: &Course, plot: &Plot) -> Markup {
    let (low, high) = plot.levels;
    let (zero, kept) = (plot.y(0), plot.y(course.safety_micro));
    let end = ACROSS.0 + ACROSS.1;
    let text = |level: i64| {
        html! {
            text x=(ACROSS.0 - 8) y=(plot.y(level) + 5) text-anchor="end" fill="#000" { (said(words, level, course.unit)) }
        }
    };
    html! {
        line x1=(ACROSS.0) x2=(end) y1=(zero) y2=(zero) stroke="#000" stroke-width="1" {}
        text x=(ACROSS.0 - 8) y=(zero + 5) text-anchor="end" fill="#000" { "0" }
        (text(high))
        @if low < 0 && plot.y(low) - zero > 16 { (text(low)) }
        @if course.safety_micro > 0 {
            line x1=(ACROSS.0) x2=(end) y1=(kept) y2=(kept) stroke="#000" stroke-width="1" stroke-dasharray="5 5" {}
        }
    }
}

fn now(words: Words, course: &Course, plot: &Plot) -> Markup {
    let x = plot.x(minute(course.now));
    html! {
        line x1=(x) x2=(x) y1="14" y2=(DOWN.0 + DOWN.1) stroke="#000" stroke-width="1.5" stroke-dasharray="2 3" {}
        text x=(x) y="11" text-anchor="middle" font-weight="bold" fill="#000" { (words.say("balance-now")) }
    }
}

/// What comes is a full triangle upwards, what is taken an empty one downwards.
fn mark(event: &Event, plot: &Plot) -> Markup {
    let x = plot.x(minute(event.at));
    match event.what {
        What::Now => html! {},
        _ if event.amount_micro > 0 => up(x, MARKS),
        What::Taken(_) | What::Happened(..) => down(x, MARKS + 16),
        _ => cross(x, MARKS + 16),
    }
}

fn up(x: i64, y: i64) -> Markup {
    html! { path d=(format!("M{} {y}L{} {y}L{x} {}Z", x - 6, x + 6, y - 11)) fill="#000" {} }
}

fn down(x: i64, y: i64) -> Markup {
    let path = format!("M{} {}L{} {}L{x} {y}Z", x - 5, y - 10, x + 5, y - 10);
    html! { path d=(path) fill="#fff" stroke="#000" stroke-width="1.3" {} }
}

fn cross(x: i64, y: i64) -> Markup {
    let path = format!("M{} {}L{} {y}M{} {}L{} {y}", x - 5, y - 10, x + 5, x + 5, y - 10, x - 5);
    html! { path d=(path) fill="none" stroke="#000" stroke-width="2" {} }
}

fn key(words: Words) -> Markup {
    let (y, text) = (SIZE.1 - 6, SIZE.1 - 4);
    html! {
        g fill="#000" {
            (up(104, y)) text x="116" y=(text) { (words.say("balance-key-comes")) }
            (down(304, y)) text x="316" y=(text) { (words.say("balance-key-taken")) }
            (cross(504, y)) text x="516" y=(text) { (words.say("balance-key-ends")) }
        }
    }
}
