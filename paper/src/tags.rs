//! What each piece of the file is, for those who have it read to them.

use crate::{
    length::Length,
    tree::{Child, Tree},
};
use krilla::tagging::{Identifier, ListNumbering, TableHeaderScope, Tag, TagGroup, TagKind};
use std::num::NonZeroU16;

/// The elements of a page and what was written of each.
pub struct Tags<'a> {
    tree: &'a Tree,
    ids: Vec<Vec<Identifier>>,
    /// For each element the heading that it stands in.
    heading_of: Vec<Option<usize>>,
    /// First words of each heading of the first rank: page, and place on it.
    headings: Vec<(usize, usize, Length)>,
}

impl<'a> Tags<'a> {
    /// Nothing was written yet.
    pub fn new(tree: &'a Tree) -> Self {
        let count = tree.nodes.len();
        let mut tags = Self {
            tree,
            ids: vec![Vec::new(); count],
            heading_of: vec![None; count],
            headings: Vec::new(),
        };
        tags.find_headings(0, None);
        tags
    }

    fn find_headings(&mut self, at: usize, within: Option<usize>) {
        let node = &self.tree.nodes[at];
        let within = if node.tag == "h1" { Some(at) } else { within };
        self.heading_of[at] = within;
        for child in &node.children {
            if let Child::Node(child) = child {
                self.find_headings(*child, within);
            }
        }
    }

    /// Something of an element was written on a page, so far from its top.
    pub fn wrote(&mut self, node: usize, id: Identifier, (page, y): (usize, Length)) {
        self.ids[node].push(id);
        if let Some(heading) = self.heading_of[node]
            && !self.headings.iter().any(|(known, ..)| *known == heading)
        {
            self.headings.push((heading, page, y));
        }
    }

    /// Headings of the first rank with page and place, in the order in which they were written.
    pub fn headings(&self) -> impl Iterator<Item = (String, usize, Length)> {
        self.headings.iter().map(|(at, page, y)| (words(self.tree, *at), *page, *y))
    }

    /// The whole page as groups.
    pub fn group(&mut self) -> Option<TagGroup> {
        group(self.tree, 0, &mut self.ids)
    }
}

/// All words of an element.
fn words(tree: &Tree, at: usize) -> String {
    let parts = tree.nodes[at].children.iter().map(|child| match child {
        Child::Node(child) => words(tree, *child),
        Child::Text(text) => text.clone(),
    });
    let parts: Vec<String> = parts.collect();
    parts.concat().split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An element with what was written of it; `None` if nothing was.
fn group(tree: &Tree, at: usize, ids: &mut [Vec<Identifier>]) -> Option<TagGroup> {
    let node = &tree.nodes[at];
    let mut group = TagGroup::new(kind(tree, at));
    let mut any = false;
    for id in std::mem::take(&mut ids[at]) {
        group.push(id);
        any = true;
    }
    for child in &node.children {
        if let Child::Node(child) = child
            && let Some(inner) = self::group(tree, *child, ids)
        {
            group.push(inner);
            any = true;
        }
    }
    // A cell without words is a cell all the same, or its row would be crooked.
    (any || matches!(node.tag.as_str(), "td" | "th")).then_some(group)
}

fn kind(tree: &Tree, at: usize) -> TagKind {
    let node = &tree.nodes[at];
    let heading = |level: u16| {
        let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        Tag::Hn(level, Some(words(tree, at))).into()
    };
    match node.tag.as_str() {
        "h1" => heading(1),
        "h2" => heading(2),
        "h3" | "h4" => heading(3),
        "table" => Tag::Table.into(),
        "thead" => Tag::THead.into(),
        "tbody" => Tag::TBody.into(),
        "tr" => Tag::TR.into(),
        "th" => Tag::TH(TableHeaderScope::Column).into(),
        "td" => Tag::TD.into(),
        "ul" | "ol" => Tag::L(ListNumbering::None).into(),
        "li" => Tag::LI.into(),
        "main" | "section" => Tag::Section.into(),
        "span" | "b" | "i" | "em" | "strong" | "a" => Tag::Span.into(),
        "svg" => {
            let alt = node.drawing.as_ref().map(|(_, alt)| alt.clone());
            let alt = alt.filter(|alt| !alt.is_empty()).unwrap_or_else(|| "drawing".to_owned());
            Tag::Figure(Some(alt)).into()
        }
        "p" | "dt" | "dd" | "caption" => Tag::P.into(),
        _ => Tag::Div.into(),
    }
}
