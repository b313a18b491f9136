//! The bundled letters: how wide they are, and which of them draws what.
//!
//! # Source
//! DejaVu Sans Condensed, parts of it, under the licence in `fonts/LICENSE`.

use crate::{PaperError, length::Length};
use std::sync::LazyLock;
use ttf_parser::{Face as Table, GlyphId};

/// The faces with their names, in the order of [`Face::ALL`].
const FILES: [(&str, &[u8]); 3] = [
    ("DejaVuSansCondensed", include_bytes!("../fonts/DejaVuSansCondensed.ttf")),
    ("DejaVuSansCondensed-Bold", include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf")),
    ("DejaVuSansCondensed-Oblique", include_bytes!("../fonts/DejaVuSansCondensed-Oblique.ttf")),
];

/// Letters below this number, those of Latin scripts, are looked up once.
const LATIN: u32 = 0x250;

/// What is drawn for a letter that a face lacks.
pub const UNKNOWN: char = '?';

/// Which letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// Upright.
    Regular,
    /// Heavy.
    Bold,
    /// Slanted.
    Slanted,
}

impl Face {
    /// All of them, in their order.
    pub const ALL: [Self; 3] = [Self::Regular, Self::Bold, Self::Slanted];
}

/// One face: for measuring and for writing.
pub struct Letters {
    table: Table<'static>,
    /// Glyph and advance of each Latin letter.
    latin: Vec<(u16, i64)>,
    /// What its file calls it.
    pub name: &'static str,
    /// Its file.
    pub file: &'static [u8],
    units: i64,
}

/// All faces.
pub struct Faces([Letters; 3]);

impl Faces {
    /// The bundled files, read once in the life of the process.
    pub fn shared() -> Result<&'static Self, PaperError> {
        static FACES: LazyLock<Result<Faces, PaperError>> = LazyLock::new(Faces::read);
        FACES.as_ref().map_err(|_| PaperError::Font)
    }

    fn read() -> Result<Self, PaperError> {
        let [regular, bold, slanted] = FILES.map(|(name, file)| {
            let table = Table::parse(file, 0).map_err(|_| PaperError::Font)?;
            let units = i64::from(table.units_per_em()).max(1);
            let latin = (0..LATIN)
                .map(|number| looked_up(&table, char::from_u32(number).unwrap_or(UNKNOWN)));
            Ok::<_, PaperError>(Letters { latin: latin.collect(), table, name, file, units })
        });
        Ok(Self([regular?, bold?, slanted?]))
    }

    /// The bundled files, for drawings with words in them.
    pub fn files() -> [&'static [u8]; 3] {
        FILES.map(|(_, file)| file)
    }

    /// A face.
    pub fn of(&self, face: Face) -> &Letters {
        let [regular, bold, slanted] = &self.0;
        match face {
            Face::Regular => regular,
            Face::Bold => bold,
            Face::Slanted => slanted,
        }
    }

    /// How long a text is at a size.
    pub fn width(&self, face: Face, size: Length, text: &str) -> Length {
        let letters = self.of(face);
        let units: i64 = text.chars().map(|letter| letters.glyph(letter).1).sum();
        Length::try_from(units * i64::from(size) / letters.units).unwrap_or(Length::MAX / 4)
    }
}

impl Letters {
    /// The glyph of a letter and its advance in font units; [`UNKNOWN`] if it is not there.
    pub fn glyph(&self, letter: char) -> (u16, i64) {
        let latin = self.latin.get(letter as usize);
        latin.copied().unwrap_or_else(|| looked_up(&self.table, letter))
    }

    /// How wide a glyph is, in font units.
    pub fn advance(&self, glyph: u16) -> u16 {
        self.table.glyph_hor_advance(GlyphId(glyph)).unwrap_or_default()
    }

    /// Whether a letter is drawn as itself.
    pub fn has(&self, letter: char) -> bool {
        self.table.glyph_index(letter).is_some()
    }

    /// What its file says of it; lengths are in font units.
    pub const fn table(&self) -> &Table<'static> {
        &self.table
    }

    /// Height of the letters above the line they stand on, at a size.
    pub fn rise(&self, size: Length) -> Length {
        self.scaled(self.table.ascender(), size)
    }

    /// Depth of the letters below it, at a size; positive.
    pub fn fall(&self, size: Length) -> Length {
        -self.scaled(self.table.descender(), size)
    }

    fn scaled(&self, units: i16, size: Length) -> Length {
        let value = i64::from(units) * i64::from(size) / self.units;
        Length::try_from(value).unwrap_or_default()
    }
}

fn looked_up(table: &Table<'_>, letter: char) -> (u16, i64) {
    let letter = if letter == '\u{a0}' { ' ' } else { letter };
    let found = table.glyph_index(letter).or_else(|| table.glyph_index(UNKNOWN));
    let glyph = found.unwrap_or_default();
    (glyph.0, i64::from(table.glyph_hor_advance(glyph).unwrap_or_default()))
}
