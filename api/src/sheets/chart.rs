//! Bar charts: black on white, every bar with its figure in words.

use maud::{Markup, html};

/// One bar.
pub(crate) struct Bar {
    /// What it stands for.
    pub(crate) name: String,
    /// How long it is, against the longest.
    pub(crate) length: i128,
    /// Its figure in words.
    pub(crate) words: String,
}

/// Width of the drawing, in its own units.
const WIDTH: i128 = 700;
/// Width of one of two drawings that stand side by side.
pub(crate) const HALF: i128 = 340;
/// Height of one bar with its words.
const ROW: i128 = 44;
/// What the longest bar leaves free.
const MARGIN: i128 = 10;

/// Draws horizontal bars, longest scale first; whoever cannot see them reads the same words.
pub(crate) fn bars(id: &str, title: &str, bars: &[Bar]) -> Markup {
    bars_within(id, title, bars, (WIDTH, longest(bars)))
}

/// The longest of some bars.
pub(crate) fn longest(bars: &[Bar]) -> i128 {
    bars.iter().map(|bar| bar.length).max().unwrap_or(0)
}

/// How long the bar of a percentage is: hundredths are fine enough.
pub(crate) fn hundredths(percent: &str) -> i128 {
    let (whole, part) = percent.split_once('.').unwrap_or((percent, ""));
    let part: String = format!("{part:0<2}").chars().take(2).collect();
    format!("{whole}{part}").parse().unwrap_or(0)
}

/// The same in a drawing of another width, against a stated longest bar.
pub(crate) fn bars_within(
    id: &str,
    title: &str,
    bars: &[Bar],
    (width, most): (i128, i128),
) -> Markup {
    let (most, bar_max) = (most.max(1), width - MARGIN);
    let rows = i128::try_from(bars.len()).unwrap_or(0);
    let words: Vec<_> = bars.iter().map(|bar| format!("{}: {}", bar.name, bar.words)).collect();
    let (title_id, words_id) = (format!("{id}-title"), format!("{id}-words"));
    html! {
        svg.chart
            role="img"
            aria-labelledby=(format!("{title_id} {words_id}"))
            viewBox=(format!("0 0 {width} {}", rows * ROW + 4))
            xmlns="http://www.w3.org/2000/svg"
        {
            title id=(title_id) { (title) }
            desc id=(words_id) { (words.join("; ")) }
            @for (row, bar) in (0_i128..).zip(bars) {
                @let top = row * ROW;
                @let long = bar.length.max(0) * bar_max / most;
                text x="0" y=(top + 15) font-size="15" fill="#000" {
                    tspan font-weight="bold" { (bar.name) } "  " (bar.words)
                }
                rect x="0" y=(top + 20) width=(long.max(1)) height="14" fill="#000" {}
            }
        }
    }
}

/// A level from a moment on, in minutes and in millionths.
pub type Level = (i64, i64);

/// Width and height of a balance, in its own units.
const BALANCE: (i64, i64) = (400, 60);

/// Draws how a balance steps down and up over time, with the line of nothing and, dashed, what
/// should be left. Below nothing it is short, and filled.
#[must_use]
pub fn balance(id: &str, title: &str, words: &str, levels: &[Level], safety: i64) -> Markup {
    let (width, height) = BALANCE;
    let (first, last) = (levels.first(), levels.last());
    let (from, to) = (first.map_or(0, |one| one.0), last.map_or(0, |one| one.0));
    let high = levels.iter().map(|one| one.1).max().unwrap_or(0).max(safety).max(1);
    let low = levels.iter().map(|one| one.1).min().unwrap_or(0).min(0);
    // Whole units of the drawing; the figures stand beside it.
    let scaled = |part: i64, whole: i64, size: i64| {
        let wide = i128::from(part) * i128::from(size) / i128::from(whole.max(1));
        i64::try_from(wide).unwrap_or(0)
    };
    let x = |at: i64| scaled(at - from, to - from, width - 2) + 1;
    let y = |level: i64| scaled(high - level, high - low, height - 4) + 2;
    let mut line = String::new();
    for (number, &(at, level)) in levels.iter().enumerate() {
        line += &match number {
            0 => format!("M{} {}", x(at), y(level)),
            _ => format!("H{}V{}", x(at), y(level)),
        };
    }
    let short: Vec<(i64, i64, i64)> = levels
        .iter()
        .zip(levels.iter().skip(1).map(|next| next.0).chain([to]))
        .filter(|&(&(_, level), _)| level < 0)
        .map(|(&(at, level), until)| (x(at), x(until).max(x(at) + 2), y(level)))
        .collect();
    let (title_id, words_id) = (format!("{id}-title"), format!("{id}-words"));
    html! {
        svg.balance
            role="img"
            aria-labelledby=(format!("{title_id} {words_id}"))
            viewBox=(format!("0 0 {width} {height}"))
            xmlns="http://www.w3.org/2000/svg"
        {
            title id=(title_id) { (title) }
            desc id=(words_id) { (words) }
            @for (left, right, bottom) in short {
                rect x=(left) y=(y(0)) width=(right - left) height=((bottom - y(0)).max(1)) fill="#000" {}
            }
            line x1="0" x2=(width) y1=(y(0)) y2=(y(0)) stroke="#000" stroke-width="1" {}
            @if safety > 0 {
                line x1="0" x2=(width) y1=(y(safety)) y2=(y(safety)) stroke="#000" stroke-width="1" stroke-dasharray="4 4" {}
            }
            path d=(line) fill="none" stroke="#000" stroke-width="2.5" {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_bar_is_full_and_every_figure_stands_in_words() {
        let bar = |name: &str, length| Bar {
            name: name.to_owned(),
            length,
            words: format!("{length} kg"),
        };
        let drawn = bars("by-reason", "Waste", &[bar("spilled", 4), bar("burnt <b>", 2)]);
        let text = drawn.into_string();
        assert!(text.contains("width=\"690\"") && text.contains("width=\"345\""), "{text}");
        assert!(text.contains("spilled: 4 kg; burnt &lt;b&gt;: 2 kg"), "{text}");
        assert!(!text.contains("style="), "a page has no inline style: {text}");
    }

    #[test]
    fn a_percentage_is_as_long_as_its_hundredths() {
        for (percent, length) in [("62.5", 6250), ("100", 10_000), ("0.333333", 33), ("?", 0)] {
            assert_eq!(hundredths(percent), length, "{percent}");
        }
    }

    #[test]
    fn a_balance_steps_down_through_nothing_and_says_so_in_words() {
        let levels = [(0, 100), (60, 40), (120, -60), (180, -60)];
        let drawn = balance("rye", "Rye", "runs out", &levels, 20);
        let text = drawn.into_string();
        // 160 from top to bottom on 56 units: 100 is at 2, 0 at 37, -60 at 58.
        assert!(text.contains("d=\"M1 2H133V23H266V58H399V58\""), "{text}");
        assert!(text.contains("y1=\"37\"") && text.contains("stroke-dasharray"), "{text}");
        assert!(text.contains("<rect x=\"266\" y=\"37\" width=\"133\" height=\"21\""), "{text}");
        assert!(text.contains("runs out") && !text.contains("style="), "{text}");
        // Nothing known, nothing over time: no panic.
        balance("none", "None", "", &[], 0);
        balance("one", "One", "", &[(5, i64::MAX)], i64::MAX);
    }
}
