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
pub(crate) type Level = (i64, i64);

/// Width and height of a balance, in its own units.
const BALANCE: (i64, i64) = (400, 60);

/// Where moments and levels stand in a drawing.
pub(crate) struct Plot {
    /// First and last moment.
    pub(crate) times: (i64, i64),
    /// Lowest and highest level.
    pub(crate) levels: (i64, i64),
    /// Left end and width.
    pub(crate) across: (i64, i64),
    /// Upper end and height.
    pub(crate) down: (i64, i64),
}

impl Plot {
    /// What holds some levels, the line of nothing and what should be left.
    pub(crate) fn of(levels: &[Level], safety: i64) -> Self {
        let at = |one: Option<&Level>| one.map_or(0, |one| one.0);
        let high = levels.iter().map(|one| one.1).max().unwrap_or(0).max(safety).max(1);
        let low = levels.iter().map(|one| one.1).min().unwrap_or(0).min(0);
        Self {
            times: (at(levels.first()), at(levels.last())),
            levels: (low, high),
            across: (1, BALANCE.0 - 2),
            down: (2, BALANCE.1 - 4),
        }
    }

    /// Where a moment stands.
    pub(crate) fn x(&self, at: i64) -> i64 {
        scaled((self.times.0, at), self.times, self.across.1) + self.across.0
    }

    /// Where a level stands.
    pub(crate) fn y(&self, level: i64) -> i64 {
        scaled((level, self.levels.1), self.levels, self.down.1) + self.down.0
    }

    /// The path of levels that hold from their moment on.
    pub(crate) fn steps(&self, levels: &[Level]) -> String {
        let mut line = String::new();
        for (number, &(at, level)) in levels.iter().enumerate() {
            line += &match number {
                0 => format!("M{} {}", self.x(at), self.y(level)),
                _ => format!("H{}V{}", self.x(at), self.y(level)),
            };
        }
        line
    }

    /// What is below nothing, filled.
    pub(crate) fn lacking(&self, levels: &[Level]) -> Markup {
        let ends = levels.iter().skip(1).map(|next| next.0).chain([self.times.1]);
        let below = levels.iter().zip(ends).filter(|(one, _)| one.1 < 0);
        html! {
            @for (&(at, level), until) in below {
                @let (left, top) = (self.x(at), self.y(0));
                rect x=(left) y=(top) width=((self.x(until) - left).max(2))
                    height=((self.y(level) - top).max(1)) fill="#000" {}
            }
        }
    }
}

/// How far a part of a whole goes on so many units; the figures stand beside it.
fn scaled(part: (i64, i64), whole: (i64, i64), size: i64) -> i64 {
    let long = |(from, to): (i64, i64)| i128::from(to) - i128::from(from);
    let wide = long(part) * i128::from(size) / long(whole).max(1);
    i64::try_from(wide).unwrap_or(0)
}

/// Draws how a balance steps down and up over time, with the line of nothing and, dashed, what
/// should be left. Below nothing it is short, and filled.
pub(crate) fn balance(id: &str, title: &str, words: &str, levels: &[Level], safety: i64) -> Markup {
    let (width, height) = BALANCE;
    let plot = Plot::of(levels, safety);
    let (title_id, words_id) = (format!("{id}-title"), format!("{id}-words"));
    let (zero, kept) = (plot.y(0), plot.y(safety));
    html! {
        svg.balance
            role="img"
            aria-labelledby=(format!("{title_id} {words_id}"))
            viewBox=(format!("0 0 {width} {height}"))
            xmlns="http://www.w3.org/2000/svg"
        {
            title id=(title_id) { (title) }
            desc id=(words_id) { (words) }
            (plot.lacking(levels))
            line x1="0" x2=(width) y1=(zero) y2=(zero) stroke="#000" stroke-width="1" {}
            @if safety > 0 {
                line x1="0" x2=(width) y1=(kept) y2=(kept) stroke="#000" stroke-width="1" stroke-dasharray="4 4" {}
            }
            path d=(plot.steps(levels)) fill="none" stroke="#000" stroke-width="2.5" {}
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
