//! Why a number is what it is, on a page: its rules and its names in the words of the reader.

use super::{demo_server, page};
use anyhow::{Result, ensure};

#[test]
fn a_chain_is_said_in_the_language_of_the_page() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let line = "/v1/why/lines/2026-06-12/bun/1/fine-salt";
    let pieces = "/v1/why/pieces/2026-06-12/sugar-bun";
    for (path, language, said) in [
        (line, "de", "Fine salt in Bun dough, Charge 1, für Fr 12. Juni"),
        (line, "de", "ihr Anteil an der Charge"),
        (line, "de", "auf den nächsten Ziffernschritt der Waage, ab der Hälfte aufgerundet"),
        (line, "de", "Sugar bun"),
        (line, "fr", "sa part de la charge"),
        (line, "fr", "Fine salt dans Bun dough, charge 1, pour le ven. 12 juin"),
        (line, "en", "Fine salt in Bun dough, load 1, for Fri 12 Jun"),
        (pieces, "de", "Bestellungen aller Kunden zusammen"),
        (pieces, "en", "orders of all customers together"),
    ] {
        let page = page(&client.with("Accept-Language", language), path)?;
        ensure!(page.contains(said), "{path} {language}: `{said}` is not in\n{page}");
        let english = ["its share of the load", "half up", "orders of all"];
        let codes = ["harbour-cafe<", "sugar-bun<", "why-rule-", "why-input-"];
        for text in codes.iter().chain(english.iter().filter(|_| language != "en")) {
            ensure!(!page.contains(text), "{path} {language}: `{text}` is no word of a reader");
        }
    }
    let json = client.get(line)?.success()?;
    ensure!(json["of"] == line && json["because"][0].is_string(), "{json}");
    ensure!(json.to_string().contains("\"name\":\"sugar-bun\""), "JSON says codes: {json}");
    Ok(())
}
