//! The day station by station, drawn as pictures that print black on white.
//!
//! How a bar is filled tells the kinds apart, and words stand above every bar.

use crate::sheets::bar::{self, Fill};
use crate::wire::day_board::{BarView, DayBoardView, StationView};
use maud::{Markup, html};

/// Width of a picture in its own units: four to a millimetre of paper.
const WIDTH: i64 = 1108;
/// Room on both sides, so that the first and last hour are not cut.
const MARGIN: i64 = 24;
/// Height of one lane: a line of words, and its bar.
const LANE: i64 = 34;
/// Height of the bar.
const BAR: i64 = 12;
/// Height of the hours on top.
const HOURS: i64 = 20;
/// Letters of a time with its space.
const CLOCK: i64 = 7;
/// Letters of what follows if a bar ends on a day after.
const AFTER: i64 = 20;
/// About as wide as one letter.
const LETTER: i64 = 8;

/// The words of the pictures.
pub(crate) struct Said<'a> {
    /// What each filling means, by kind of station.
    pub(crate) key: [(&'static str, String); 3],
    /// A local instant.
    pub(crate) moment: &'a dyn Fn(&str) -> String,
}

/// Draws all stations of a board.
pub(crate) fn draw(view: &DayBoardView, said: &Said<'_>) -> Markup {
    html! {
        (key(said))
        @for station in &view.stations { (picture(view, station, said)) }
    }
}

fn key(said: &Said<'_>) -> Markup {
    let names = said.key.each_ref().map(|(_, name)| name.as_str()).join(", ");
    html! {
        svg.key viewBox={ "0 0 " (WIDTH) " 24" } role="img" aria-label=(names) {
            @for (at, (kind, name)) in said.key.iter().enumerate() {
                @let x = i64::try_from(at).unwrap_or(0) * 260;
                (bar::draw(fill(kind), (x, 6), (44, BAR)))
                text x=(x + 52) y="17" font-size="15" { (name) }
            }
        }
    }
}

/// How the bars of a kind of station are filled.
fn fill(kind: &str) -> Fill {
    match kind {
        "mixer" => Fill::Stripes,
        "oven" => Fill::Holes,
        _ => Fill::Dots,
    }
}

/// A bar as it is drawn: where it stands, and in which lane.
struct Drawn<'a> {
    bar: &'a BarView,
    x: i64,
    words_x: i64,
    width: i64,
    lane: usize,
}

fn picture(view: &DayBoardView, station: &StationView, said: &Said<'_>) -> Markup {
    let (drawn, lanes) = lanes(view, station);
    let height = HOURS + i64::try_from(lanes).unwrap_or(1) * LANE + 4;
    html! {
        section.station {
            h2 { (station.name) }
            svg viewBox={ "0 0 " (WIDTH) " " (height) } role="img" aria-label=(station.name) {
                @for (minute, hour) in &view.hours {
                    @let x = place(view, *minute);
                    line x1=(x) x2=(x) y1=(HOURS - 4) y2=(height) stroke="#000" stroke-width="0.5" stroke-dasharray="2 4" {}
                    text x=(x) y="12" font-size="13" text-anchor="middle" { (hour) }
                }
                @for one in &drawn { (bar(view, station.kind, one, said)) }
            }
        }
    }
}

fn bar(view: &DayBoardView, kind: &str, drawn: &Drawn<'_>, said: &Said<'_>) -> Markup {
    let Drawn { bar, x, words_x, width, lane } = drawn;
    let top = HOURS + i64::try_from(*lane).unwrap_or(0) * LANE;
    let [first, last] = view.span_minutes;
    html! {
        text x=(words_x) y=(top + 14) font-size="15" {
            tspan font-weight="bold" { (label_time(bar, first)) }
            " " (bar.label)
            @if bar.to_minute > last { " → " ((said.moment)(&bar.end)) }
        }
        (bar::draw(fill(kind), (*x, top + 18), (*width, BAR)))
    }
}

/// When it begins; with an arrow if that lies before the picture.
fn label_time(bar: &BarView, first: i64) -> String {
    let clock = bar.start.get(11..16).unwrap_or_default();
    if bar.from_minute < first { format!("← {clock}") } else { clock.to_owned() }
}

fn place(view: &DayBoardView, minute: i64) -> i64 {
    let [first, last] = view.span_minutes;
    MARGIN + (minute.clamp(first, last) - first) * (WIDTH - 2 * MARGIN) / (last - first).max(1)
}

/// Lanes in which neither bars nor words meet.
fn lanes<'a>(view: &DayBoardView, station: &'a StationView) -> (Vec<Drawn<'a>>, usize) {
    let mut free_from: Vec<i64> = Vec::new();
    let mut drawn = Vec::with_capacity(station.bars.len());
    for bar in &station.bars {
        let x = place(view, bar.from_minute);
        let width = (place(view, bar.to_minute) - x).max(3);
        let after = if bar.to_minute > view.span_minutes[1] { AFTER } else { 0 };
        let letters = i64::try_from(bar.label.chars().count()).unwrap_or(0) + CLOCK + after;
        // Words that would run over the edge end at it.
        let words_x = x.min(WIDTH - letters * LETTER).max(0);
        let end = (x + width).max(words_x + letters * LETTER) + 6;
        let lane = free_from.iter().position(|&free| free <= words_x).unwrap_or(free_from.len());
        match free_from.get_mut(lane) {
            Some(free) => *free = end,
            None => free_from.push(end),
        }
        drawn.push(Drawn { bar, x, words_x, width, lane });
    }
    (drawn, free_from.len())
}
