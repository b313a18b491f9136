//! Bar charts: black on white, every bar with its figure in words.

use maud::{Markup, html};

/// One bar.
pub(super) struct Bar {
    /// What it stands for.
    pub(super) name: String,
    /// How long it is, against the longest.
    pub(super) length: i128,
    /// Its figure in words.
    pub(super) words: String,
}

/// Width of the drawing, in its own units.
const WIDTH: i128 = 700;
/// Height of one bar with its words.
const ROW: i128 = 44;
/// What the longest bar leaves free.
const MARGIN: i128 = 10;

/// Draws horizontal bars, longest scale first; whoever cannot see them reads the same words.
pub(super) fn bars(id: &str, title: &str, bars: &[Bar]) -> Markup {
    bars_within(id, title, bars, (WIDTH, longest(bars)))
}

/// The longest of some bars.
pub(super) fn longest(bars: &[Bar]) -> i128 {
    bars.iter().map(|bar| bar.length).max().unwrap_or(0)
}

/// The same in a drawing of another width, against a stated longest bar.
pub(super) fn bars_within(
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
}
