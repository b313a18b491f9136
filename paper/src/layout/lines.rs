//! Words in lines.

use super::{Item, Layout, Place, Strip};
use crate::{
    face::Face,
    length::Length,
    style::{Align, Display, Sides, Style},
    tree::{Child, Node},
};
use std::borrow::Cow;

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
struct Piece<'a> {
    text: Cow<'a, str>,
    face: Face,
    size: Length,
    width: Length,
    part: usize,
    /// A blank before which a line may end.
    blank: bool,
    /// A line ends here.
    ends: bool,
    frame: Option<(Length, Sides)>,
}

impl<'a> Layout<'a> {
    /// Words of an element, broken into lines.
    pub(super) fn lines(self, at: usize, words: &[&'a Child<'a>], place: Place) -> Vec<Strip> {
        let style = &self.node(at).style;
        let mut pieces = Vec::new();
        for child in words {
            self.collect(at, child, &mut pieces);
        }
        let mut strips = Vec::new();
        let (mut line, mut used): (Vec<Piece<'_>>, Length) = (Vec::new(), 0);
        for piece in pieces {
            if line.is_empty() && piece.blank {
                continue;
            }
            if piece.ends {
                line.push(piece);
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
            if piece.width <= place.width || piece.frame.is_some() || place.width <= 0 {
                used += piece.width;
                line.push(piece);
                continue;
            }
            // A piece longer than a whole line goes on in the next.
            for (number, part) in self.cut(&piece, place.width).into_iter().enumerate() {
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

    /// A piece longer than a whole line, cut into parts.
    fn cut(self, piece: &Piece<'a>, width: Length) -> Vec<Piece<'a>> {
        let mut parts = Vec::new();
        let mut text = String::new();
        for letter in piece.text.chars() {
            text.push(letter);
            if self.faces.width(piece.face, piece.size, &text) > width && text.chars().count() > 1 {
                text.pop();
                parts.push(self.piece(piece, std::mem::take(&mut text).into()));
                text.push(letter);
            }
        }
        parts.push(self.piece(piece, text.into()));
        parts
    }

    fn piece(self, like: &Piece<'a>, text: Cow<'a, str>) -> Piece<'a> {
        let width = self.faces.width(like.face, like.size, &text);
        Piece { text, width, ..like.clone() }
    }

    fn collect(self, at: usize, child: &'a Child<'a>, pieces: &mut Vec<Piece<'a>>) {
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

    fn empty(self, node: usize) -> Piece<'a> {
        let Node { style, part, .. } = self.node(node);
        Piece {
            text: Cow::Borrowed(""),
            face: face(style),
            size: style.size,
            width: 0,
            part: *part,
            blank: false,
            ends: false,
            frame: None,
        }
    }

    fn words(self, at: usize, text: &'a str, pieces: &mut Vec<Piece<'a>>) {
        let like = self.empty(at);
        let nowrap = self.node(at).style.nowrap;
        let mut rest = text;
        while !rest.is_empty() {
            let from = rest.trim_ascii_start();
            if from.len() < rest.len() {
                if !pieces.last().is_some_and(|piece| piece.blank && piece.text == " ") {
                    pieces.push(Piece { blank: true, ..self.piece(&like, " ".into()) });
                }
                rest = from;
                continue;
            }
            let end = match nowrap {
                true => rest.trim_ascii_end().len(),
                false => {
                    rest.find(|letter: char| letter.is_ascii_whitespace()).unwrap_or(rest.len())
                }
            };
            let (word, after) = rest.split_at(end);
            pieces.push(self.piece(&like, with_single_blanks(word)));
            rest = after;
        }
    }

    /// One line with its words in place.
    fn line(self, style: &Style, mut line: Vec<Piece<'a>>, place: Place) -> Strip {
        // The blank at the end takes no room; whoever hears the words needs it before the next.
        let ended = line.last().is_some_and(|piece| piece.blank || piece.ends);
        while line.last().is_some_and(|piece| piece.blank || piece.ends) {
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
        let mut joins = false;
        for piece in line {
            if let Some((tall, border)) = piece.frame {
                let top = (base - tall).max(0);
                strip.lines_around((x, top, piece.width, tall), border, false);
            }
            let (width, words) = (piece.width, !piece.text.is_empty());
            if words {
                push_word(&mut strip, piece, (x, base), joins);
            }
            joins = words;
            x += width;
        }
        if let (true, Some(Item::Text { text, .. })) = (ended, strip.items.last_mut()) {
            text.push(' ');
        }
        strip
    }
}

/// Adds a word; one that goes on in the same look makes the one before longer.
fn push_word(strip: &mut Strip, piece: Piece<'_>, (x, y): (Length, Length), joins: bool) {
    let Piece { size, face, part, text, .. } = piece;
    match strip.items.last_mut() {
        Some(Item::Text { size: before, face: letters, part: of, text: words, .. })
            if joins && (*before, *letters, *of) == (size, face, part) =>
        {
            words.push_str(&text);
        }
        _ => strip.items.push(Item::Text { x, y, size, face, text: text.into_owned(), part }),
    }
}

/// Words that are not parted, with one blank between them.
fn with_single_blanks(word: &str) -> Cow<'_, str> {
    let blanks = |letter: char| letter.is_ascii_whitespace() && letter != ' ';
    if !word.contains("  ") && !word.contains(blanks) {
        return Cow::Borrowed(word);
    }
    Cow::Owned(word.split_ascii_whitespace().collect::<Vec<_>>().join(" "))
}

/// Whether a line may end before what comes next.
fn can_end(line: &[Piece<'_>]) -> bool {
    line.iter().any(|piece| piece.blank)
}

/// Takes what follows the last blank of a line: it belongs to the word that goes on.
fn after_last_blank<'a>(line: &mut Vec<Piece<'a>>) -> Vec<Piece<'a>> {
    let blank = line.iter().rposition(|piece| piece.blank);
    blank.map(|at| line.split_off(at + 1)).unwrap_or_default()
}
