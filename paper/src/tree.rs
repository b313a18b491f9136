//! The page: its elements with their styles, and its words.

use crate::style::{Display, Looks, Style};
use scraper::{ElementRef, Html, Node as HtmlNode};

/// An element.
pub struct Node {
    /// Its name in HTML.
    pub tag: String,
    /// Its style.
    pub style: Style,
    /// What is in it, in order.
    pub children: Vec<Child>,
    /// Columns that it spans, for cells.
    pub span: usize,
    /// The drawing itself, and what it says in words.
    pub drawing: Option<(String, String)>,
    /// Widths of the columns, for tables.
    pub columns: Vec<Option<i32>>,
}

/// What is in an element.
pub enum Child {
    /// An element, by its place in [`Tree::nodes`].
    Node(usize),
    /// Words.
    Text(String),
}

/// A page.
pub struct Tree {
    /// All elements; the first is the body.
    pub nodes: Vec<Node>,
    /// What the file is called.
    pub title: String,
    /// The language of its words.
    pub language: String,
}

impl Tree {
    /// The sheets of paper; the body if it has none.
    pub fn sheets(&self) -> Vec<usize> {
        let body = &self.nodes[0];
        let mains: Vec<usize> = body
            .children
            .iter()
            .filter_map(|child| match child {
                Child::Node(at) if self.nodes[*at].tag == "main" => Some(*at),
                _ => None,
            })
            .collect();
        if mains.is_empty() { vec![0] } else { mains }
    }
}

/// Reads a page.
pub fn read(page: &str, looks: &Looks) -> Tree {
    let html = Html::parse_document(page);
    let root = html.root_element();
    let language = root.attr("lang").unwrap_or("en").to_owned();
    let elements = || root.descendants().filter_map(ElementRef::wrap);
    let title = elements().find(|element| element.value().name() == "title");
    let title = title.map(|element| element.text().collect()).unwrap_or_default();
    let mut tree = Tree { nodes: Vec::new(), title, language };
    if let Some(body) = elements().find(|element| element.value().name() == "body") {
        let (style, before) = looks.of(body, &Style::root());
        add(&mut tree, body, (style, before), looks);
    }
    if tree.nodes.is_empty() {
        tree.nodes.push(plain("body", Style::root()));
    }
    tree
}

fn plain(tag: &str, style: Style) -> Node {
    let (children, columns) = (Vec::new(), Vec::new());
    Node { tag: tag.to_owned(), style, children, span: 1, drawing: None, columns }
}

fn add(
    tree: &mut Tree,
    element: ElementRef<'_>,
    (style, before): (Style, Option<String>),
    looks: &Looks,
) -> usize {
    let at = tree.nodes.len();
    let tag = element.value().name();
    tree.nodes.push(plain(tag, style.clone()));
    let span = element.attr("colspan").and_then(|text| text.parse().ok());
    tree.nodes[at].span = span.unwrap_or(1).clamp(1, 100);
    if tag == "svg" {
        tree.nodes[at].drawing = Some(drawing(element));
        return at;
    }
    if tag == "table" {
        tree.nodes[at].columns = columns(element, &style, looks);
    }
    let mut children: Vec<Child> = before.map(Child::Text).into_iter().collect();
    for child in element.children() {
        match child.value() {
            HtmlNode::Text(text) => children.push(Child::Text(readable(text))),
            HtmlNode::Element(_) => {
                let Some(element) = ElementRef::wrap(child) else { continue };
                let (own, before) = looks.of(element, &style);
                if own.display != Display::None {
                    children.push(Child::Node(add(tree, element, (own, before), looks)));
                }
            }
            _ => {}
        }
    }
    if matches!(style.display, Display::Flex | Display::Grid) {
        children = children.into_iter().filter_map(|child| boxed(tree, child, &style)).collect();
    }
    tree.nodes[at].children = children;
    at
}

/// A child of a row of boxes: words that stand there alone are a box of their own.
///
/// # Source
/// CSS Flexible Box Layout Module Level 1, section 4: an anonymous box; blanks make none.
fn boxed(tree: &mut Tree, child: Child, style: &Style) -> Option<Child> {
    let Child::Text(text) = child else { return Some(child) };
    if text.trim().is_empty() {
        return None;
    }
    let mut node = plain("span", style.inherited("span"));
    node.children = vec![Child::Text(text)];
    tree.nodes.push(node);
    Some(Child::Node(tree.nodes.len() - 1))
}

/// Words without what no reader can say: controls and private or missing letters.
fn readable(text: &str) -> String {
    let plain = |letter: char| {
        let unsayable = letter == '\u{fffd}'
            || ('\u{e000}'..='\u{f8ff}').contains(&letter)
            || letter.is_control() && !letter.is_ascii_whitespace();
        if unsayable { ' ' } else { letter }
    };
    text.chars().map(plain).collect()
}

fn columns(table: ElementRef<'_>, style: &Style, looks: &Looks) -> Vec<Option<i32>> {
    let elements = table.descendants().filter_map(ElementRef::wrap);
    let columns = elements.filter(|element| element.value().name() == "col");
    columns.map(|column| looks.of(column, style).0.width).collect()
}

/// A drawing as a document of its own, and its words.
fn drawing(svg: ElementRef<'_>) -> (String, String) {
    let words = |name: &str| {
        let mut elements = svg.descendants().filter_map(ElementRef::wrap);
        let found = elements.find(|element| element.value().name() == name);
        found.map(|element| element.text().collect::<String>()).unwrap_or_default()
    };
    let label = svg.attr("aria-label").map_or_else(|| words("title"), str::to_owned);
    let alt = [label, words("desc")].join(" ").trim().to_owned();
    let mut text = svg.html().replace("&nbsp;", "\u{a0}");
    if svg.attr("xmlns").is_none() {
        text = text.replacen("<svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"", 1);
    }
    (text, alt)
}
