//! Square codes that a scanner reads, as drawings.

use maud::{Markup, html};
use qrcodegen::{QrCode, QrCodeEcc};

/// Light modules around a code.
///
/// # Source
/// ISO/IEC 18004: the quiet zone of a QR code is four modules wide.
const QUIET: i32 = 4;

/// Draws a text as a QR code; none if it is longer than a code can hold.
///
/// A quarter of it may be hidden by flour and it is still read (level Q).
#[must_use]
pub fn draw(text: &str) -> Option<Markup> {
    let code = QrCode::encode_text(text, QrCodeEcc::Quartile).ok()?;
    let side = code.size() + 2 * QUIET;
    let mut path = String::new();
    for y in 0..code.size() {
        for x in (0..code.size()).filter(|x| code.get_module(*x, y)) {
            path.push_str(&format!("M{} {}h1v1h-1z", x + QUIET, y + QUIET));
        }
    }
    Some(html! {
        svg.symbol
            xmlns="http://www.w3.org/2000/svg"
            viewBox=(format!("0 0 {side} {side}"))
            role="img"
            aria-label=(text)
            shape-rendering="crispEdges"
        {
            rect width=(side) height=(side) fill="#fff" {}
            path d=(path) fill="#000" {}
        }
    })
}
