//! How much memory a long file takes while it is made: live bytes, counted, not what an
//! allocator maps.

use paper::{Looks, PaperError, Size, pdf};
use peak_alloc::PeakAlloc;
use std::{fmt::Write as _, io::Write as _};

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

/// Live bytes at most while a file is made, and its size.
fn taken(page: &str, looks: &Looks) -> Result<(usize, usize), PaperError> {
    let before = COUNTED.current_usage();
    COUNTED.reset_peak_usage();
    let file = pdf(page, looks, Size::A4)?;
    Ok((COUNTED.peak_usage() - before, file.len()))
}

#[test]
fn memory_grows_with_the_file_and_not_with_its_page() -> Result<(), PaperError> {
    let looks = Looks::read(LOOKS);
    // Fonts are read once in the life of a process: no file's cost.
    taken(&page(1), &looks)?;
    let (few, many) = (taken(&page(150), &looks)?, taken(&page(300), &looks)?);
    let _ = writeln!(std::io::stdout(), "live bytes at most, size: {few:?}, {many:?}");
    // What is written stands in pieces, then once more as a file, and room is made anew while
    // the list of its tags grows; pages that no core was free to compress may wait beside them.
    // Of elements and layout nothing stays.
    assert!(many.0 <= 5 * many.1, "{many:?}");
    assert!(many.0 <= few.0 * 5 / 2, "{few:?}, {many:?}");
    Ok(())
}
