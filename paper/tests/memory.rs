//! How much memory a long file takes while it is made: live bytes, counted, not what an
//! allocator maps.

use paper::{Looks, PaperError, Size, pdf};
use peak_alloc::PeakAlloc;
use std::{
    fmt::Write as _,
    io::{self, Write},
};

#[global_allocator]
static COUNTED: PeakAlloc = PeakAlloc;

const LOOKS: &str = "h1 { font-size: 26pt } td { border-bottom: 0.5pt solid #000; padding: 1mm }
    tr { break-inside: avoid } .name { font-weight: bold }";

/// So many sheets of ten lines, as a weigh-out has them.
fn page(sheets: usize) -> String {
    let mut page = "<html lang=en><head><title>Loads</title></head><body>".to_owned();
    for sheet in 1..=sheets {
        let _ = write!(page, "<main class=sheet><h1>Load {sheet}</h1><table><thead><tr>");
        page.push_str("<th></th><th>what</th><th>how much</th><th>lot</th></tr></thead><tbody>");
        for line in 0..10 {
            let _ = write!(
                page,
                "<tr><td></td><td><p class=name>flour {line}</p></td><td><span>{sheet}.{line}</span> \
                 kg</td><td><p>lot {sheet}-{line}</p></td></tr>"
            );
        }
        page.push_str("</tbody></table><p>Print again after a change.</p></main>");
    }
    page.push_str("</body></html>");
    page
}

/// Counts what goes through it, and keeps nothing.
#[derive(Default)]
struct Counted(usize);

impl Write for Counted {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0 += bytes.len();
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// Live bytes at most while a file is made, and its size.
fn taken(page: &str, looks: &Looks) -> Result<(usize, usize), PaperError> {
    let before = COUNTED.current_usage();
    COUNTED.reset_peak_usage();
    let mut file = Counted::default();
    pdf(page, looks, Size::A4, &mut file)?;
    Ok((COUNTED.peak_usage() - before, file.0))
}

#[test]
fn a_long_file_is_never_in_memory() -> Result<(), PaperError> {
    let looks = Looks::read(LOOKS);
    // Fonts are read once in the life of a process: no file's cost.
    taken(&page(1), &looks)?;
    let (one, many) = (taken(&page(1), &looks)?, taken(&page(300), &looks)?);
    let _ = writeln!(io::stdout(), "live bytes at most, size: {one:?}, {many:?}");
    // What stays of a sheet is where its objects stand in the file, eight bytes each, and its
    // heading; all else is one sheet's, and the letters used.
    assert!(many.0 - one.0 <= many.1 / 4, "{one:?}, {many:?}");
    Ok(())
}
