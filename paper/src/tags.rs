//! What each piece of the file is, for those who have it read to them.

use crate::length::Length;
use krilla::tagging::{Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagKind};
use std::num::NonZeroU16;

/// Something that words are part of: a heading, a cell, a paragraph.
struct Part<'a> {
    /// Its name in HTML.
    tag: &'a str,
    within: usize,
    /// What a heading says, or a drawing shows.
    words: String,
}

/// The parts of a page and what was written of each.
#[derive(Default)]
pub struct Tags<'a> {
    /// In the order of the page; the first is the body.
    parts: Vec<Part<'a>>,
    /// What was written, and of which part.
    written: Vec<(usize, Identifier)>,
    /// First words of each heading of the first rank: page, and place on it.
    headings: Vec<(usize, usize, Length)>,
}

impl<'a> Tags<'a> {
    /// Adds a part within another.
    pub fn add(&mut self, tag: &'a str, within: usize) -> usize {
        self.parts.push(Part { tag, within, words: String::new() });
        self.parts.len() - 1
    }

    /// Says what a part says or shows.
    pub fn name(&mut self, part: usize, words: String) {
        self.parts[part].words = words;
    }

    /// Something of a part was written on a page, so far from its top.
    pub fn wrote(&mut self, part: usize, id: Identifier, (page, y): (usize, Length)) {
        self.written.push((part, id));
        let around = |at: &usize| Some(self.parts[*at].within).filter(|within| within < at);
        let heading =
            std::iter::successors(Some(part), around).find(|at| self.parts[*at].tag == "h1");
        if let Some(heading) = heading
            && self.headings.last().is_none_or(|(last, ..)| *last != heading)
        {
            self.headings.push((heading, page, y));
        }
    }

    /// Headings of the first rank with page and place, in the order in which they were written.
    pub fn headings(&self) -> impl Iterator<Item = (&str, usize, Length)> {
        self.headings.iter().map(|(at, page, y)| (self.parts[*at].words.as_str(), *page, *y))
    }

    /// The whole page as groups.
    pub fn groups(mut self) -> Vec<Node> {
        // What is in each part, the last first: it comes later in the page than the part.
        let mut inner: Vec<Vec<Node>> = Vec::new();
        inner.resize_with(self.parts.len(), Vec::new);
        let mut whole = Vec::new();
        self.written.sort_by_key(|(part, _)| *part);
        while let Some(Part { tag, within, words }) = self.parts.pop() {
            let first = self.written.partition_point(|(part, _)| *part < self.parts.len());
            let (spoken, inside) = (first < self.written.len(), inner.pop().unwrap_or_default());
            let mut children = Vec::with_capacity(self.written.len() - first + inside.len());
            children.extend(self.written.drain(first..).map(|(_, id)| Node::from(id)));
            children.extend(inside.into_iter().rev());
            if let (true, [Node::Group(only)]) = (tag == "td" || tag == "th", &mut children[..])
                && matches!(only.tag, TagKind::P(_))
            {
                // A cell of one paragraph is that paragraph.
                children = std::mem::take(&mut only.children);
            }
            let around = inner.get_mut(within).unwrap_or(&mut whole);
            // A cell without words is a cell all the same, or its row would be crooked.
            let told = !children.is_empty() || matches!(tag, "td" | "th");
            match kind(tag, words) {
                Some(kind) if told => around.push(TagGroup::with_children(kind, children).into()),
                None if spoken => around.push(TagGroup::with_children(Tag::P, children).into()),
                // What only holds others together says nothing by itself.
                _ => around.extend(children.into_iter().rev()),
            }
        }
        whole.reverse();
        whole
    }
}

/// What a part is; `None` if it is no more than words.
fn kind(tag: &str, words: String) -> Option<TagKind> {
    let heading = |level: u16, words: String| {
        let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        Tag::Hn(level, Some(words)).into()
    };
    Some(match tag {
        "h1" => heading(1, words),
        "h2" => heading(2, words),
        "h3" | "h4" => heading(3, words),
        "table" => Tag::Table.into(),
        "thead" => Tag::THead.into(),
        "tbody" => Tag::TBody.into(),
        "tfoot" => Tag::TFoot.into(),
        "tr" => Tag::TR.into(),
        "th" => Tag::TH(TableHeaderScope::Column).into(),
        "td" => Tag::TD.into(),
        "ul" | "ol" => Tag::L(ListNumbering::None).into(),
        "li" => Tag::LI.into(),
        "main" | "section" => Tag::Section.into(),
        "svg" => {
            let shows = if words.is_empty() { "drawing".to_owned() } else { words };
            Tag::Figure(Some(shows)).into()
        }
        _ => return None,
    })
}
