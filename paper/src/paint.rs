//! Pages into the file, sheet by sheet, each word with the element that it belongs to.
//!
//! # Source
//! ISO 14289-1 (PDF/UA-1): what a file says of itself so that it can be read to people: tags,
//! titles, its language, what each letter says, a drawing in words.

use crate::{
    PaperError,
    face::Faces,
    file::File,
    fonts::Fonts,
    length::{Area, Length},
    pages::Page,
    pen::{Pen, points},
    structure::Structure,
    tags::{Heading, Mark, Tags},
};
use pdf_writer::{Name, Rect, Ref, TextStr, types::TabOrder};
use std::io::{self, Write};
use xmp_writer::XmpWriter;

/// What a page without a title is called: readers are told something.
const UNTITLED: &str = "sheet";

/// A file that is being painted.
pub struct Paint<'w> {
    file: File<'w>,
    fonts: Fonts,
    structure: Structure,
    /// The list of pages, and what they share.
    list: Ref,
    shared: Ref,
    pages: Vec<Painted>,
    headings: Vec<(Ref, Area, Heading)>,
}

/// A page that was written but for its number: how many there are is known at the end.
struct Painted {
    id: Ref,
    area: Area,
    number: Option<Ref>,
}

impl<'w> Paint<'w> {
    /// Begins a file.
    pub fn begin(to: &'w mut dyn Write, faces: &'static Faces) -> io::Result<Self> {
        let mut file = File::begin(to)?;
        let [list, shared] = [file.reserve(), file.reserve()];
        let (structure, fonts) = (Structure::new(&mut file), Fonts::new(faces));
        Ok(Self { file, fonts, structure, list, shared, pages: Vec::new(), headings: Vec::new() })
    }

    /// Writes the pages of a sheet, and what is on them.
    pub fn sheet(&mut self, pages: Vec<Page>, tags: &mut Tags<'_>) -> Result<(), PaperError> {
        let first = self.pages.len();
        let mut marked = Vec::with_capacity(pages.len());
        for (number, page) in pages.into_iter().enumerate() {
            let marks = self.page(page, number, tags)?;
            marked.extend(self.pages.last().map(|page| (page.id, marks)));
        }
        let headings = tags.headings().into_iter().filter_map(|heading| {
            let page = self.pages.get(first + heading.page)?;
            Some((page.id, page.area, heading))
        });
        self.headings.extend(headings);
        self.structure.sheet(&mut self.file, tags.elements(), &marked)?;
        Ok(())
    }

    /// Writes a page; says how many marks are on it.
    fn page(&mut self, page: Page, at: usize, tags: &mut Tags<'_>) -> Result<usize, PaperError> {
        let area = page.area;
        let mut pen = Pen::new(&mut self.fonts, area);
        let mut marks = 0;
        pen.lines(page.lines);
        for run in page.items.chunk_by(|(one, again), (next, too)| again == too && one.joins(next))
        {
            match run {
                [(item, false), ..] => {
                    let Some((part, y)) = item.part() else { continue };
                    tags.wrote(part, Mark { page: at, number: marks }, y);
                    pen.marked(marks, run)?;
                    marks += 1;
                }
                run => pen.again(run)?,
            }
        }
        let [id, content] = [self.file.reserve(), self.file.reserve()];
        self.file.stream(content, pen.finish().as_slice(), |_| {})?;
        let number = area.numbered.then(|| self.file.reserve());
        let place = i32::try_from(self.pages.len()).unwrap_or(i32::MAX);
        self.file.put(id, |chunk| {
            let mut page = chunk.page(id);
            page.parent(self.list).pair(Name(b"Resources"), self.shared);
            page.media_box(Rect::new(0.0, 0.0, points(area.width), points(area.height)));
            page.contents_array([content].into_iter().chain(number));
            page.struct_parents(place).tab_order(TabOrder::StructureOrder);
        })?;
        self.pages.push(Painted { id, area, number });
        Ok(usize::try_from(marks).unwrap_or_default())
    }

    /// Writes what is known at the end.
    pub fn finish(mut self, title: &str, language: &str) -> Result<(), PaperError> {
        let title = if title.trim().is_empty() { UNTITLED } else { title };
        self.numbers()?;
        let outline = self.outline(title)?;
        let Self { mut file, fonts, structure, list, shared, pages, .. } = self;
        let fonts = fonts.write(&mut file)?;
        file.put(shared, |chunk| {
            let mut resources = chunk.indirect(shared).dict();
            resources.insert(Name(b"Font")).dict().pairs(fonts);
        })?;
        file.put(list, |chunk| {
            let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
            chunk.pages(list).count(count).kids(pages.iter().map(|page| page.id));
        })?;
        let structure = structure.finish(&mut file, language)?;
        let [about, info, catalog] = std::array::from_fn(|_| file.reserve());
        let mut said = XmpWriter::new();
        said.title([(None, title)]).format("application/pdf").pdfua_part(1);
        let said = said.finish(None);
        file.put(about, |chunk| {
            chunk.metadata(about, said.as_bytes());
        })?;
        file.put(info, |chunk| {
            chunk.indirect(info).dict().pair(Name(b"Title"), TextStr(title));
        })?;
        file.put(catalog, |chunk| {
            let mut catalog = chunk.indirect(catalog).start::<pdf_writer::writers::Catalog<'_>>();
            catalog.pages(list).outlines(outline).metadata(about).lang(TextStr(language));
            catalog.pair(Name(b"StructTreeRoot"), structure);
            catalog.mark_info().marked(true).suspects(false);
            catalog.viewer_preferences().display_doc_title(true);
        })?;
        Ok(file.finish(catalog, info)?)
    }

    /// Writes the number of each page that has one.
    fn numbers(&mut self) -> io::Result<()> {
        let count = self.pages.len();
        for (number, Painted { area, number: id, .. }) in (1..).zip(&self.pages) {
            if let Some(id) = id {
                let mut pen = Pen::new(&mut self.fonts, *area);
                pen.number(number, count);
                self.file.stream(*id, pen.finish().as_slice(), |_| {})?;
            }
        }
        Ok(())
    }

    /// Writes where a reader may jump to: each heading of the first rank, or the first page.
    fn outline(&mut self, title: &str) -> io::Result<Ref> {
        let mut headings = std::mem::take(&mut self.headings);
        if let ([], Some(first)) = (&headings[..], self.pages.first()) {
            let whole = Heading { words: title.to_owned(), page: 0, y: 0 };
            headings.push((first.id, first.area, whole));
        }
        let root = self.file.reserve();
        let ids: Vec<Ref> = headings.iter().map(|_| self.file.reserve()).collect();
        for (at, (page, area, heading)) in headings.iter().enumerate() {
            let around = |at: Option<usize>| at.and_then(|at| ids.get(at));
            self.file.put(ids[at], |chunk| {
                let mut item = chunk.outline_item(ids[at]);
                item.parent(root).title(TextStr(&heading.words));
                around(at.checked_sub(1)).map(|before| item.prev(*before));
                around(at.checked_add(1)).map(|after| item.next(*after));
                let top = area.height - area.margin - above(heading.y);
                item.dest().page(*page).xyz(points(area.margin), points(top), None);
            })?;
        }
        self.file.put(root, |chunk| {
            let mut outline = chunk.outline(root);
            ids.first().map(|first| outline.first(*first));
            ids.last().map(|last| outline.last(*last));
            outline.count(i32::try_from(ids.len()).unwrap_or(i32::MAX));
        })?;
        Ok(root)
    }
}

/// A little above the line that words stand on, so that a reader sees them whole.
fn above(y: Length) -> Length {
    (y - 2000).max(0)
}
