//! The page: its elements with their styles, and its words, one sheet of paper after the other.
//!
//! Our pages end every element that has an end, so what reads XML reads them.

use crate::{
    PaperError,
    length::Length,
    looks::{Kinds, Looks, Seen},
    style::{Display, Style},
    tags::{MARK, Tags},
};
use quick_xml::{
    Reader,
    escape::{resolve_xml_entity, unescape},
    events::{BytesRef, Event, attributes::Attributes},
    name::QName,
};
use std::{borrow::Cow, rc::Rc};

/// An element.
pub struct Node<'a> {
    /// Its name in HTML.
    pub tag: &'a str,
    /// Its style.
    pub style: Rc<Style>,
    /// What is in it, in order.
    pub children: Vec<Child<'a>>,
    /// Columns that it spans, for cells.
    pub span: usize,
    /// The drawing itself.
    pub drawing: Option<Rc<str>>,
    /// Widths of the columns, for tables.
    pub columns: Vec<Option<Length>>,
    /// What its words are of for those who have them read to them, as [`Tags`] count.
    pub part: usize,
    /// The same of the mark before it, for elements of marked lists.
    pub mark: Option<usize>,
}

/// What is in an element.
pub enum Child<'a> {
    /// An element, by its place in [`Tree::nodes`].
    Node(usize),
    /// Words.
    Text(Cow<'a, str>),
}

/// A sheet of paper.
pub struct Tree<'a> {
    /// All elements; the first is the sheet.
    pub nodes: Vec<Node<'a>>,
}

impl Tree<'_> {
    /// Whether its paper lies across.
    pub fn wide(&self) -> bool {
        self.nodes.first().is_some_and(|sheet| sheet.style.wide)
    }
}

/// Elements without an end.
///
/// # Source
/// HTML Standard, 13.1.2: void elements.
const VOID: [&str; 13] = [
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track",
    "wbr",
];

/// An element that has not ended yet.
struct Open<'a> {
    tag: &'a str,
    kind: usize,
    /// `None` for what has no place on paper, though something in it may be told.
    node: Option<usize>,
    /// How many elements were in it, and the last of them.
    inner: (usize, Option<Seen<'a>>),
}

/// A page that is read from its start to its end.
pub struct Page<'a> {
    text: &'a str,
    events: Reader<&'a [u8]>,
    kinds: Kinds<'a>,
    /// What has not ended yet; the first is the body.
    open: Vec<Open<'a>>,
    nodes: Vec<Node<'a>>,
    /// There is a sheet: what stands around sheets is on none.
    sheets: bool,
    /// What its words are of.
    pub tags: Tags<'a>,
    /// What the file is called.
    pub title: String,
    /// The language of its words.
    pub language: String,
}

impl<'a> Page<'a> {
    /// Nothing of it was read yet.
    pub fn new(text: &'a str, looks: &'a Looks) -> Self {
        let mut events = Reader::from_str(text);
        let config = events.config_mut();
        (config.check_end_names, config.allow_unmatched_ends) = (false, true);
        config.allow_dangling_amp = true;
        Self {
            text,
            events,
            kinds: Kinds::new(looks),
            open: Vec::new(),
            nodes: Vec::new(),
            sheets: false,
            tags: Tags::default(),
            title: String::new(),
            language: "en".to_owned(),
        }
    }

    /// The next sheet of paper; the whole page if it has none.
    pub fn sheet(&mut self) -> Result<Option<Tree<'a>>, PaperError> {
        loop {
            let from = self.position();
            match self.events.read_event()? {
                Event::Start(_) => self.start(from, false)?,
                Event::Empty(_) => self.start(from, true)?,
                Event::Text(words) => self.words(words.into_inner()),
                Event::GeneralRef(name) => self.words(letter(&name)),
                Event::End(end) => {
                    let name = end.name().0;
                    let at = self.open.iter().rposition(|open| open.tag == name).unwrap_or(0);
                    if at > 0 {
                        self.close(at);
                    }
                    if at == 1 && name == "main" {
                        return Ok(Some(Tree { nodes: std::mem::take(&mut self.nodes) }));
                    }
                }
                Event::Eof => break,
                _ => {}
            }
        }
        if self.open.is_empty() && !self.sheets {
            self.body("");
        }
        (self.sheets, _) = (true, self.close(0));
        let nodes = std::mem::take(&mut self.nodes);
        Ok((!nodes.is_empty()).then_some(Tree { nodes }))
    }

    fn position(&self) -> usize {
        usize::try_from(self.events.buffer_position()).unwrap_or(usize::MAX)
    }

    /// Goes to the end of an element that began, unless it has none.
    fn skip(&mut self, tag: &str, void: bool) -> Result<(), PaperError> {
        if !void {
            self.events.read_to_end(QName(tag))?;
        }
        Ok(())
    }

    /// An element begins; before the body it only says something of the page.
    fn start(&mut self, from: usize, empty: bool) -> Result<(), PaperError> {
        let text = self.text.get(from + 1..self.position()).unwrap_or_default();
        let text = text.strip_suffix('>').unwrap_or(text);
        let tag = text.split([' ', '\n', '/']).next().unwrap_or_default();
        let classes = attribute(text, "class").unwrap_or_default();
        match tag {
            "html" => {
                let language = attribute(text, "lang").map(readable_value);
                self.language = language.unwrap_or_else(|| self.language.clone());
            }
            "title" if self.open.is_empty() => {
                self.title = readable_value(&self.events.read_text(QName(tag))?.into_inner());
            }
            "head" | "meta" | "link" | "base" => {}
            "script" | "style" => self.skip(tag, empty)?,
            "body" if self.open.is_empty() => self.body(classes),
            _ => {
                if self.open.is_empty() {
                    self.body("");
                }
                self.element(Seen { tag, classes }, text, (from, empty || VOID.contains(&tag)))?;
            }
        }
        Ok(())
    }

    fn body(&mut self, classes: &'a str) {
        let seen = Seen { tag: "body", classes };
        let kind = self.kinds.of(seen, None, (1, None));
        let part = self.tags.add(seen.tag, 0);
        self.nodes.push(plain(seen.tag, Rc::clone(self.kinds.style(kind)), part));
        self.open.push(Open { tag: seen.tag, kind, node: Some(0), inner: (0, None) });
    }

    fn element(
        &mut self,
        seen: Seen<'a>,
        text: &'a str,
        (from, void): (usize, bool),
    ) -> Result<(), PaperError> {
        let tag = seen.tag;
        let top = self.open.len() == 1;
        let Some(around) = self.open.last_mut() else { return Ok(()) };
        if top && tag == "main" {
            (self.sheets, around.node) = (true, None);
            self.nodes.clear();
        }
        around.inner.0 += 1;
        let place = (around.inner.0, around.inner.1.replace(seen));
        let kind = self.kinds.of(seen, Some(around.kind), place);
        let shown = self.kinds.style(kind).display != Display::None;
        if tag == "col" {
            self.column(kind);
            return Ok(());
        }
        let outside = top && self.sheets && tag != "main";
        if outside || !shown && tag != "colgroup" {
            return self.skip(tag, void);
        }
        let node = shown.then(|| self.add(tag, kind, attribute(text, "lang")));
        match node {
            Some(at) if tag == "svg" => {
                self.skip(tag, void)?;
                self.drawing(at, text, from);
            }
            Some(at) if tag == "td" || tag == "th" => {
                let span = attribute(text, "colspan").and_then(|text| text.parse().ok());
                let span = span.unwrap_or(1).clamp(1, 100);
                self.nodes[at].span = span;
                self.tags.spans(self.nodes[at].part, span);
                self.open.push(Open { tag, kind, node, inner: (0, None) });
            }
            _ if void => {}
            _ => self.open.push(Open { tag, kind, node, inner: (0, None) }),
        }
        Ok(())
    }

    /// A column of the table around.
    fn column(&mut self, kind: usize) {
        let width = self.kinds.style(kind).width;
        if let Some(table) = self.open.iter().rev().find_map(|open| open.node) {
            self.nodes[table].columns.push(width);
        }
    }

    /// Adds an element to the one around it; it is a part of its own unless it stands among words.
    fn add(&mut self, tag: &'a str, kind: usize, language: Option<&'a str>) -> usize {
        let style = Rc::clone(self.kinds.style(kind));
        let at = self.nodes.len();
        let around = self.open.last().and_then(|open| open.node);
        let around = around.and_then(|around| self.nodes.get_mut(around));
        let (boxes, within) = around.as_ref().map_or((true, 0), |node| (node.boxes(), node.part));
        let marked = around.as_ref().is_some_and(|node| node.style.marked);
        if let Some(around) = around {
            around.children.push(Child::Node(at));
        }
        let among_words = tag == "br" || style.display == Display::Inline && !boxes;
        let part = if among_words { within } else { self.tags.add(tag, within) };
        if let (false, Some(language)) = (among_words, language) {
            self.tags.speaks(part, language);
        }
        let mut node = plain(tag, style, part);
        node.mark = (marked && tag == "li").then(|| self.tags.add(MARK, part));
        let before = self.kinds.before(kind).map(|before| Child::Text(before.to_owned().into()));
        node.children.extend(before);
        self.nodes.push(node);
        at
    }

    fn words(&mut self, words: Cow<'a, str>) {
        let Some(at) = self.open.last().and_then(|open| open.node) else { return };
        let words = if words.contains(unsayable) {
            Cow::Owned(words.replace(unsayable, " "))
        } else {
            words
        };
        match self.nodes[at].children.last_mut() {
            Some(Child::Text(before)) => before.to_mut().push_str(&words),
            _ => self.nodes[at].children.push(Child::Text(words)),
        }
    }

    /// Ends elements, the last first.
    fn close(&mut self, at: usize) {
        while self.open.len() > at {
            let Some(node) = self.open.pop().and_then(|open| open.node) else { continue };
            let Node { tag, part, .. } = self.nodes[node];
            if self.nodes[node].boxes() {
                self.box_words(node);
            }
            if matches!(tag, "h1" | "h2" | "h3" | "h4") {
                self.tags.name(part, self.words_of(node));
            }
        }
    }

    /// Words that stand alone in a row of boxes are a box.
    ///
    /// # Source
    /// CSS Flexible Box Layout Module Level 1, section 4: an anonymous box; blanks make none.
    fn box_words(&mut self, node: usize) {
        let (style, part) =
            (Rc::new(self.nodes[node].style.inherited("span")), self.nodes[node].part);
        for child in std::mem::take(&mut self.nodes[node].children) {
            let child = match child {
                Child::Text(text) if text.trim().is_empty() => continue,
                Child::Text(text) => {
                    let mut one = plain("span", Rc::clone(&style), part);
                    one.children.push(Child::Text(text));
                    self.nodes.push(one);
                    Child::Node(self.nodes.len() - 1)
                }
                child => child,
            };
            self.nodes[node].children.push(child);
        }
    }

    /// All words of an element.
    fn words_of(&self, node: usize) -> String {
        let parts = self.nodes[node].children.iter().map(|child| match child {
            Child::Node(child) => self.words_of(*child),
            Child::Text(text) => text.to_string(),
        });
        let words = parts.collect::<Vec<_>>().concat();
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// A drawing as a document of its own, and its words.
    fn drawing(&mut self, node: usize, text: &str, from: usize) {
        let source = self.text.get(from..self.position()).unwrap_or_default();
        let words = |name: &str| {
            let (_, rest) = source.split_once(&format!("<{name}"))?;
            let (words, _) = rest.split_once('>')?.1.split_once("</")?;
            Some(readable_value(words))
        };
        let label = attribute(text, "aria-label").map(readable_value).or_else(|| words("title"));
        let alt = [label, words("desc")].map(Option::unwrap_or_default).join(" ");
        self.tags.name(self.nodes[node].part, alt.trim().to_owned());
        let mut source = source.replace("&nbsp;", "\u{a0}").replace(unsayable, " ");
        if attribute(text, "xmlns").is_none() {
            source = source.replacen("<svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"", 1);
        }
        self.nodes[node].drawing = Some(source.into());
    }
}

impl Node<'_> {
    /// Whether what is in it are boxes beside each other.
    fn boxes(&self) -> bool {
        matches!(self.style.display, Display::Flex | Display::Grid)
    }
}

fn plain(tag: &str, style: Rc<Style>, part: usize) -> Node<'_> {
    let (children, columns) = (Vec::new(), Vec::new());
    Node { tag, style, children, span: 1, drawing: None, columns, part, mark: None }
}

/// The letter that a name stands for; a blank if it is not known.
fn letter(name: &BytesRef<'_>) -> Cow<'static, str> {
    match name.resolve_char_ref() {
        Ok(Some(letter)) => Cow::Owned(letter.to_string()),
        _ => Cow::Borrowed(resolve_xml_entity(name).unwrap_or("\u{a0}")),
    }
}

/// What an element says of itself, as it stands in the page.
fn attribute<'a>(text: &'a str, name: &str) -> Option<&'a str> {
    let mut all = Attributes::html(text, text.find(' ')?);
    let found = all.with_checks(false).flatten().find(|one| one.key.0 == name)?;
    match found.value {
        Cow::Borrowed(value) => Some(value),
        Cow::Owned(_) => None,
    }
}

fn readable_value(value: &str) -> String {
    unescape(value).unwrap_or(Cow::Borrowed(value)).replace(unsayable, " ")
}

/// What no reader can say: controls, private or missing letters, and what is no letter.
fn unsayable(letter: char) -> bool {
    matches!(letter, '\u{fffd}'..='\u{ffff}')
        || ('\u{e000}'..='\u{f8ff}').contains(&letter)
        || letter.is_control() && !letter.is_ascii_whitespace()
}
