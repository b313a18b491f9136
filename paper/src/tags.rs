//! What each piece of a sheet is, for those who have it read to them.

use crate::length::Length;
use pdf_writer::types::StructRole;

/// The tag of the mark before an element of a list, as CSS names it.
pub const MARK: &str = "::marker";

/// Something that words are part of: a heading, a cell, a paragraph.
struct Part<'a> {
    /// Its name in HTML.
    tag: &'a str,
    within: usize,
    told: Told<'a>,
}

/// What is told of a part beside its words.
#[derive(Debug, Clone, Default)]
pub struct Told<'a> {
    /// What a heading says, or a drawing shows.
    pub words: String,
    /// Columns that a cell spans, if more than one.
    pub span: Option<i32>,
    /// A head that is one of a column, not of a row.
    pub of_column: bool,
    /// Its language, if it is another one than the page's.
    pub language: Option<&'a str>,
}

/// Something that was written: on which page of the sheet, and its number there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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
pub struct Element<'a> {
    /// What it is.
    pub role: StructRole,
    /// What else is told of it.
    pub told: Told<'a>,
    /// What is in it, in order.
    pub inner: Vec<Inner<'a>>,
    /// The first that was written of it.
    first: Option<Mark>,
}

/// What is in an element.
pub enum Inner<'a> {
    /// What was written.
    Mark(Mark),
    /// Another element.
    Element(Element<'a>),
}

impl<'a> Inner<'a> {
    fn element(role: StructRole, told: Told<'a>, inner: Vec<Self>) -> Self {
        let first = inner.iter().filter_map(Self::first).min();
        Self::Element(Element { role, told, inner, first })
    }

    const fn first(&self) -> Option<Mark> {
        match self {
            Self::Mark(mark) => Some(*mark),
            Self::Element(element) => element.first,
        }
    }

    fn is(&self, role: StructRole) -> bool {
        matches!(self, Self::Element(element) if element.role == role)
    }
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
        self.parts.push(Part { tag, within, told: Told::default() });
        self.parts.len() - 1
    }

    /// Says what a part says or shows.
    pub fn name(&mut self, part: usize, words: String) {
        self.parts[part].told.words = words;
    }

    /// Says how many columns a cell spans.
    pub fn spans(&mut self, part: usize, columns: usize) {
        self.parts[part].told.span = i32::try_from(columns).ok().filter(|&columns| columns > 1);
    }

    /// Says in which language a part speaks.
    pub fn speaks(&mut self, part: usize, language: &'a str) {
        self.parts[part].told.language = Some(language);
    }

    /// A part and those around it, outwards.
    fn outwards(&self, part: usize) -> impl Iterator<Item = usize> {
        let around = |at: &usize| Some(self.parts[*at].within).filter(|within| within < at);
        std::iter::successors(Some(part), around)
    }

    /// Something of a part was written, so far from the top of its page.
    pub fn wrote(&mut self, part: usize, mark: Mark, y: Length) {
        self.written.push((part, mark));
        let heading = self.outwards(part).find(|at| self.parts[*at].tag == "h1");
        if let Some(at) = heading
            && self.headings.last().is_none_or(|(last, _)| *last != at)
        {
            let words = self.parts[at].told.words.clone();
            self.headings.push((at, Heading { words, page: mark.page, y }));
        }
    }

    /// Headings of the first rank of the sheet, in the order in which they were written.
    pub fn headings(&mut self) -> Vec<Heading> {
        std::mem::take(&mut self.headings).into_iter().map(|(_, heading)| heading).collect()
    }

    /// The whole sheet as elements; of the page only its body stays.
    pub fn elements(&mut self) -> Vec<Element<'a>> {
        // What is in each part, the last first: it comes later in the page than the part.
        let mut inner: Vec<Vec<Inner<'a>>> = Vec::new();
        inner.resize_with(self.parts.len(), Vec::new);
        let mut whole = Vec::new();
        let mut written = std::mem::take(&mut self.written);
        written.sort_by_key(|(part, _)| *part);
        let body = self.parts.first().map(|body| body.tag);
        while let Some(Part { tag, within, mut told }) = self.parts.pop() {
            let first = written.partition_point(|(part, _)| *part < self.parts.len());
            let (spoken, inside) = (first < written.len(), inner.pop().unwrap_or_default());
            let mut children = Vec::with_capacity(written.len() - first + inside.len());
            children.extend(written.drain(first..).map(|(_, mark)| Inner::Mark(mark)));
            children.extend(inside.into_iter().rev());
            if spoken {
                children = in_order(children);
            }
            children = arranged(tag, children);
            let around = inner.get_mut(within).unwrap_or(&mut whole);
            // A cell without words is a cell all the same, or its row would be crooked.
            let has_place = !children.is_empty() || matches!(tag, "td" | "th");
            match role(tag) {
                Some(role) if has_place => {
                    told.of_column = tag == "th"
                        && self.outwards(within).any(|at| self.parts[at].tag == "thead");
                    around.push(Inner::element(role, told, children));
                }
                None if spoken => around.push(Inner::element(StructRole::P, told, children)),
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

/// Words of a part itself among what else is in it, as they were written; what has no words
/// stays behind what it stands behind.
fn in_order(children: Vec<Inner<'_>>) -> Vec<Inner<'_>> {
    let mut last = None;
    let placed = children.into_iter().map(|child| {
        last = child.first().or(last);
        (last, child)
    });
    let mut placed: Vec<_> = placed.collect();
    placed.sort_by_key(|(place, _)| *place);
    placed.into_iter().map(|(_, child)| child).collect()
}

/// What is in a part as its kind asks for it.
fn arranged<'a>(tag: &str, mut children: Vec<Inner<'a>>) -> Vec<Inner<'a>> {
    match (tag, &mut children[..]) {
        // A cell of one paragraph is that paragraph.
        ("td" | "th", [Inner::Element(only)]) if only.role == StructRole::P => {
            std::mem::take(&mut only.inner)
        }
        ("li", [_, ..]) => {
            let has_mark = children[0].is(StructRole::Lbl);
            let said = children.split_off(usize::from(has_mark));
            if !said.is_empty() {
                children.push(Inner::element(StructRole::LBody, Told::default(), said));
            }
            children
        }
        _ => children,
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
        MARK => StructRole::Lbl,
        "main" | "section" => StructRole::Sect,
        "svg" => StructRole::Figure,
        _ => return None,
    })
}
