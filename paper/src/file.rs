//! The file: one object after the other, each gone from memory once it is written.
//!
//! # Source
//! ISO 32000-1 (PDF 1.7), 7.5: header, body, cross-reference table and trailer.

use flate2::{Compression, write::ZlibEncoder};
use pdf_writer::{Chunk, Filter, Ref, Settings, Stream};
use std::io::{self, Write};

/// How hard streams are pressed: a tenth more of file for a quarter less of time.
const PRESSED: Compression = Compression::new(1);
/// Room for an object, nearly all of which are small.
const SMALL: usize = 256;

/// Objects that go out as they are made; where each one stands is kept for the table at the end.
pub struct File<'w> {
    to: &'w mut dyn Write,
    length: u64,
    /// Where each object begins, in the order of their numbers.
    offsets: Vec<u64>,
}

impl<'w> File<'w> {
    /// Begins a file. The four bytes in its second line say that it is none of letters.
    pub fn begin(to: &'w mut dyn Write) -> io::Result<Self> {
        let mut file = Self { to, length: 0, offsets: Vec::new() };
        file.out(b"%PDF-1.7\n%\x80\x80\x80\x80\n")?;
        Ok(file)
    }

    /// A number for an object that is written later.
    pub fn reserve(&mut self) -> Ref {
        self.offsets.push(0);
        Ref::new(i32::try_from(self.offsets.len()).unwrap_or(i32::MAX))
    }

    /// Writes the object of a number.
    pub fn put(&mut self, id: Ref, write: impl FnOnce(&mut Chunk)) -> io::Result<()> {
        let mut chunk = Chunk::with_settings_and_capacity(Settings { pretty: false }, SMALL);
        write(&mut chunk);
        let place = usize::try_from(id.get() - 1).ok().and_then(|at| self.offsets.get_mut(at));
        if let Some(place) = place {
            *place = self.length;
        }
        self.out(chunk.as_bytes())
    }

    /// Writes a stream, pressed; `more` says what else is known of it.
    pub fn stream(
        &mut self,
        id: Ref,
        bytes: &[u8],
        more: impl FnOnce(&mut Stream<'_>),
    ) -> io::Result<()> {
        let mut pressed = ZlibEncoder::new(Vec::with_capacity(bytes.len() / 2), PRESSED);
        pressed.write_all(bytes)?;
        let pressed = pressed.finish()?;
        self.put(id, |chunk| {
            let mut stream = chunk.stream(id, &pressed);
            stream.filter(Filter::FlateDecode);
            more(&mut stream);
        })
    }

    /// Writes where everything stands, and what to read first.
    pub fn finish(mut self, catalog: Ref, info: Ref) -> io::Result<()> {
        let start = self.length;
        let size = self.offsets.len() + 1;
        self.out(format!("xref\n0 {size}\n0000000000 65535 f\r\n").as_bytes())?;
        for offset in std::mem::take(&mut self.offsets) {
            self.out(format!("{offset:010} 00000 n\r\n").as_bytes())?;
        }
        let (root, info) = (catalog.get(), info.get());
        let trailer = format!(
            "trailer\n<</Size {size}/Root {root} 0 R/Info {info} 0 R>>\nstartxref\n{start}\n%%EOF\n"
        );
        self.out(trailer.as_bytes())?;
        self.to.flush()
    }

    fn out(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.length += bytes.len() as u64;
        self.to.write_all(bytes)
    }
}
