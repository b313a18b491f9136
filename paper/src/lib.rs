//! Paper: our own pages as PDF.
//!
//! A sheet is drawn once, as HTML with one style sheet. This crate lays the same page out on
//! paper, so that what a browser prints and what the service writes cannot disagree. It reads
//! the part of HTML and CSS that our sheets use: blocks, lines, tables with repeated heads,
//! rows of boxes, lists, drawings. It knows no network, no clock and nothing of bakeries; the
//! same page gives the same bytes.
//!
//! A page goes through the files in this order: `looks` reads the style sheet, `tree` the
//! page with its styles, one sheet after the other, `layout` turns a sheet into strips,
//! `pages` puts strips on pages, and `paint` writes them with their tags: `pen` what stands on
//! a page, with `drawing` and `fonts`, `tags` and `structure` what each piece of it is, and
//! `file` the objects of all these.

mod drawing;
mod face;
mod file;
mod fonts;
mod layout;
mod length;
mod looks;
mod pages;
mod paint;
mod pen;
mod structure;
mod style;
mod tags;
mod tree;

pub use length::Size;
pub use looks::Looks;

use std::io::{self, Write};

/// Why a page cannot be put on paper.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// A bundled font cannot be read.
    #[error("a bundled font cannot be read")]
    Font,
    /// A page cannot be read to its end: rather no paper than one with lines missing.
    #[error("the page cannot be read: {0}")]
    Page(#[from] quick_xml::Error),
    /// A drawing is no SVG.
    #[error("a drawing cannot be read: {0}")]
    Drawing(String),
    /// The file cannot be written.
    #[error("the file cannot be written: {0}")]
    Write(#[from] io::Error),
}

/// Writes a page as a PDF file, sheet by sheet: no more than a sheet is in memory at a time.
///
/// # Errors
/// [`PaperError`]; what was written until then is no file.
pub fn pdf(page: &str, looks: &Looks, size: Size, to: &mut dyn Write) -> Result<(), PaperError> {
    let faces = face::Faces::shared()?;
    let mut file = paint::Paint::begin(to, faces)?;
    let mut page = tree::Page::new(page, looks);
    while let Some(tree) = page.sheet()? {
        let area = size.area(tree.wide());
        let pages = pages::place(layout::Layout { tree: &tree, faces }.sheet(area), area);
        file.sheet(pages, &mut page.tags)?;
    }
    file.finish(&page.title, &page.language)
}

#[cfg(test)]
mod tests;
