use super::{Looks, PaperError, Size, pdf};

const LOOKS: &str =
    "h1 { font-size: 26pt } .lines { width: 100% } .lines tr { break-inside: avoid }";

fn page(rows: usize) -> String {
    let row = |number: usize| format!("<tr><td>{number}</td><td>flour &amp; salt</td></tr>");
    let rows: String = (0..rows).map(row).collect();
    format!(
        "<!DOCTYPE html><html lang=en><head><title>List</title></head><body><main class=sheet>\
         <h1>List</h1><table class=lines><thead><tr><th>no.</th><th>what</th></tr></thead>\
         <tbody>{rows}</tbody></table></main></body></html>"
    )
}

fn pages(file: &[u8]) -> usize {
    let text = String::from_utf8_lossy(file);
    text.matches("/Type/Page/").count() + text.matches("/Type /Page\n").count()
}

#[test]
fn the_same_page_gives_the_same_bytes() -> Result<(), PaperError> {
    let looks = Looks::read(LOOKS);
    let once = pdf(&page(3), &looks, Size::A4)?;
    assert_eq!(once, pdf(&page(3), &looks, Size::A4)?);
    assert!(once.starts_with(b"%PDF-"), "a file of the format");
    assert_ne!(once, pdf(&page(3), &looks, Size::Letter)?);
    Ok(())
}

#[test]
fn a_long_table_goes_on_and_a_broken_page_is_no_panic() -> Result<(), PaperError> {
    let looks = Looks::read(LOOKS);
    let (short, long) = (pdf(&page(3), &looks, Size::A4)?, pdf(&page(300), &looks, Size::A4)?);
    assert!(long.len() > short.len());
    for broken in ["", "<", "<table><tr>", "<p>\u{1F35E} \u{0}</p>", "<main><ul><li></ul>"] {
        pdf(broken, &looks, Size::Label)?;
    }
    assert!(pages(&short) <= pages(&long));
    Ok(())
}
