//! Bars of pictures that are told apart without colours: dashes of thick lines, which every
//! reader of drawings draws, in a picture by itself too.

use maud::{Markup, html};

/// How a bar is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    White,
    Black,
    /// Upright stripes.
    Stripes,
    /// Black dots.
    Dots,
    /// White dots on black.
    Holes,
}

/// A bar with its left and upper corner at a place, so wide and so high.
pub(super) fn draw(fill: Fill, (x, y): (i64, i64), (width, height): (i64, i64)) -> Markup {
    let dark = matches!(fill, Fill::Black | Fill::Holes);
    let (ground, ink) = if dark { ("#000", "#fff") } else { ("#fff", "#000") };
    let (rows, thick, dashes): (&[i64], i64, &str) = match fill {
        Fill::White | Fill::Black => (&[], 0, ""),
        Fill::Stripes => (&[2], height, "2 5"),
        Fill::Dots | Fill::Holes => (&[1, 3], 2, "2 4"),
    };
    html! {
        rect x=(x) y=(y) width=(width) height=(height) fill=(ground) stroke="#000" stroke-width="1.6" {}
        // In quarters of the height; a dash begins within the line around.
        @for row in rows {
            path d={ "M" (x + 2) " " (y + height * row / 4) "H" (x + width) } fill="none" stroke=(ink) stroke-width=(thick) stroke-dasharray=(dashes) {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_needs_nothing_from_elsewhere_in_the_page() {
        for fill in [Fill::White, Fill::Black, Fill::Stripes, Fill::Dots, Fill::Holes] {
            let drawn = draw(fill, (10, 20), (44, 12)).into_string();
            assert!(drawn.starts_with("<rect x=\"10\" y=\"20\""), "{drawn}");
            assert!(!drawn.contains("url("), "a picture is drawn by itself: {drawn}");
            let plain = matches!(fill, Fill::White | Fill::Black);
            assert_eq!(plain, !drawn.contains("dasharray"), "{fill:?}: {drawn}");
        }
    }
}
