//! Paper: our own pages as PDF.
//!
//! A sheet is drawn once, as HTML with one style sheet. This crate lays the same page out on
//! paper, so that what a browser prints and what the service writes cannot disagree. It reads
//! the part of HTML and CSS that our sheets use: blocks, lines, tables with repeated heads,
//! rows of boxes, lists, drawings. It knows no network, no clock and nothing of bakeries; the
//! same page gives the same bytes.
//!
//! A page goes through the files in this order: `style` reads the style sheet, `tree` the
//! page with its styles, `layout` turns it into strips, `pages` puts strips on pages, and
//! `paint` writes them with their tags.

mod face;
mod layout;
mod length;
mod pages;
mod paint;
mod style;
mod tags;
mod tree;

pub use length::Size;
pub use style::Looks;

/// Why a page cannot be put on paper.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// A bundled font cannot be read.
    #[error("a bundled font cannot be read")]
    Font,
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
    let tree = tree::read(page, looks);
    let mut sheets = Vec::new();
    for sheet in tree.sheets() {
        let area = size.area(tree.nodes[sheet].style.wide);
        let strips = layout::Layout { tree: &tree, faces }.sheet(sheet, area);
        sheets.push(pages::Sheet { area, strips });
    }
    paint::write(&tree, faces, &pages::place(sheets))
}

#[cfg(test)]
mod tests;
