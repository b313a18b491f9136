//! Words in lines.

use super::{Item, Layout, Place, Strip};
use crate::{
    face::Face,
    length::Length,
    style::{Align, Display, Sides, Style},
    tree::Child,
};

/// Which letters a style asks for.
pub fn face(style: &Style) -> Face {
    match (style.bold, style.slanted) {
        (true, _) => Face::Bold,
        (false, true) => Face::Slanted,
        (false, false) => Face::Regular,
    }
}

/// A piece of a line that is not broken, or a box among words.
#[derive(Debug, Clone)]
struct Piece {
    text: String,
    face: Face,
    size: Length,
    width: Length,
    node: usize,
    /// A blank before which a line may end.
    blank: bool,
    /// A line ends here.
    ends: bool,
    frame: Option<(Length, Sides)>,
}

impl Layout<'_> {
    /// Words of an element, broken into lines.
    pub(super) fn lines(self, at: usize, words: &[&Child], place: Place) -> Vec<Strip> {
        let style = &self.node(at).style;
        let mut pieces = Vec::new();
        for child in words {
            self.collect(at, child, &mut pieces);
        }
        let mut strips = Vec::new();
        let (mut line, mut used): (Vec<Piece>, Length) = (Vec::new(), 0);
        for piece in pieces {
            if line.is_empty() && piece.blank {
                continue;
            }
            if piece.ends {
                strips.push(self.line(style, std::mem::take(&mut line), place));
                used = 0;
                continue;
            }
            let breaks = used + piece.width > place.width && !style.nowrap && !piece.blank;
            if breaks && !line.is_empty() && can_end(&line) {
                let rest = after_last_blank(&mut line);
                strips.push(self.line(style, std::mem::take(&mut line), place));
                used = rest.iter().map(|piece| piece.width).sum();
                line = rest;
            }
            // A piece longer than a whole line goes on in the next.
            for (number, part) in self.fitting(piece, place.width).into_iter().enumerate() {
                if number > 0 {
                    strips.push(self.line(style, std::mem::take(&mut line), place));
                    used = 0;
                }
                used += part.width;
                line.push(part);
            }
        }
        if line.iter().any(|piece| !piece.blank) {
            strips.push(self.line(style, line, place));
        }
        strips
    }

    /// How wide the longest word in an element is: what no line can be narrower than.
    pub(super) fn longest_word(self, at: usize) -> Length {
        if matches!(self.node(at).style.display, Display::Flex | Display::Grid) {
            return self.boxes(at).into_iter().map(|one| self.longest_word(one)).max().unwrap_or(0);
        }
        let mut pieces = Vec::new();
        let mut longest = 0;
        for child in &self.node(at).children {
            match child {
                Child::Node(one) if self.is_block(*one) => {
                    longest = longest.max(self.longest_word(*one));
                }
                child => self.collect(at, child, &mut pieces),
            }
        }
        // Words of two looks with no blank between them are one word, and where lines are not
        // broken a blank ends none.
        let nowrap = self.node(at).style.nowrap;
        let words = pieces.split(|piece| piece.ends || piece.blank && !nowrap);
        let widths = words.map(|word| word.iter().map(|piece| piece.width).sum());
        widths.max().unwrap_or(0).max(longest)
    }

    /// A piece, cut into parts if it is longer than a whole line.
    fn fitting(self, piece: Piece, width: Length) -> Vec<Piece> {
        if piece.width <= width || piece.frame.is_some() || width <= 0 {
            return vec![piece];
        }
        let mut parts = Vec::new();
        let mut text = String::new();
        for letter in piece.text.chars() {
            text.push(letter);
            if self.faces.width(piece.face, piece.size, &text) > width && text.chars().count() > 1 {
                text.pop();
                parts.push(self.piece(&piece, std::mem::take(&mut text)));
                text.push(letter);
            }
        }
        parts.push(self.piece(&piece, text));
        parts
    }

    fn piece(self, like: &Piece, text: String) -> Piece {
        let width = self.faces.width(like.face, like.size, &text);
        Piece { text, width, ..like.clone() }
    }

    fn collect(self, at: usize, child: &Child, pieces: &mut Vec<Piece>) {
        match child {
            Child::Text(text) => self.words(at, text, pieces),
            Child::Node(one) => {
                let node = self.node(*one);
                let style = &node.style;
                if node.tag == "br" {
                    pieces.push(Piece { ends: true, ..self.empty(at) });
                } else if style.display == Display::InlineBlock && style.width.is_some() {
                    let (width, height) = (style.width.unwrap_or(0), style.height.unwrap_or(0));
                    let frame = Some((height, style.border));
                    let margin = style.margin[1] + style.margin[3];
                    pieces.push(Piece { width: width + margin, frame, ..self.empty(*one) });
                } else {
                    for child in &node.children {
                        self.collect(*one, child, pieces);
                    }
                    let space = style.margin[1] + style.padding[1];
                    if space > 0 {
                        pieces.push(Piece { width: space, blank: true, ..self.empty(*one) });
                    }
                }
            }
        }
    }

    fn empty(self, node: usize) -> Piece {
        let style = &self.node(node).style;
        Piece {
            text: String::new(),
            face: face(style),
            size: style.size,
            width: 0,
            node,
            blank: false,
            ends: false,
            frame: None,
        }
    }

    fn words(self, at: usize, text: &str, pieces: &mut Vec<Piece>) {
        let like = self.empty(at);
        let nowrap = self.node(at).style.nowrap;
        let mut word = String::new();
        for letter in text.chars() {
            if letter.is_ascii_whitespace() && nowrap && !word.is_empty() {
                if !word.ends_with('\u{a0}') {
                    word.push('\u{a0}');
                }
            } else if letter.is_ascii_whitespace() {
                self.end_word(&like, &mut word, pieces);
                if !pieces.last().is_some_and(|piece| piece.blank && piece.text == " ") {
                    pieces.push(Piece { blank: true, ..self.piece(&like, " ".to_owned()) });
                }
            } else {
                word.push(letter);
            }
        }
        self.end_word(&like, &mut word, pieces);
    }

    fn end_word(self, like: &Piece, word: &mut String, pieces: &mut Vec<Piece>) {
        if !word.is_empty() {
            let text = std::mem::take(word);
            let trimmed = text.trim_end_matches('\u{a0}').to_owned();
            let ends_blank = trimmed.len() < text.len();
            pieces.push(self.piece(like, trimmed));
            if ends_blank {
                pieces.push(Piece { blank: true, ..self.piece(like, " ".to_owned()) });
            }
        }
    }

    /// One line with its words in place.
    fn line(self, style: &Style, mut line: Vec<Piece>, place: Place) -> Strip {
        while line.last().is_some_and(|piece| piece.blank) {
            line.pop();
        }
        let largest = line.iter().map(|piece| piece.size).max().unwrap_or(style.size);
        let boxes = line.iter().filter_map(|piece| piece.frame.map(|(height, _)| height));
        let height = Length::try_from(i64::from(largest) * style.line / 1000).unwrap_or(largest);
        let height = boxes.max().map_or(height, |tall| height.max(tall));
        let letters = self.faces.of(Face::Regular);
        let (rise, fall) = (letters.rise(largest), letters.fall(largest));
        let base = (height - rise - fall) / 2 + rise;
        let width: Length = line.iter().map(|piece| piece.width).sum();
        let mut x = place.x
            + match style.align {
                Align::Left => 0,
                Align::Right => (place.width - width).max(0),
                Align::Center => ((place.width - width) / 2).max(0),
            };
        let mut strip = Strip::blank(height);
        for piece in line {
            if let Some((tall, border)) = piece.frame {
                let top = (base - tall).max(0);
                strip.lines_around((x, top, piece.width, tall), border, false);
            }
            push_word(&mut strip, &piece, x, base);
            x += piece.width;
        }
        strip
    }
}

/// Adds a word; one that goes on in the same look makes the one before longer.
fn push_word(strip: &mut Strip, piece: &Piece, x: Length, y: Length) {
    if piece.text.is_empty() {
        return;
    }
    if let Some(Item::Text { size, face, text, node, .. }) = strip.items.last_mut()
        && (*size, *face, *node) == (piece.size, piece.face, piece.node)
    {
        text.push_str(&piece.text);
        return;
    }
    let (size, face, node) = (piece.size, piece.face, piece.node);
    strip.items.push(Item::Text { x, y, size, face, text: piece.text.clone(), node });
}

/// Whether a line may end before what comes next.
fn can_end(line: &[Piece]) -> bool {
    line.iter().any(|piece| piece.blank)
}

/// Takes what follows the last blank of a line: it belongs to the word that goes on.
fn after_last_blank(line: &mut Vec<Piece>) -> Vec<Piece> {
    let blank = line.iter().rposition(|piece| piece.blank);
    blank.map(|at| line.split_off(at + 1)).unwrap_or_default()
}
