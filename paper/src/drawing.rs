//! Drawings: lines, areas and words of an SVG into the content of a page.
#![expect(
    clippy::float_arithmetic,
    reason = "drawings and the file's format measure in floating points; nothing is counted here"
)]

use crate::{
    PaperError,
    face::{Face, Faces, UNKNOWN},
    fonts::Fonts,
};
use pdf_writer::{
    Content, Str,
    types::{LineCapStyle, LineJoinStyle},
};
use std::sync::{Arc, LazyLock};
use usvg::{
    Fill, FillRule, Group, LineCap, LineJoin, Node, Opacity, Options, Paint, Path, Stroke, Text,
    Tree,
    tiny_skia_path::{PathSegment, Point, Transform},
};

/// The family of our own letters, as their files name it.
const FAMILY: &str = "DejaVu Sans Condensed";

/// Draws an SVG with its upper left corner at a place, so wide and so high, in points.
pub fn draw(
    source: &str,
    (left, top): (f32, f32),
    (width, height): (f32, f32),
    (content, fonts): (&mut Content, &mut Fonts),
) -> Result<(), PaperError> {
    let fault = |error: usvg::Error| PaperError::Drawing(error.to_string());
    let tree = Tree::from_str(source, options()?).map_err(fault)?;
    let (across, down) = (width / tree.size().width(), -height / tree.size().height());
    content.save_state().transform([across, 0.0, 0.0, down, left, top]);
    let drawn = Drawing { content, fonts }.group(tree.root());
    content.restore_state();
    drawn
}

/// How drawings are read: with our own letters and nothing of the machine.
fn options() -> Result<&'static Options<'static>, PaperError> {
    static OPTIONS: LazyLock<Option<Options<'static>>> = LazyLock::new(|| {
        let mut options = Options { font_family: FAMILY.to_owned(), ..Options::default() };
        let fonts = Arc::get_mut(&mut options.fontdb)?;
        for file in Faces::files() {
            fonts.load_font_data(file.to_vec());
        }
        fonts.set_sans_serif_family(FAMILY);
        fonts.set_serif_family(FAMILY);
        Some(options)
    });
    OPTIONS.as_ref().ok_or(PaperError::Font)
}

struct Drawing<'a> {
    content: &'a mut Content,
    fonts: &'a mut Fonts,
}

impl Drawing<'_> {
    fn group(&mut self, group: &Group) -> Result<(), PaperError> {
        let plain = group.clip_path().is_none() && group.mask().is_none();
        if !plain || !group.filters().is_empty() || group.opacity() != Opacity::ONE {
            return Err(cannot("a clip, mask, filter or opacity of a group"));
        }
        for node in group.children() {
            match node {
                Node::Group(group) => self.group(group)?,
                Node::Path(path) if path.is_visible() => {
                    self.placed(path.abs_transform(), |drawing| drawing.path(path))?;
                }
                Node::Path(_) => {}
                Node::Text(text) => {
                    self.placed(text.abs_transform(), |drawing| drawing.text(text))?;
                }
                Node::Image(_) => return Err(cannot("an image")),
            }
        }
        Ok(())
    }

    /// Draws something where it stands.
    fn placed(
        &mut self,
        place: Transform,
        draw: impl FnOnce(&mut Self) -> Result<(), PaperError>,
    ) -> Result<(), PaperError> {
        self.content.save_state();
        if !place.is_identity() {
            self.content.transform(matrix(place));
        }
        let drawn = draw(self);
        self.content.restore_state();
        drawn
    }

    fn path(&mut self, path: &Path) -> Result<(), PaperError> {
        if let Some(fill) = path.fill() {
            self.fill(fill)?;
        }
        if let Some(stroke) = path.stroke() {
            self.stroke(stroke)?;
        }
        self.outline(path);
        let even_odd = path.fill().is_some_and(|fill| fill.rule() == FillRule::EvenOdd);
        match (path.fill().is_some(), path.stroke().is_some()) {
            (true, true) if even_odd => self.content.fill_even_odd_and_stroke(),
            (true, true) => self.content.fill_nonzero_and_stroke(),
            (true, false) if even_odd => self.content.fill_even_odd(),
            (true, false) => self.content.fill_nonzero(),
            (false, true) => self.content.stroke(),
            (false, false) => self.content.end_path(),
        };
        Ok(())
    }

    fn outline(&mut self, path: &Path) {
        let mut last = Point::default();
        for segment in path.data().segments() {
            last = match segment {
                PathSegment::MoveTo(to) => {
                    self.content.move_to(to.x, to.y);
                    to
                }
                PathSegment::LineTo(to) => {
                    self.content.line_to(to.x, to.y);
                    to
                }
                PathSegment::QuadTo(over, to) => {
                    // The same curve with two points instead of one.
                    let near = |end: f32, over: f32| end + (over - end) * 2.0 / 3.0;
                    let (x1, y1) = (near(last.x, over.x), near(last.y, over.y));
                    let (x2, y2) = (near(to.x, over.x), near(to.y, over.y));
                    self.content.cubic_to(x1, y1, x2, y2, to.x, to.y);
                    to
                }
                PathSegment::CubicTo(one, two, to) => {
                    self.content.cubic_to(one.x, one.y, two.x, two.y, to.x, to.y);
                    to
                }
                PathSegment::Close => {
                    self.content.close_path();
                    last
                }
            };
        }
    }

    fn fill(&mut self, fill: &Fill) -> Result<(), PaperError> {
        let [red, green, blue] = color(fill.paint(), fill.opacity())?;
        self.content.set_fill_rgb(red, green, blue);
        Ok(())
    }

    fn stroke(&mut self, stroke: &Stroke) -> Result<(), PaperError> {
        let [red, green, blue] = color(stroke.paint(), stroke.opacity())?;
        self.content.set_stroke_rgb(red, green, blue).set_line_width(stroke.width().get());
        self.content.set_line_cap(match stroke.linecap() {
            LineCap::Butt => LineCapStyle::ButtCap,
            LineCap::Round => LineCapStyle::RoundCap,
            LineCap::Square => LineCapStyle::ProjectingSquareCap,
        });
        self.content.set_line_join(match stroke.linejoin() {
            LineJoin::Miter | LineJoin::MiterClip => LineJoinStyle::MiterJoin,
            LineJoin::Round => LineJoinStyle::RoundJoin,
            LineJoin::Bevel => LineJoinStyle::BevelJoin,
        });
        self.content.set_miter_limit(stroke.miterlimit().get());
        let dashes = stroke.dasharray().unwrap_or_default().iter().copied();
        self.content.set_dash_pattern(dashes, stroke.dashoffset());
        Ok(())
    }

    fn text(&mut self, text: &Text) -> Result<(), PaperError> {
        for span in text.layouted().iter().filter(|span| span.visible) {
            let Some(fill) = &span.fill else { continue };
            if span.stroke.is_some() {
                return Err(cannot("lines around letters"));
            }
            self.fill(fill)?;
            self.content.begin_text();
            for glyph in &span.positioned_glyphs {
                // The machine's fonts are not read: faces stand in the order of our own.
                let mut faces = options()?.fontdb.faces().zip(Face::ALL);
                let face = faces.find(|(info, _)| info.id == glyph.font);
                let (_, face) = face.ok_or(PaperError::Font)?;
                let letters = self.fonts.faces().of(face);
                // A face draws a letter that it lacks as its first, which says nothing.
                let letter = if glyph.id.0 == 0 {
                    self.fonts.letter(face, letters.glyph(UNKNOWN).0, || UNKNOWN.to_string())
                } else {
                    self.fonts.letter(face, glyph.id.0, || glyph.text.clone())
                };
                let units = letters.table().units_per_em();
                let upright = f32::from(units) / glyph.font_size();
                let place = glyph.transform().pre_scale(upright, -upright);
                self.content.set_font(Fonts::name(face), glyph.font_size());
                self.content.set_text_matrix(matrix(place)).show(Str(&letter));
            }
            self.content.end_text();
        }
        Ok(())
    }
}

const fn matrix(place: Transform) -> [f32; 6] {
    [place.sx, place.ky, place.kx, place.sy, place.tx, place.ty]
}

/// A colour; what shines through it is paper.
fn color(paint: &Paint, opacity: Opacity) -> Result<[f32; 3], PaperError> {
    let Paint::Color(color) = paint else { return Err(cannot("a pattern or gradient")) };
    let on_paper = |part: u8| 1.0 - (1.0 - f32::from(part) / 255.0) * opacity.get();
    Ok([color.red, color.green, color.blue].map(on_paper))
}

fn cannot(what: &str) -> PaperError {
    PaperError::Drawing(format!("it has {what}, which paper has not"))
}
