//! What the rules of the style sheet come to for an element.

use crate::length::{self, Length, POINT};

/// How children are placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Display {
    /// In lines, as words.
    Inline,
    /// One below the other.
    Block,
    /// Beside each other.
    Flex,
    /// In columns.
    Grid,
    /// Not at all.
    None,
    /// A box in a line.
    InlineBlock,
}

/// Where lines begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Left.
    Left,
    /// Right.
    Right,
    /// In the middle.
    Center,
}

/// How what is left of a row of boxes is shared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Justify {
    /// After the last.
    Start,
    /// Before the first.
    End,
    /// Between them.
    Between,
}

/// One side of a box after the other: top, right, bottom, left.
pub type Sides = [Length; 4];

/// What the rules come to for one element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Style {
    /// How children are placed.
    pub display: Display,
    /// Size of letters.
    pub size: Length,
    /// Height of a line, in thousandths of the size.
    pub line: i64,
    /// Heavy letters.
    pub bold: bool,
    /// Slanted letters.
    pub slanted: bool,
    /// Where lines begin.
    pub align: Align,
    /// Lines are not broken.
    pub nowrap: bool,
    /// Distance to what is around.
    pub margin: Sides,
    /// Distance to what is inside.
    pub padding: Sides,
    /// Widths of the lines around.
    pub border: Sides,
    /// Lines around are dots.
    pub dotted: bool,
    /// A width of its own.
    pub width: Option<Length>,
    /// A height of its own.
    pub height: Option<Length>,
    /// At least so wide.
    pub min_width: Length,
    /// Distance of boxes: of rows, of columns.
    pub gap: (Length, Length),
    /// What is left of a row of boxes.
    pub justify: Justify,
    /// Boxes that do not fit go on in the next row.
    pub wraps: bool,
    /// Stands on the right; what follows stands beside it.
    pub floats: bool,
    /// Takes what is left of a row of boxes.
    pub grows: bool,
    /// Widths of columns; `None` takes a share of what is left.
    pub columns: Vec<Option<Length>>,
    /// Stays with what follows.
    pub with_next: bool,
    /// The page ends after it.
    pub ends_page: bool,
    /// Stays whole.
    pub whole: bool,
    /// Cells stand at the bottom of their row.
    pub bottom: bool,
    /// The sheet lies across.
    pub wide: bool,
    /// Lists have marks.
    pub marked: bool,
}

impl Style {
    /// What holds for a page as a whole.
    pub fn root() -> Self {
        Self {
            display: Display::Block,
            size: 12 * POINT,
            line: 1200,
            bold: false,
            slanted: false,
            align: Align::Left,
            nowrap: false,
            margin: [0; 4],
            padding: [0; 4],
            border: [0; 4],
            dotted: false,
            width: None,
            height: None,
            min_width: 0,
            gap: (0, 0),
            justify: Justify::Start,
            wraps: false,
            floats: false,
            grows: false,
            columns: Vec::new(),
            with_next: false,
            ends_page: false,
            whole: false,
            bottom: false,
            wide: false,
            marked: true,
        }
    }

    /// What a child has before its own rules.
    pub fn inherited(&self, tag: &str) -> Self {
        let &Self { size, line, bold, slanted, align, nowrap, marked, .. } = self;
        let mut style = Self { size, line, bold, slanted, align, nowrap, marked, ..Self::root() };
        match tag {
            "b" | "strong" | "th" | "dt" => style.bold |= tag != "dt",
            "i" | "em" => style.slanted = true,
            _ => {}
        }
        style.display = match tag {
            "span" | "b" | "strong" | "i" | "em" | "a" | "label" | "small" | "abbr" | "code"
            | "time" | "sup" | "sub" => Display::Inline,
            "head" | "script" | "style" | "title" | "colgroup" | "col" | "input" | "button"
            | "select" | "textarea" | "form" | "nav" => Display::None,
            _ => Display::Block,
        };
        match tag {
            "h1" | "h2" | "h3" | "h4" => {
                (style.bold, style.with_next) = (true, true);
                let share = match tag {
                    "h1" => 20,
                    "h2" => 15,
                    "h3" => 12,
                    _ => 10,
                };
                style.size = self.size * share / 10;
            }
            "ul" | "ol" => style.padding[3] = 14 * POINT,
            "th" => style.bottom = true,
            _ => {}
        }
        style
    }
}

/// The text of a `content`, its `\25B2` escapes read.
pub fn content(value: &str) -> Option<String> {
    let text = value.strip_prefix('"')?.strip_suffix('"')?;
    let mut parts = text.split('\\');
    let mut found = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let digits = part.find(|c: char| !c.is_ascii_hexdigit()).unwrap_or(part.len());
        let (code, rest) = part.split_at(digits);
        found.extend(u32::from_str_radix(code, 16).ok().and_then(char::from_u32));
        found.push_str(rest.strip_prefix(' ').unwrap_or(rest));
    }
    Some(found)
}

/// Applies a declaration; the size of the letters around is the measure of its shares.
pub fn apply(style: &mut Style, name: &str, value: &str, parent_size: Length) {
    let em = style.size;
    let length = |text: &str| length::parse(text, em);
    match name {
        "display" => {
            style.display = match value {
                "flex" => Display::Flex,
                "grid" => Display::Grid,
                "none" => Display::None,
                "inline-block" => Display::InlineBlock,
                "inline" => Display::Inline,
                _ => Display::Block,
            }
        }
        "font-size" => style.size = font_size(value, parent_size).unwrap_or(style.size),
        "font" => font(style, value),
        "line-height" => style.line = length::thousandths(value).unwrap_or(style.line),
        "font-weight" => style.bold = matches!(value, "bold" | "600" | "700" | "800"),
        "font-style" => style.slanted = value != "normal",
        "text-align" => {
            style.align = match value {
                "right" | "end" => Align::Right,
                "center" => Align::Center,
                _ => Align::Left,
            }
        }
        "white-space" => style.nowrap = value == "nowrap",
        "width" => style.width = length(value),
        "height" => style.height = length(value),
        "min-width" => style.min_width = length(value).unwrap_or(0),
        "gap" => {
            let mut parts = value.split_whitespace().map(|text| length(text).unwrap_or(0));
            let row = parts.next().unwrap_or(0);
            style.gap = (row, parts.next().unwrap_or(row));
        }
        "justify-content" => {
            style.justify = match value {
                "space-between" => Justify::Between,
                "flex-end" | "end" => Justify::End,
                _ => Justify::Start,
            }
        }
        "float" => style.floats = value == "right",
        "flex-wrap" => style.wraps = value == "wrap",
        "flex" => style.grows = value.starts_with('1'),
        "grid-template-columns" => {
            style.columns = value.split_whitespace().map(length).collect();
        }
        "break-inside" => style.whole = value == "avoid",
        "break-after" => {
            (style.with_next, style.ends_page) = (value == "avoid", value == "page");
        }
        "vertical-align" => style.bottom = value == "bottom",
        "page" => style.wide = value == "wide",
        "list-style" => style.marked = value != "none",
        _ => apply_sides(style, name, value),
    }
}

fn apply_sides(style: &mut Style, name: &str, value: &str) {
    let em = style.size;
    let parts: Vec<&str> = value.split_whitespace().collect();
    let length = |text: &str| length::parse(text, em).unwrap_or(0);
    let (group, side) = match name.split_once('-') {
        Some((group, side)) => (group, side),
        None => (name, ""),
    };
    if name == "border-collapse" || name == "border-radius" || name == "border-color" {
        return;
    }
    let side = side.strip_suffix("-width").unwrap_or(side);
    let all = match group {
        "border" => {
            style.dotted |= parts.contains(&"dotted");
            [length(parts.first().copied().unwrap_or("0")); 4]
        }
        "margin" | "padding" => {
            let at = |index: usize| parts.get(index).map(|text| length(text));
            let top = at(0).unwrap_or(0);
            let right = at(1).unwrap_or(top);
            [top, right, at(2).unwrap_or(top), at(3).unwrap_or(right)]
        }
        _ => return,
    };
    let sides = match group {
        "border" => &mut style.border,
        "margin" => &mut style.margin,
        _ => &mut style.padding,
    };
    match side {
        "top" => sides[0] = all[0],
        "right" => sides[1] = all[0],
        "bottom" => sides[2] = all[0],
        "left" => sides[3] = all[0],
        "" | "width" => *sides = all,
        _ => {}
    }
}

fn font_size(value: &str, parent: Length) -> Option<Length> {
    match value.strip_suffix('%') {
        Some(percent) => {
            let value = length::thousandths(percent)? * i64::from(parent) / 100_000;
            Length::try_from(value).ok()
        }
        None => length::parse(value, parent),
    }
}

/// `14pt/1.2 family, …`: size and line; the letters are always our own.
fn font(style: &mut Style, value: &str) {
    let Some(first) = value
        .split_whitespace()
        .find(|part| part.starts_with(|letter: char| letter.is_ascii_digit()))
    else {
        return;
    };
    let (size, line) = first.split_once('/').unwrap_or((first, ""));
    style.size = font_size(size, style.size).unwrap_or(style.size);
    style.line = length::thousandths(line).unwrap_or(style.line);
    style.bold = value.contains("bold");
}
