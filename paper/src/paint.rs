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
    tree::{Child, Tree},
};
use krilla::{
    Document, SerializeSettings,
    configure::{Accessibility, ConfigurationBuilder},
    geom::{PathBuilder, Point, Size, Transform},
    metadata::Metadata,
    page::PageSettings,
    paint::{Stroke, StrokeDash},
    surface::Surface,
    tagging::{
        Artifact, ArtifactType, ContentTag, Identifier, ListNumbering, SpanTag, TableHeaderScope,
        Tag, TagGroup, TagKind, TagTree,
    },
    text::{GlyphId, KrillaGlyph},
};
use krilla_svg::{SurfaceExt as _, SvgSettings};
use std::{num::NonZeroU16, sync::Arc};

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
    let mut ids: Vec<Vec<Identifier>> = vec![Vec::new(); tree.nodes.len()];
    let drawings = drawings()?;
    for (number, page) in pages.iter().enumerate() {
        let (width, height) = (points(page.area.width), points(page.area.height));
        let settings = PageSettings::from_wh(width, height);
        let settings = settings.ok_or_else(|| PaperError::Write("a page of no size".to_owned()))?;
        let mut on_page = document.start_page_with(settings);
        let mut surface = on_page.surface();
        let mut pen = Pen { surface: &mut surface, faces, page, drawings: &drawings };
        for (item, again) in &page.items {
            pen.draw(item, *again, &mut ids)?;
        }
        if page.area.numbered {
            pen.number(number + 1, pages.len());
        }
        surface.finish();
        on_page.finish();
    }
    let metadata = Metadata::new().title(tree.title.clone()).language(tree.language.clone());
    document.set_metadata(metadata);
    let mut tags = TagTree::new().with_lang(Some(tree.language.clone()));
    if let Some(group) = group(tree, 0, &mut ids) {
        tags.push(group);
    }
    document.set_tag_tree(tags);
    document.finish().map_err(|error| fault(&error))
}

/// How drawings are read: with our own letters and nothing of the machine.
fn drawings() -> Result<usvg::Options<'static>, PaperError> {
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
    drawings: &'a usvg::Options<'static>,
}

impl Pen<'_, '_> {
    fn place(&self, x: Length, y: Length) -> (f32, f32) {
        (points(x + self.page.area.margin), points(y + self.page.area.margin))
    }

    fn draw(
        &mut self,
        item: &Item,
        again: bool,
        ids: &mut [Vec<Identifier>],
    ) -> Result<(), PaperError> {
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
                    ids[*node].push(id);
                }
            }
            Item::Line { from, to, thick, dotted } => {
                self.surface.start_tagged(artifact(ArtifactType::Other));
                self.line(*from, *to, *thick, *dotted);
                self.surface.end_tagged();
            }
            Item::Drawing { x, y, size, source, node } => {
                let tree = usvg::Tree::from_str(source, self.drawings)
                    .map_err(|error| PaperError::Drawing(error.to_string()))?;
                let id = self.surface.start_tagged(ContentTag::Other);
                let (left, top) = self.place(*x, *y);
                self.surface.push_transform(&Transform::from_translate(left, top));
                if let Some(size) = Size::from_wh(points(size.0), points(size.1)) {
                    self.surface.draw_svg(&tree, size, SvgSettings::default());
                }
                self.surface.pop();
                self.surface.end_tagged();
                ids[*node].push(id);
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

    fn line(
        &mut self,
        from: (Length, Length),
        to: (Length, Length),
        thick: Length,
        dotted: bool,
    ) {
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

    /// `paper 2 of 7`, below on the right.
    fn number(&mut self, number: usize, of: usize) {
        let text = format!("paper {number} of {of}");
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
        if let Child::Node(child) = child {
            if let Some(inner) = self::group(tree, *child, ids) {
                group.push(inner);
                any = true;
            }
        }
    }
    // A cell without words is a cell all the same, or its row would be crooked.
    (any || matches!(node.tag.as_str(), "td" | "th")).then_some(group)
}

fn kind(tree: &Tree, at: usize) -> TagKind {
    let node = &tree.nodes[at];
    let heading = |level: u16| {
        let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
        Tag::Hn(level, None).into()
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
            Tag::Figure(alt.filter(|alt| !alt.is_empty())).into()
        }
        "p" | "dt" | "dd" | "caption" => Tag::P.into(),
        _ => Tag::Div.into(),
    }
}
