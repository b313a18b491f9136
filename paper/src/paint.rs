//! Pages into the file, each word with the element that it belongs to.
#![expect(
    clippy::float_arithmetic,
    reason = "the file's format measures in floating points; nothing is counted here"
)]

use crate::{
    PaperError,
    face::{Face, Faces},
    layout::Item,
    length::Length,
    pages::Page,
    tags::Tags,
    tree::Tree,
};
use krilla::{
    Document, SerializeSettings,
    configure::{Accessibility, ConfigurationBuilder},
    destination::XyzDestination,
    geom::{PathBuilder, Point, Size, Transform},
    metadata::Metadata,
    outline::{Outline, OutlineNode},
    page::PageSettings,
    paint::{Stroke, StrokeDash},
    surface::Surface,
    tagging::{Artifact, ArtifactType, ContentTag, SpanTag, TagTree},
    text::{GlyphId, KrillaGlyph},
};
use krilla_svg::{SurfaceExt as _, SvgSettings};
use std::sync::{Arc, LazyLock};

/// What a page without a title is called: readers are told something.
const UNTITLED: &str = "sheet";
/// Size of the page number.
const NUMBER_SIZE: Length = 900;

fn points(length: Length) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "paper is a few hundred points wide")]
    let hundredths = length as f32;
    hundredths / 100.0
}

/// Writes the file.
pub fn write(tree: &Tree, faces: &Faces, pages: &[Page]) -> Result<Vec<u8>, PaperError> {
    let fault = |error: &dyn std::fmt::Debug| PaperError::Write(format!("{error:?}"));
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| fault(&error))?;
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let mut written = Tags::new(tree);
    for (number, page) in pages.iter().enumerate() {
        let (width, height) = (points(page.area.width), points(page.area.height));
        let settings = PageSettings::from_wh(width, height);
        let settings = settings.ok_or_else(|| PaperError::Write("a page of no size".to_owned()))?;
        let mut on_page = document.start_page_with(settings);
        let mut surface = on_page.surface();
        let mut pen = Pen { surface: &mut surface, faces, page, at: number };
        for (item, again) in &page.items {
            pen.draw(item, *again, &mut written)?;
        }
        if page.area.numbered {
            pen.number(number + 1, pages.len());
        }
        surface.finish();
        on_page.finish();
    }
    let title = if tree.title.is_empty() { UNTITLED } else { &tree.title };
    let metadata = Metadata::new().title(title.to_owned()).language(tree.language.clone());
    document.set_metadata(metadata);
    let mut tags = TagTree::new().with_lang(Some(tree.language.clone()));
    document.set_outline(outline(tree, pages, &written));
    if let Some(group) = written.group() {
        tags.push(group);
    }
    document.set_tag_tree(tags);
    document.finish().map_err(|error| fault(&error))
}

/// Where a reader may jump to: each heading of the first rank, or the first page.
fn outline(tree: &Tree, pages: &[Page], written: &Tags<'_>) -> Outline {
    let mut outline = Outline::new();
    let mut headings: Vec<_> = written.headings().collect();
    if headings.is_empty() {
        headings.push((tree.title.clone(), 0, 0));
    }
    for (words, page, y) in headings {
        let margin = pages.get(page).map_or(0, |page| page.area.margin);
        let place = Point::from_xy(points(margin), points((y - 2000).max(0) + margin));
        outline.push_child(OutlineNode::new(words, XyzDestination::new(page, place)));
    }
    outline
}

/// How drawings are read: with our own letters and nothing of the machine.
fn drawings() -> Result<&'static usvg::Options<'static>, PaperError> {
    static OPTIONS: LazyLock<Result<usvg::Options<'static>, PaperError>> = LazyLock::new(options);
    OPTIONS.as_ref().map_err(|_| PaperError::Font)
}

fn options() -> Result<usvg::Options<'static>, PaperError> {
    let mut options = usvg::Options { font_family: FAMILY.to_owned(), ..usvg::Options::default() };
    let fonts = Arc::get_mut(&mut options.fontdb).ok_or(PaperError::Font)?;
    for file in Faces::files() {
        fonts.load_font_data(file.to_vec());
    }
    fonts.set_sans_serif_family(FAMILY);
    fonts.set_serif_family(FAMILY);
    Ok(options)
}

/// The family of our own letters, as their files name it.
const FAMILY: &str = "DejaVu Sans Condensed";

struct Pen<'a, 's> {
    surface: &'a mut Surface<'s>,
    faces: &'a Faces,
    page: &'a Page,
    at: usize,
}

impl Pen<'_, '_> {
    fn place(&self, x: Length, y: Length) -> (f32, f32) {
        (points(x + self.page.area.margin), points(y + self.page.area.margin))
    }

    fn draw(&mut self, item: &Item, again: bool, written: &mut Tags<'_>) -> Result<(), PaperError> {
        match item {
            Item::Text { x, y, size, face, text, node } => {
                let id = self.surface.start_tagged(if again {
                    artifact(ArtifactType::Header)
                } else {
                    ContentTag::Span(SpanTag::empty())
                });
                self.words((*x, *y), (*face, *size), text);
                self.surface.end_tagged();
                if !again {
                    written.wrote(*node, id, (self.at, *y));
                }
            }
            Item::Line { from, to, thick, dotted } => {
                self.surface.start_tagged(artifact(ArtifactType::Other));
                self.line(*from, *to, *thick, *dotted);
                self.surface.end_tagged();
            }
            Item::Drawing { x, y, size, source, node } => {
                let tree = usvg::Tree::from_str(source, drawings()?)
                    .map_err(|error| PaperError::Drawing(error.to_string()))?;
                let id = self.surface.start_tagged(ContentTag::Other);
                let (left, top) = self.place(*x, *y);
                self.surface.push_transform(&Transform::from_translate(left, top));
                if let Some(size) = Size::from_wh(points(size.0), points(size.1)) {
                    self.surface.draw_svg(&tree, size, SvgSettings::default());
                }
                self.surface.pop();
                self.surface.end_tagged();
                written.wrote(*node, id, (self.at, *y));
            }
        }
        Ok(())
    }

    fn words(&mut self, (x, y): (Length, Length), (face, size): (Face, Length), text: &str) {
        let letters = self.faces.of(face);
        #[expect(clippy::cast_precision_loss, reason = "font units are a few thousand")]
        let units = letters.units() as f32;
        let glyphs: Vec<KrillaGlyph> = text
            .char_indices()
            .map(|(at, letter)| {
                let (glyph, advance) = letters.glyph(letter);
                let range = at..at + letter.len_utf8();
                #[expect(clippy::cast_precision_loss, reason = "font units are a few thousand")]
                let advance = advance as f32 / units;
                let glyph = GlyphId::new(u32::from(glyph));
                KrillaGlyph::new(glyph, advance, 0.0, 0.0, 0.0, range, None)
            })
            .collect();
        let (x, y) = self.place(x, y);
        let font = letters.font.clone();
        self.surface.draw_glyphs(Point::from_xy(x, y), &glyphs, font, text, points(size), false);
    }

    fn line(&mut self, from: (Length, Length), to: (Length, Length), thick: Length, dotted: bool) {
        let mut path = PathBuilder::new();
        let (x, y) = self.place(from.0, from.1);
        path.move_to(x, y);
        let (x, y) = self.place(to.0, to.1);
        path.line_to(x, y);
        let Some(path) = path.finish() else { return };
        let dash = dotted.then(|| StrokeDash { array: vec![1.0, 2.0], offset: 0.0 });
        self.surface.set_fill(None);
        self.surface.set_stroke(Some(Stroke { width: points(thick), dash, ..Stroke::default() }));
        self.surface.draw_path(&path);
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(krilla::paint::Fill::default()));
    }

    /// `2 / 7`, below on the right: signs that every language reads.
    fn number(&mut self, number: usize, of: usize) {
        let text = format!("{number} / {of}");
        let area = self.page.area;
        let x = area.inner_width() - self.faces.width(Face::Regular, NUMBER_SIZE, &text);
        let y = area.inner_height() + area.foot / 2;
        self.surface.start_tagged(artifact(ArtifactType::Footer));
        self.words((x, y), (Face::Regular, NUMBER_SIZE), &text);
        self.surface.end_tagged();
    }
}

const fn artifact(kind: ArtifactType) -> ContentTag<'static> {
    ContentTag::Artifact(Artifact { kind, bbox: None })
}
