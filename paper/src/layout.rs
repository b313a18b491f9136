//! Elements become strips: bands of paper, one below the other, that are never cut.

mod boxes;
mod lines;
mod strip;
mod table;

pub use strip::{Item, Line, Strip};

use crate::{
    face::Faces,
    length::{Area, Length},
    style::{Display, Sides},
    tree::{Child, Node, Tree},
};
use strip::{stack, stacked_height};

/// Where something stands: its left side and its width.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// Distance from the left side of what is printed.
    pub x: Length,
    /// Width.
    pub width: Length,
}

/// What layout reads.
#[derive(Clone, Copy)]
pub struct Layout<'a> {
    /// The page.
    pub tree: &'a Tree<'a>,
    /// The letters.
    pub faces: &'a Faces,
}

impl<'a> Layout<'a> {
    /// The strips of the sheet.
    pub fn sheet(self, area: Area) -> Vec<Strip> {
        self.flow(0, Place { x: 0, width: area.inner_width() })
    }

    fn node(self, at: usize) -> &'a Node<'a> {
        &self.tree.nodes[at]
    }

    /// An element with its margins, padding and lines around.
    fn block(self, at: usize, place: Place) -> Vec<Strip> {
        let style = &self.node(at).style;
        let [top, right, bottom, left] = style.margin;
        let place = Place { x: place.x + left, width: (place.width - left - right).max(0) };
        let mut strips = Vec::new();
        if top > 0 {
            strips.push(Strip::blank(top));
        }
        let mut inner = self.framed(at, place);
        if style.with_next || style.whole {
            let last = inner.len().saturating_sub(1);
            for (number, strip) in inner.iter_mut().enumerate() {
                strip.with_next |= style.with_next || number < last;
            }
        }
        strips.append(&mut inner);
        if bottom > 0 {
            strips.push(Strip { with_next: style.with_next, ..Strip::blank(bottom) });
        }
        if let Some(last) = strips.last_mut() {
            last.ends_page |= style.ends_page;
        }
        strips
    }

    /// An element without its margins.
    fn framed(self, at: usize, place: Place) -> Vec<Strip> {
        let node = self.node(at);
        let (border, padding) = (node.style.border, node.style.padding);
        let side = |index: usize| border[index] + padding[index];
        let width = node.style.width.map_or(place.width, |own| own.min(place.width));
        let inner = Place { x: place.x + side(3), width: (width - side(1) - side(3)).max(0) };
        let mut strips = self.content(at, inner);
        if let Some(height) = node.style.height {
            let missing = height - side(0) - side(2) - stacked_height(&strips);
            if missing > 0 {
                strips.push(Strip::blank(missing));
            }
        }
        if border == [0; 4] {
            for (index, first) in [(0, true), (2, false)] {
                if padding[index] > 0 {
                    let at = if first { 0 } else { strips.len() };
                    strips.insert(at, Strip { with_next: first, ..Strip::blank(padding[index]) });
                }
            }
            return strips;
        }
        vec![frame(stack(strips), (place.x, width), (border, padding), node.style.dotted)]
    }

    /// What is in an element, in the way of its style.
    fn content(self, at: usize, place: Place) -> Vec<Strip> {
        let node = self.node(at);
        if let Some(source) = &node.drawing {
            return vec![strip::drawing(node.part, source, place)];
        }
        match (node.tag, node.style.display) {
            ("table", _) => self.table(at, place),
            (_, Display::Flex) => self.flex(at, place),
            (_, Display::Grid) => self.grid(at, place),
            _ => self.flow(at, place),
        }
    }

    /// Children one below the other; words among them in lines.
    fn flow(self, at: usize, place: Place) -> Vec<Strip> {
        let node = self.node(at);
        let mut strips: Vec<Strip> = Vec::new();
        let mut words: Vec<&Child<'_>> = Vec::new();
        let mut number = 0;
        let mut aside = Aside::default();
        for child in &node.children {
            match child {
                Child::Node(one) if self.node(*one).style.floats => {
                    let (strip, width) = self.aside(*one, place);
                    aside = Aside { width, until: stacked_height(&strips) + strip.height };
                    strips.push(Strip { height: 0, with_next: true, ..strip });
                }
                Child::Node(one) if self.is_block(*one) => {
                    strips.append(&mut self.lines(at, &words, place));
                    words.clear();
                    let mut inner = self.block(*one, aside.beside(place, &strips));
                    if self.node(*one).tag == "li" && node.style.marked {
                        number += 1;
                        let text =
                            if node.tag == "ol" { format!("{number}.") } else { "•".into() };
                        self.mark(*one, &text, place, &mut inner);
                    }
                    strips.append(&mut inner);
                }
                child => words.push(child),
            }
        }
        strips.append(&mut self.lines(at, &words, aside.beside(place, &strips)));
        let missing = aside.until - stacked_height(&strips);
        if missing > 0 {
            strips.push(Strip::blank(missing));
        }
        strips
    }

    /// What stands on the right, and how wide it is.
    fn aside(self, at: usize, place: Place) -> (Strip, Length) {
        let style = &self.node(at).style;
        let width = style.width.unwrap_or(place.width / 3) + style.margin[1] + style.margin[3];
        let x = place.x + (place.width - width).max(0);
        (stack(self.block(at, Place { x, width })), width)
    }

    fn is_block(self, at: usize) -> bool {
        let node = self.node(at);
        node.tag != "br" && !matches!(node.style.display, Display::Inline | Display::InlineBlock)
    }

    /// The mark of a list's element, left of its first line.
    fn mark(self, at: usize, text: &str, place: Place, strips: &mut [Strip]) {
        let Node { style, part, mark, .. } = self.node(at);
        let Some(first) = strips.iter_mut().find(|strip| !strip.items.is_empty()) else { return };
        let line = first.items.iter().find_map(|item| match item {
            Item::Text { y, .. } => Some(*y),
            _ => None,
        });
        let (size, face) = (style.size, lines::face(style));
        let x = place.x - self.faces.width(face, size, text) - size / 2;
        if let Some(y) = line {
            let text = text.to_owned();
            let part = mark.unwrap_or(*part);
            first.items.insert(0, Item::Text { x, y, size, face, text, part });
        }
    }
}

/// What stands on the right of what follows: how wide, and down to where.
#[derive(Debug, Clone, Copy, Default)]
struct Aside {
    width: Length,
    until: Length,
}

impl Aside {
    /// The place of what follows.
    fn beside(self, place: Place, above: &[Strip]) -> Place {
        if stacked_height(above) >= self.until {
            return place;
        }
        Place { width: (place.width - self.width).max(0), ..place }
    }
}

/// The left side of something.
fn strip_left(item: &Item) -> Length {
    match item {
        Item::Text { x, .. } | Item::Drawing { x, .. } => *x,
        Item::Line(line) => line.from.0,
    }
}

/// Lines around a strip, and the distance inside them.
fn frame(
    mut strip: Strip,
    (x, width): (Length, Length),
    (border, padding): (Sides, Sides),
    dotted: bool,
) -> Strip {
    strip.shift(border[0] + padding[0]);
    strip.height += border[0] + padding[0] + border[2] + padding[2];
    strip.lines_around((x, 0, width, strip.height), border, dotted);
    strip
}
