//! Formulas, products and costs as pages.

use super::{demo_server, page};
use anyhow::{Result, ensure};

#[test]
fn a_formula_shows_both_views_another_size_and_its_tree() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let list = page(client, "/formulas")?;
    ensure!(list.contains("href=\"/formulas/country\""), "{list}");
    let country = page(client, "/formulas/country?on=2026-06-12")?;
    // Source: Alder Yard 8.2: 68 of the strong flour go into the bowl, 80 are in it overall.
    ensure!(
        country.contains("Strong white flour") && country.matches("<svg").count() >= 3,
        "{country}"
    );
    ensure!(country.contains("from a batch before"), "the seed of the levain: {country}");
    // The same figures as the API: 17.7 kg in the bowl hold 10 kg of flour.
    let scaled = page(client, "/formulas/country?on=2026-06-12&to=flour&amount=10000")?;
    ensure!(scaled.contains("17700 g"), "{scaled}");
    let pieces = "/formulas/bun?on=2026-06-12&to=pieces&amount=73&product=sugar-bun";
    ensure!(page(client, pieces)?.contains("1 load"), "73 buns are one load");
    // What cannot be is said, and the page stands.
    let wrong = page(client, "/formulas/country?to=grams&amount=many")?;
    ensure!(wrong.contains("role=\"alert\""), "{wrong}");
    let german = client.with("Accept-Language", "de");
    let country = page(&german, "/formulas/country?to=grams&amount=1770,5")?;
    ensure!(country.contains("1770,5 g"), "a decimal comma is read and written: {country}");
    ensure!(client.get_as("/formulas/nothing", "text/html")?.status == 404);
    Ok(())
}

#[test]
fn a_product_shows_its_statements_dated_and_never_safe() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let list = page(client, "/products")?;
    ensure!(
        list.contains("href=\"/products/almond-croissant\"") && list.contains("almond"),
        "{list}"
    );
    let croissant = page(client, "/products/croissant")?;
    ensure!(croissant.contains("Local law and a competent person decide"), "{croissant}");
    ensure!(croissant.contains("DRAFT for a competent person"), "{croissant}");
    // Source: Alder Yard 8.9 G.
    ensure!(croissant.contains("0.2566 EUR"), "{croissant}");
    ensure!(!croissant.contains("safe ") && !croissant.contains("free from"), "{croissant}");
    Ok(())
}

#[test]
fn costs_are_of_one_kind_at_a_time() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let standard = page(client, "/costs?date=2026-06-12")?;
    ensure!(standard.contains("0.2566 EUR") && standard.contains("Pier Hotel"), "{standard}");
    ensure!(standard.contains("Formulas and prices in force"), "{standard}");
    let actual = page(client, "/costs?date=2026-06-12&kind=actual")?;
    ensure!(!actual.contains("0.2566 EUR") && actual.contains("at what each lot cost"), "{actual}");
    let planned = page(client, "/costs?date=2026-06-12&kind=planned")?;
    ensure!(planned.contains("from the lots that it proposes"), "{planned}");
    Ok(())
}
