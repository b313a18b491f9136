//! Pages into the file, each word with the element that it belongs to.
#![expect(
    clippy::float_arithmetic,
    reason = "the file's format measures in floating points; nothing is counted here"
)]

use crate::{
    PaperError,
    face::{Face, Faces},
    layout::{Item, Line},
    length::{Area, Length},
    pages::Page,
    tags::Tags,
    tree,
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
pub fn write(page: tree::Page<'_>, faces: &Faces, pages: Vec<Page>) -> Result<Vec<u8>, PaperError> {
    let tree::Page { mut tags, title, language, .. } = page;
    let fault = |error: &dyn std::fmt::Debug| PaperError::Write(format!("{error:?}"));
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|error| fault(&error))?;
    let settings = SerializeSettings { configuration, ..SerializeSettings::default() };
    let mut document = Document::new_with(settings);
    let (count, margin) = (pages.len(), pages.first().map_or(0, |page| page.area.margin));
    // Each page is let go of when it is written.
    for (number, page) in pages.into_iter().enumerate() {
        let (width, height) = (points(page.area.width), points(page.area.height));
        let settings = PageSettings::from_wh(width, height);
        let settings = settings.ok_or_else(|| PaperError::Write("a page of no size".to_owned()))?;
        let mut on_page = document.start_page_with(settings);
        let mut surface = on_page.surface();
        let glyphs = Vec::new();
        let mut pen = Pen { surface: &mut surface, faces, area: page.area, at: number, glyphs };
        pen.lines(page.lines);
        for run in page.items.chunk_by(|(one, again), (next, too)| again == too && one.joins(next))
        {
            pen.draw(run, &mut tags)?;
        }
        if page.area.numbered {
            pen.number(number + 1, count);
        }
        surface.finish();
        on_page.finish();
    }
    let title = if title.is_empty() { UNTITLED } else { &title };
    let metadata = Metadata::new().title(title.to_owned()).language(language.clone());
    document.set_metadata(metadata);
    document.set_outline(outline(title, margin, &tags));
    let mut groups = TagTree::from(tags.groups());
    groups.lang = Some(language);
    document.set_tag_tree(groups);
    let mut file = document.finish().map_err(|error| fault(&error))?;
    // It is made in twice the room; whoever waits for a slow reader keeps no more than the file.
    file.shrink_to_fit();
    Ok(file)
}

/// Where a reader may jump to: each heading of the first rank, or the first page.
fn outline(title: &str, margin: Length, tags: &Tags<'_>) -> Outline {
    let mut outline = Outline::new();
    let mut headings: Vec<_> = tags.headings().collect();
    if headings.is_empty() {
        headings.push((title, 0, 0));
    }
    for (words, page, y) in headings {
        let place = Point::from_xy(points(margin), points((y - 2000).max(0) + margin));
        outline.push_child(OutlineNode::new(words.to_owned(), XyzDestination::new(page, place)));
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
    area: Area,
    /// Which page, from nought.
    at: usize,
    /// Letters of one run; kept, so that room for them is made once.
    glyphs: Vec<KrillaGlyph>,
}

impl Pen<'_, '_> {
    fn place(&self, (x, y): (Length, Length)) -> (f32, f32) {
        (points(x + self.area.margin), points(y + self.area.margin))
    }

    /// Words of one part, or a drawing; of a repeated head they are no part of anything.
    fn draw(&mut self, run: &[(Item, bool)], tags: &mut Tags<'_>) -> Result<(), PaperError> {
        let Some((first, again)) = run.first() else { return Ok(()) };
        let (part, y, tag) = match first {
            Item::Text { part, y, .. } => (*part, *y, ContentTag::Span(SpanTag::empty())),
            Item::Drawing { part, y, .. } => (*part, *y, ContentTag::Other),
            Item::Line(_) => return Ok(()),
        };
        let tag = if *again { artifact(ArtifactType::Header) } else { tag };
        let id = self.surface.start_tagged(tag);
        for (item, _) in run {
            match item {
                Item::Text { x, y, size, face, text, .. } => {
                    self.words((*x, *y), (*face, *size), text);
                }
                Item::Drawing { x, y, size, source, .. } => {
                    self.drawing((*x, *y), *size, source)?;
                }
                Item::Line(_) => {}
            }
        }
        self.surface.end_tagged();
        if !again {
            tags.wrote(part, id, (self.at, y));
        }
        Ok(())
    }

    fn drawing(
        &mut self,
        place: (Length, Length),
        (width, height): (Length, Length),
        source: &str,
    ) -> Result<(), PaperError> {
        let tree = usvg::Tree::from_str(source, drawings()?)
            .map_err(|error| PaperError::Drawing(error.to_string()))?;
        let (left, top) = self.place(place);
        self.surface.push_transform(&Transform::from_translate(left, top));
        if let Some(size) = Size::from_wh(points(width), points(height)) {
            self.surface.draw_svg(&tree, size, SvgSettings::default());
        }
        self.surface.pop();
        Ok(())
    }

    fn words(&mut self, place: (Length, Length), (face, size): (Face, Length), text: &str) {
        // A blank that parts no words has been where it mattered; to readers it is a blank.
        let text = text.replace('\u{a0}', " ");
        let letters = self.faces.of(face);
        #[expect(clippy::cast_precision_loss, reason = "font units are a few thousand")]
        let units = letters.units() as f32;
        self.glyphs.clear();
        self.glyphs.extend(text.char_indices().map(|(at, letter)| {
            let (glyph, advance) = letters.glyph(letter);
            let range = at..at + letter.len_utf8();
            #[expect(clippy::cast_precision_loss, reason = "font units are a few thousand")]
            let advance = advance as f32 / units;
            let glyph = GlyphId::new(u32::from(glyph));
            KrillaGlyph::new(glyph, advance, 0.0, 0.0, 0.0, range, None)
        }));
        let (x, y) = self.place(place);
        let (font, start) = (letters.font.clone(), Point::from_xy(x, y));
        self.surface.draw_glyphs(start, &self.glyphs, font, &text, points(size), false);
    }

    /// Draws the lines of a page, all of one look as one path.
    fn lines(&mut self, mut lines: Vec<Line>) {
        if lines.is_empty() {
            return;
        }
        lines.sort_by_key(|line| line.look);
        self.surface.start_tagged(artifact(ArtifactType::Other));
        self.surface.set_fill(None);
        for like in lines.chunk_by(|one, next| one.look == next.look) {
            let mut path = PathBuilder::new();
            for line in like {
                let ((x, y), (to_x, to_y)) = (self.place(line.from), self.place(line.to));
                path.move_to(x, y);
                path.line_to(to_x, to_y);
            }
            let (Some(path), Some(first)) = (path.finish(), like.first()) else { continue };
            let (thick, dotted) = first.look;
            let dash = dotted.then(|| StrokeDash { array: vec![1.0, 2.0], offset: 0.0 });
            let stroke = Stroke { width: points(thick), dash, ..Stroke::default() };
            self.surface.set_stroke(Some(stroke));
            self.surface.draw_path(&path);
        }
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(krilla::paint::Fill::default()));
        self.surface.end_tagged();
    }

    /// `2 / 7`, below on the right: signs that every language reads.
    fn number(&mut self, number: usize, of: usize) {
        let text = format!("{number} / {of}");
        let area = self.area;
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
