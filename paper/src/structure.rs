//! The elements of a file as objects, for those who have it read to them.
//!
//! # Source
//! ISO 32000-1 (PDF 1.7), 14.7: the tree of elements, and from marks back to it.

use crate::{
    file::File,
    tags::{Element, Inner, Mark, Told},
};
use pdf_writer::{
    Finish as _, Ref, TextStr,
    types::{ListNumbering, StructRole, TableHeaderScope},
    writers::{StructElement, StructTreeRoot},
};
use std::io;

/// What a drawing shows if it does not say so.
const DRAWING: &str = "drawing";

/// The tree of elements, written sheet by sheet.
pub struct Structure {
    root: Ref,
    document: Ref,
    /// The outermost elements.
    outermost: Vec<Ref>,
    /// Of each page, where the elements of its marks are listed.
    pages: Vec<Ref>,
}

impl Structure {
    /// No sheet was written yet.
    pub fn new(file: &mut File<'_>) -> Self {
        let [root, document] = [file.reserve(), file.reserve()];
        Self { root, document, outermost: Vec::new(), pages: Vec::new() }
    }

    /// Writes the elements of a sheet; of each of its pages it takes how many marks there are.
    pub fn sheet(
        &mut self,
        file: &mut File<'_>,
        elements: Vec<Element<'_>>,
        pages: &[(Ref, usize)],
    ) -> io::Result<()> {
        let marked = pages.iter().map(|(_, marks)| vec![self.document; *marks]).collect();
        let mut sheet = Sheet { file, pages, marked };
        for element in elements {
            self.outermost.push(sheet.element(element, self.document)?);
        }
        for elements in sheet.marked {
            let id = file.reserve();
            file.put(id, |chunk| {
                chunk.indirect(id).array().items(elements);
            })?;
            self.pages.push(id);
        }
        Ok(())
    }

    /// Writes the root of the tree and says where it is.
    pub fn finish(self, file: &mut File<'_>, language: &str) -> io::Result<Ref> {
        let Self { root, document, outermost, pages } = self;
        file.put(document, |chunk| {
            let mut whole = chunk.struct_element(document);
            whole.kind(StructRole::Document).parent(root).lang(TextStr(language));
            let mut children = whole.children();
            for element in outermost {
                children.struct_element(element);
            }
        })?;
        file.put(root, |chunk| {
            let mut tree: StructTreeRoot<'_> = chunk.indirect(root).start();
            tree.child(document);
            let mut of_pages = tree.parent_tree();
            let mut numbers = of_pages.nums();
            for (number, elements) in (0..).zip(&pages) {
                numbers.insert(number, *elements);
            }
            numbers.finish();
            of_pages.finish();
            tree.parent_tree_next_key(i32::try_from(pages.len()).unwrap_or(i32::MAX));
        })?;
        Ok(root)
    }
}

/// A sheet whose elements are written.
struct Sheet<'a, 'w> {
    file: &'a mut File<'w>,
    pages: &'a [(Ref, usize)],
    /// Of each page, the elements of its marks.
    marked: Vec<Vec<Ref>>,
}

impl Sheet<'_, '_> {
    /// Writes an element after what is in it.
    fn element(&mut self, element: Element<'_>, around: Ref) -> io::Result<Ref> {
        let Element { role, told, inner, .. } = element;
        let id = self.file.reserve();
        let mut children = Vec::with_capacity(inner.len());
        for inner in inner {
            children.push(match inner {
                Inner::Mark(mark) => {
                    let of_page = self.marked.get_mut(mark.page);
                    let number = usize::try_from(mark.number).unwrap_or(usize::MAX);
                    if let Some(place) = of_page.and_then(|marks| marks.get_mut(number)) {
                        *place = id;
                    }
                    Child::Mark(mark)
                }
                Inner::Element(element) => Child::Element(self.element(element, id)?),
            });
        }
        let page_of = |mark: &Mark| self.pages.get(mark.page).map_or(id, |(page, _)| *page);
        self.file.put(id, |chunk| {
            let mut written = chunk.struct_element(id);
            written.kind(role).parent(around);
            tell(&mut written, role, &told);
            let first = children.iter().find_map(|child| match child {
                Child::Mark(mark) => Some(mark.page),
                Child::Element(_) => None,
            });
            if let Some(page) = first {
                written.page(page_of(&Mark { page, number: 0 }));
            }
            let mut inside = written.children();
            for child in &children {
                match child {
                    Child::Element(element) => inside.struct_element(*element),
                    Child::Mark(mark) if Some(mark.page) == first => {
                        inside.marked_content_id(mark.number)
                    }
                    Child::Mark(mark) => {
                        let mut elsewhere = inside.marked_content_ref();
                        elsewhere.page(page_of(mark)).marked_content_id(mark.number);
                        elsewhere.finish();
                        &mut inside
                    }
                };
            }
        })?;
        Ok(id)
    }
}

/// What is in an element, written.
enum Child {
    Mark(Mark),
    Element(Ref),
}

/// Writes what else is told of an element of some kind.
fn tell(element: &mut StructElement<'_>, role: StructRole, told: &Told<'_>) {
    if let Some(language) = told.language {
        element.lang(TextStr(language));
    }
    match role {
        StructRole::H1 | StructRole::H2 | StructRole::H3 => {
            element.title(TextStr(&told.words));
        }
        StructRole::Figure => {
            element.alt(TextStr(if told.words.is_empty() { DRAWING } else { &told.words }));
        }
        StructRole::TH | StructRole::TD if role == StructRole::TH || told.span.is_some() => {
            let mut attributes = element.attributes();
            let mut cell = attributes.push().table();
            if role == StructRole::TH {
                let column = TableHeaderScope::Column;
                cell.scope(if told.of_column { column } else { TableHeaderScope::Row });
            }
            if let Some(columns) = told.span {
                cell.col_span(columns);
            }
        }
        StructRole::L => {
            element.attributes().push().list().list_numbering(ListNumbering::None);
        }
        _ => {}
    }
}
