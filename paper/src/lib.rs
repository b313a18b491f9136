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
//! `pages` puts strips on pages, and `paint` writes them with their tags.

mod face;
mod layout;
mod length;
mod looks;
mod pages;
mod paint;
mod style;
mod tags;
mod tree;

pub use length::Size;
pub use looks::Looks;

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
    Write(String),
}

/// A page as a PDF file.
///
/// # Errors
/// [`PaperError`]
pub fn pdf(page: &str, looks: &Looks, size: Size) -> Result<Vec<u8>, PaperError> {
    let faces = face::Faces::shared()?;
    let mut page = tree::Page::new(page, looks);
    let mut pages = Vec::new();
    while let Some(tree) = page.sheet()? {
        let area = size.area(tree.wide());
        pages::place(layout::Layout { tree: &tree, faces }.sheet(area), area, &mut pages);
    }
    paint::write(page, faces, pages)
}

#[cfg(test)]
mod tests;
