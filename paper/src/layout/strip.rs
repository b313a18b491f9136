//! A band of paper and what stands on it.

use super::Place;
use crate::{face::Face, length::Length, style::Sides};
use std::rc::Rc;

/// Something on paper; places count from the left and top of its strip.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Item {
    /// Words of one look.
    Text {
        /// Where they begin.
        x: Length,
        /// The line on which they stand.
        y: Length,
        /// Size of the letters.
        size: Length,
        /// Which letters.
        face: Face,
        /// The words.
        text: String,
        /// What they are part of.
        part: usize,
    },
    /// A straight line.
    Line(Line),
    /// A drawing.
    Drawing {
        /// Left side.
        x: Length,
        /// Upper side.
        y: Length,
        /// Width and height.
        size: (Length, Length),
        /// SVG.
        source: Rc<str>,
        /// What it is part of.
        part: usize,
    },
}

impl Item {
    /// What it is part of, and how far it stands from the top; lines are of nothing.
    pub const fn part(&self) -> Option<(usize, Length)> {
        match self {
            Self::Text { part, y, .. } | Self::Drawing { part, y, .. } => Some((*part, *y)),
            Self::Line(_) => None,
        }
    }

    /// Whether both are words of one part.
    pub fn joins(&self, next: &Self) -> bool {
        match (self, next) {
            (Self::Text { part, .. }, Self::Text { part: other, .. }) => part == other,
            _ => false,
        }
    }
}

/// A straight line, from left to right or from top to bottom.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// Where it begins.
    pub from: (Length, Length),
    /// Where it ends.
    pub to: (Length, Length),
    /// How thick, and whether it is in dots.
    pub look: (Length, bool),
}

impl Line {
    /// Whether another goes on where this one ends, in the same direction and look.
    pub fn goes_on_in(&self, next: &Self) -> bool {
        let across = |line: &Self| line.from.1 == line.to.1;
        let down = |line: &Self| line.from.0 == line.to.0;
        let same_way = across(self) && across(next) || down(self) && down(next);
        self.to == next.from && self.look == next.look && same_way
    }
}

/// A band of paper that is never cut.
#[derive(Debug, Clone, Default)]
pub struct Strip {
    /// Height.
    pub height: Length,
    /// What stands on it.
    pub items: Vec<Item>,
    /// Stays with the next one.
    pub with_next: bool,
    /// The page ends after it.
    pub ends_page: bool,
    /// What stands on top of the next page if a page begins here.
    pub head: Option<Rc<Strip>>,
}

impl Strip {
    /// Nothing, so high.
    pub fn blank(height: Length) -> Self {
        Self { height, ..Self::default() }
    }

    /// Moves what stands on it down.
    pub fn shift(&mut self, down: Length) {
        for item in &mut self.items {
            match item {
                Item::Text { y, .. } | Item::Drawing { y, .. } => *y += down,
                Item::Line(line) => {
                    line.from.1 += down;
                    line.to.1 += down;
                }
            }
        }
    }

    /// Draws the lines around a box.
    pub fn lines_around(
        &mut self,
        (x, y, width, height): (Length, Length, Length, Length),
        border: Sides,
        dotted: bool,
    ) {
        let [top, right, bottom, left] = border;
        let (end, low) = (x + width, y + height);
        let sides = [
            (top, (x, y + top / 2), (end, y + top / 2)),
            (right, (end - right / 2, y), (end - right / 2, low)),
            (bottom, (x, low - bottom / 2), (end, low - bottom / 2)),
            (left, (x + left / 2, y), (x + left / 2, low)),
        ];
        for (thick, from, to) in sides {
            if thick > 0 {
                self.items.push(Item::Line(Line { from, to, look: (thick, dotted) }));
            }
        }
    }

    /// The right end of what stands on it.
    pub fn right(&self, measure: impl Fn(Face, Length, &str) -> Length) -> Length {
        let ends = self.items.iter().map(|item| match item {
            Item::Text { x, size, face, text, .. } => {
                x + measure(*face, *size, text.trim_end_matches(' '))
            }
            Item::Line(line) => line.to.0,
            Item::Drawing { x, size, .. } => x + size.0,
        });
        ends.max().unwrap_or(0)
    }
}

/// How high strips are together.
pub fn stacked_height(strips: &[Strip]) -> Length {
    strips.iter().map(|strip| strip.height).sum()
}

/// Strips one below the other, as one that is never cut.
pub fn stack(strips: Vec<Strip>) -> Strip {
    let mut whole = Strip::default();
    for mut strip in strips {
        strip.shift(whole.height);
        whole.items.append(&mut strip.items);
        whole.height += strip.height;
    }
    whole
}

/// A drawing as wide as its place, in its own proportions.
pub fn drawing(part: usize, source: &Rc<str>, place: Place) -> Strip {
    let (wide, high) = proportions(source).unwrap_or((1, 1));
    let height = i64::from(place.width) * high / wide.max(1);
    let height = Length::try_from(height).unwrap_or(Length::MAX / 4);
    let source = Rc::clone(source);
    let item = Item::Drawing { x: place.x, y: 0, size: (place.width, height), source, part };
    Strip { height, items: vec![item], ..Strip::default() }
}

/// Width and height of a drawing's own units, from its `viewBox`.
fn proportions(source: &str) -> Option<(i64, i64)> {
    let (_, rest) = source.split_once("viewBox=\"")?;
    let (numbers, _) = rest.split_once('"')?;
    let mut numbers = numbers.split([' ', ',']).filter(|text| !text.is_empty());
    let mut next = || crate::length::thousandths(numbers.next()?);
    next()?;
    next()?;
    Some((next()?, next()?)).filter(|(wide, high)| *wide > 0 && *high > 0)
}
