//! What stands on one page, as the file writes it: words, lines, drawings, and what each is of.
//!
//! # Source
//! ISO 32000-1 (PDF 1.7), 8.5: lines; 9.4: words; 14.6: marked content; 14.8.2.2: artifacts.
#![expect(
    clippy::float_arithmetic,
    reason = "the file's format measures in floating points; nothing is counted here"
)]

use crate::{
    PaperError, drawing,
    face::Face,
    fonts::Fonts,
    layout::{Item, Line},
    length::{Area, Length},
};
use pdf_writer::{
    Content, Name, Settings, Str,
    types::{ArtifactSubtype, ArtifactType},
};

/// Size of the page number.
const NUMBER_SIZE: Length = 900;
/// Room for what stands on a page.
const PAGE: usize = 16 * 1024;

/// Hundredths of a point as points.
pub fn points(length: Length) -> f32 {
    #[expect(clippy::cast_precision_loss, reason = "paper is a few hundred points wide")]
    let hundredths = length as f32;
    hundredths / 100.0
}

/// Whether what stands together is words, and no drawing.
const fn are_words(run: &[(Item, bool)]) -> bool {
    matches!(run, [(Item::Text { .. }, _), ..])
}

/// Writes on one page.
pub struct Pen<'a> {
    content: Content,
    fonts: &'a mut Fonts,
    area: Area,
    /// With which letters it wrote last.
    face: Option<(Face, Length)>,
    /// Letters of one text; kept, so that room for them is made once.
    numbers: Vec<u8>,
}

impl<'a> Pen<'a> {
    /// Begins on an empty page.
    pub fn new(fonts: &'a mut Fonts, area: Area) -> Self {
        let settings = Settings { pretty: false };
        let content = Content::with_settings_and_capacity(settings, PAGE);
        Self { content, fonts, area, face: None, numbers: Vec::new() }
    }

    /// What it wrote.
    pub fn finish(self) -> pdf_writer::Buf {
        self.content.finish()
    }

    /// Places count from the left and low corner of the paper.
    fn place(&self, (x, y): (Length, Length)) -> (f32, f32) {
        (points(x + self.area.margin), points(self.area.height - y - self.area.margin))
    }

    /// Words of one part, or a drawing, under the number by which its part knows it.
    pub fn marked(&mut self, mark: i32, run: &[(Item, bool)]) -> Result<(), PaperError> {
        let name = if are_words(run) { Name(b"Span") } else { Name(b"Figure") };
        self.content.begin_marked_content_with_properties(name).properties().identify(mark);
        self.items(run)?;
        self.content.end_marked_content();
        Ok(())
    }

    /// Words of a repeated head: they are no part of anything.
    pub fn again(&mut self, run: &[(Item, bool)]) -> Result<(), PaperError> {
        self.artifact(Some(ArtifactSubtype::Header));
        self.items(run)?;
        self.content.end_marked_content();
        Ok(())
    }

    fn artifact(&mut self, edge: Option<ArtifactSubtype<'_>>) {
        let mut mark = self.content.begin_marked_content_with_properties(Name(b"Artifact"));
        let mut artifact = mark.properties().artifact();
        match edge {
            Some(edge) => artifact.kind(ArtifactType::Pagination).subtype(edge),
            None => artifact.kind(ArtifactType::Layout),
        };
    }

    fn items(&mut self, run: &[(Item, bool)]) -> Result<(), PaperError> {
        let words = are_words(run);
        if words {
            self.content.begin_text();
        }
        for (item, _) in run {
            match item {
                Item::Text { x, y, size, face, text, .. } => {
                    self.words((*x, *y), (*face, *size), text);
                }
                Item::Drawing { x, y, size: (width, height), source, .. } => {
                    let (place, size) = (self.place((*x, *y)), (points(*width), points(*height)));
                    drawing::draw(source, place, size, (&mut self.content, self.fonts))?;
                }
                Item::Line(_) => {}
            }
        }
        if words {
            self.content.end_text();
        }
        Ok(())
    }

    fn words(&mut self, place: (Length, Length), look: (Face, Length), text: &str) {
        let (face, size) = look;
        if self.face.replace(look) != Some(look) {
            self.content.set_font(Fonts::name(face), points(size));
        }
        let (x, y) = self.place(place);
        self.fonts.text(face, text, &mut self.numbers);
        self.content.set_text_matrix([1.0, 0.0, 0.0, 1.0, x, y]).show(Str(&self.numbers));
    }

    /// Draws lines, all of one look as one path.
    pub fn lines(&mut self, mut lines: Vec<Line>) {
        if lines.is_empty() {
            return;
        }
        lines.sort_by_key(|line| line.look);
        self.artifact(None);
        for like in lines.chunk_by(|one, next| one.look == next.look) {
            for line in like {
                let ((x, y), (to_x, to_y)) = (self.place(line.from), self.place(line.to));
                self.content.move_to(x, y).line_to(to_x, to_y);
            }
            let Some(Line { look: (thick, dotted), .. }) = like.first() else { continue };
            let dash: &[f32] = if *dotted { &[1.0, 2.0] } else { &[] };
            self.content.set_line_width(points(*thick));
            self.content.set_dash_pattern(dash.iter().copied(), 0.0).stroke();
        }
        self.content.end_marked_content();
    }

    /// `2 / 7`, below on the right: signs that every language reads.
    pub fn number(&mut self, number: usize, of: usize) {
        let text = format!("{number} / {of}");
        let area = self.area;
        let width = self.fonts.faces().width(Face::Regular, NUMBER_SIZE, &text);
        let place = (area.inner_width() - width, area.inner_height() + area.foot / 2);
        self.artifact(Some(ArtifactSubtype::Footer));
        self.content.begin_text();
        self.words(place, (Face::Regular, NUMBER_SIZE), &text);
        self.content.end_text();
        self.content.end_marked_content();
    }
}
