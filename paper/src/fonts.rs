//! The letters that a file uses: what they are called in it, and the faces with no others.
//!
//! # Source
//! ISO 32000-1 (PDF 1.7), 9.7: fonts of many letters; 9.10: what a letter says.
#![expect(
    clippy::float_arithmetic,
    reason = "the file's format measures in floating points; nothing is counted here"
)]

use crate::{
    PaperError,
    face::{Face, Faces, Letters, UNKNOWN},
    file::File,
};
use pdf_writer::{
    Name, Rect, Ref, Str,
    types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap},
};
use std::io;
use subsetter::GlyphRemapper;

/// Letters are numbered by us, and the numbers mean nothing elsewhere.
const NUMBERS: SystemInfo<'static> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

/// Width of upright strokes in thousandths of the size, for readers that lack the face: about
/// what text faces have; common practice.
const STEM: f32 = 95.0;

/// Letters of each face in the order in which they were first used.
pub struct Fonts {
    faces: &'static Faces,
    used: [Used; 3],
}

#[derive(Default)]
struct Used {
    numbers: GlyphRemapper,
    /// What each letter says; the first, which nobody uses, says nothing.
    says: Vec<String>,
}

impl Fonts {
    /// No letter was used yet.
    pub fn new(faces: &'static Faces) -> Self {
        Self { faces, used: <[Used; 3]>::default() }
    }

    /// The faces themselves.
    pub const fn faces(&self) -> &'static Faces {
        self.faces
    }

    /// What a face is called in the file.
    pub const fn name(face: Face) -> Name<'static> {
        match face {
            Face::Regular => Name(b"R"),
            Face::Bold => Name(b"B"),
            Face::Slanted => Name(b"S"),
        }
    }

    /// The number of a letter in the file, as its two bytes; `says` is asked once what it is read
    /// as.
    pub fn letter(&mut self, face: Face, glyph: u16, says: impl FnOnce() -> String) -> [u8; 2] {
        let used = &mut self.used[face as usize];
        let number = used.numbers.remap(glyph);
        if usize::from(number) >= used.says.len() {
            used.says.resize(usize::from(number), String::new());
            used.says.push(says());
        }
        number.to_be_bytes()
    }

    /// The numbers of a text, one letter after the other.
    pub fn text(&mut self, face: Face, text: &str, numbers: &mut Vec<u8>) {
        let letters = self.faces.of(face);
        numbers.clear();
        for letter in text.chars() {
            // A blank that parts no words has been where it mattered; to readers it is a blank.
            let letter = if letter == '\u{a0}' { ' ' } else { letter };
            let says = || if letters.has(letter) { letter } else { UNKNOWN }.to_string();
            numbers.extend(self.letter(face, letters.glyph(letter).0, says));
        }
    }

    /// Writes the faces that were used, each with the letters that were; says where.
    pub fn write(self, file: &mut File<'_>) -> Result<Vec<(Name<'static>, Ref)>, PaperError> {
        let mut written = Vec::new();
        for (face, used) in Face::ALL.into_iter().zip(self.used) {
            if !used.says.is_empty() {
                written.push((Self::name(face), used.write(self.faces.of(face), file)?));
            }
        }
        Ok(written)
    }
}

impl Used {
    fn write(self, letters: &Letters, file: &mut File<'_>) -> Result<Ref, PaperError> {
        let font =
            subsetter::subset(letters.file, 0, &self.numbers).map_err(|_| PaperError::Font)?;
        let [id, of_letters, descriptor, bytes, says] = std::array::from_fn(|_| file.reserve());
        let table = letters.table();
        let thousandths = 1000.0 / f32::from(table.units_per_em());
        let of_size = |length: i16| f32::from(length) * thousandths;
        let name = format!("{}+{}", self.tag(), letters.name);
        let name = Name(name.as_bytes());
        file.put(id, |chunk| {
            let mut font = chunk.type0_font(id);
            font.base_font(name).encoding_predefined(Name(b"Identity-H"));
            font.descendant_font(of_letters).to_unicode(says);
        })?;
        file.put(of_letters, |chunk| {
            let mut font = chunk.cid_font(of_letters);
            font.subtype(CidFontType::Type2).base_font(name).system_info(NUMBERS);
            font.font_descriptor(descriptor).default_width(0.0);
            font.cid_to_gid_map_predefined(Name(b"Identity"));
            let widths = self.numbers.remapped_gids().map(|glyph| letters.advance(glyph));
            font.widths().consecutive(0, widths.map(|width| f32::from(width) * thousandths));
        })?;
        let bounds = table.global_bounding_box();
        file.put(descriptor, |chunk| {
            let mut font = chunk.font_descriptor(descriptor);
            let [left, low, right, high] =
                [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(of_size);
            font.name(name).flags(FontFlags::SYMBOLIC).bbox(Rect::new(left, low, right, high));
            font.italic_angle(table.italic_angle()).ascent(of_size(table.ascender()));
            font.descent(of_size(table.descender()));
            font.cap_height(of_size(table.capital_height().unwrap_or(table.ascender())));
            font.stem_v(STEM).font_file2(bytes);
        })?;
        let length = i32::try_from(font.len()).unwrap_or(i32::MAX);
        file.stream(bytes, &font, |stream| {
            stream.pair(Name(b"Length1"), length);
        })?;
        self.write_says(says, file)?;
        Ok(id)
    }

    /// What its letters say, so that a text can be read aloud, searched and copied.
    fn write_says(&self, id: Ref, file: &mut File<'_>) -> io::Result<()> {
        let mut map = UnicodeCmap::new(Name(b"Custom"), NUMBERS);
        for (number, says) in (0_u16..).zip(&self.says).skip(1) {
            map.pair_with_multiple(number, says.chars());
        }
        file.stream(id, map.finish().as_slice(), |_| {})
    }

    /// Six letters that tell a part of a face from other parts of it.
    fn tag(&self) -> String {
        let glyphs = self.numbers.remapped_gids();
        let mut sum =
            glyphs.fold(0_u64, |sum, glyph| sum.wrapping_mul(31).wrapping_add(glyph.into()));
        let mut tag = String::new();
        for _ in 0..6 {
            tag.push(char::from(b'A' + u8::try_from(sum % 26).unwrap_or_default()));
            sum /= 26;
        }
        tag
    }
}
