//! What each piece of a sheet is, for those who have it read to them.

use crate::length::Length;
use pdf_writer::types::StructRole;

/// Something that words are part of: a heading, a cell, a paragraph.
struct Part<'a> {
    /// Its name in HTML.
    tag: &'a str,
    within: usize,
    /// What a heading says, or a drawing shows.
    words: String,
}

/// Something that was written: on which page of the sheet, and its number there.
#[derive(Debug, Clone, Copy)]
pub struct Mark {
    /// The page, from nought.
    pub page: usize,
    /// Its number on the page, from nought.
    pub number: i32,
}

/// A heading of the first rank and where it stands.
pub struct Heading {
    /// What it says.
    pub words: String,
    /// The page of the sheet, from nought.
    pub page: usize,
    /// So far from the top.
    pub y: Length,
}

/// A part as the file names it.
pub struct Element {
    /// What it is.
    pub role: StructRole,
    /// What a heading says, or a drawing shows.
    pub words: String,
    /// What is in it, in order.
    pub inner: Vec<Inner>,
}

/// What is in an element.
pub enum Inner {
    /// What was written.
    Mark(Mark),
    /// Another element.
    Element(Element),
}

/// The parts of a sheet and what was written of each.
#[derive(Default)]
pub struct Tags<'a> {
    /// In the order of the page; the first is the body.
    parts: Vec<Part<'a>>,
    /// What was written, and of which part.
    written: Vec<(usize, Mark)>,
    /// Each heading of the first rank with its first words.
    headings: Vec<(usize, Heading)>,
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

    /// Something of a part was written, so far from the top of its page.
    pub fn wrote(&mut self, part: usize, mark: Mark, y: Length) {
        self.written.push((part, mark));
        let around = |at: &usize| Some(self.parts[*at].within).filter(|within| within < at);
        let heading =
            std::iter::successors(Some(part), around).find(|at| self.parts[*at].tag == "h1");
        if let Some(at) = heading
            && self.headings.last().is_none_or(|(last, _)| *last != at)
        {
            let words = self.parts[at].words.clone();
            self.headings.push((at, Heading { words, page: mark.page, y }));
        }
    }

    /// Headings of the first rank of the sheet, in the order in which they were written.
    pub fn headings(&mut self) -> Vec<Heading> {
        std::mem::take(&mut self.headings).into_iter().map(|(_, heading)| heading).collect()
    }

    /// The whole sheet as elements; of the page only its body stays.
    pub fn elements(&mut self) -> Vec<Element> {
        // What is in each part, the last first: it comes later in the page than the part.
        let mut inner: Vec<Vec<Inner>> = Vec::new();
        inner.resize_with(self.parts.len(), Vec::new);
        let mut whole = Vec::new();
        let mut written = std::mem::take(&mut self.written);
        written.sort_by_key(|(part, _)| *part);
        let body = self.parts.first().map(|body| body.tag);
        while let Some(Part { tag, within, words }) = self.parts.pop() {
            let first = written.partition_point(|(part, _)| *part < self.parts.len());
            let (spoken, inside) = (first < written.len(), inner.pop().unwrap_or_default());
            let mut children = Vec::with_capacity(written.len() - first + inside.len());
            children.extend(written.drain(first..).map(|(_, mark)| Inner::Mark(mark)));
            children.extend(inside.into_iter().rev());
            if let (true, [Inner::Element(only)]) = (tag == "td" || tag == "th", &mut children[..])
                && only.role == StructRole::P
            {
                // A cell of one paragraph is that paragraph.
                children = std::mem::take(&mut only.inner);
            }
            let around = inner.get_mut(within).unwrap_or(&mut whole);
            // A cell without words is a cell all the same, or its row would be crooked.
            let told = !children.is_empty() || matches!(tag, "td" | "th");
            match role(tag) {
                Some(role) if told => {
                    around.push(Inner::Element(Element { role, words, inner: children }));
                }
                None if spoken => {
                    let role = StructRole::P;
                    around.push(Inner::Element(Element { role, words, inner: children }));
                }
                // What only holds others together says nothing by itself.
                _ => around.extend(children.into_iter().rev()),
            }
        }
        if let Some(tag) = body {
            self.add(tag, 0);
        }
        let elements = whole.into_iter().rev().filter_map(|inner| match inner {
            Inner::Element(element) => Some(element),
            Inner::Mark(_) => None,
        });
        elements.collect()
    }
}

/// What a part is; `None` if it is no more than words.
///
/// # Source
/// ISO 32000-1 (PDF 1.7), 14.8.4: the standard structure types.
fn role(tag: &str) -> Option<StructRole> {
    Some(match tag {
        "h1" => StructRole::H1,
        "h2" => StructRole::H2,
        "h3" | "h4" => StructRole::H3,
        "table" => StructRole::Table,
        "thead" => StructRole::THead,
        "tbody" => StructRole::TBody,
        "tfoot" => StructRole::TFoot,
        "tr" => StructRole::TR,
        "th" => StructRole::TH,
        "td" => StructRole::TD,
        "ul" | "ol" => StructRole::L,
        "li" => StructRole::LI,
        "main" | "section" => StructRole::Sect,
        "svg" => StructRole::Figure,
        _ => return None,
    })
}
