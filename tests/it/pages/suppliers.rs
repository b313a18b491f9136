//! Suppliers on their pages, without scripts.
//!
//! # Source
//! alder-yard.md, 8.5 and 8.6: packs, prices, cutoffs, the holiday of Monday 15 June.

use super::{demo_server, fields, led, page};
use anyhow::{Context, Result, ensure};

#[test]
fn whoever_must_be_rung_next_comes_first() -> Result<()> {
    let server = demo_server()?;
    let shown = page(server.client(), "/suppliers")?;
    let at = |words: &str| shown.find(words).with_context(|| format!("{words}: {shown}"));
    // Wednesday: dairy 11:00, mill 12:00, produce 22:00; the grocer on Thursday.
    let order = [at(">The dairy<")?, at(">The mill<")?, at(">The produce market<")?];
    ensure!(order.is_sorted() && order[2] < at(">The grocer<")?, "{shown}");
    for words in ["200.00 EUR", "below it carriage of 25.00 EUR", "no order below it"] {
        ensure!(shown.contains(words), "{words}: {shown}");
    }
    Ok(())
}

#[test]
fn a_supplier_shows_its_days_its_goods_and_its_orders() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let shown = page(client, "/suppliers/dairy")?;
    for words in [
        "<h1>The dairy</h1>",
        "moved from Mon 15 Jun",
        "Tue 16 Jun 06:00",
        "12 × 1 L",
        "12.60 EUR",
        "82.00 EUR from 5 packs on",
        "at least 7 days of life at the door",
    ] {
        ensure!(shown.contains(words), "{words}: {shown}");
    }
    let mill = page(client, "/suppliers/mill")?;
    ensure!(mill.contains("20.75 EUR from 20 packs on"), "{mill}");
    let lost = client.get_as("/suppliers/nobody", "text/html")?;
    ensure!(lost.status == 404, "{}", lost.status);
    Ok(())
}

#[test]
fn an_order_of_ones_own_is_drafted_and_an_empty_one_is_not() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let form = |key: &str, packs: &str| {
        fields(&[
            ("_key", key),
            ("supplier", "grocer"),
            ("cutoff:needed", "2026-06-11T15:00:00+02:00"),
            ("lines/0/pack:with", "fine-salt-25-kg"),
            ("lines/0/packs:number", packs),
            ("who:needed", "Imre"),
        ])
    };
    let empty = client.post_form("/suppliers/grocer/orders", &form("a", ""))?;
    ensure!(empty.text().contains("role=\"alert\""), "nothing was asked for: {}", empty.text());
    let reply = client.post_form("/suppliers/grocer/orders", &form("b", "1"))?;
    let path = led(&reply).with_context(|| reply.text())?.to_owned();
    let shown = page(client, &path)?;
    ensure!(shown.contains("11.25 EUR") && shown.contains("108.75 EUR missing"), "{shown}");
    let supplier = page(client, "/suppliers/grocer")?;
    ensure!(supplier.contains(">grocer-1<") && supplier.contains("draft: not sent"), "{supplier}");
    let id = path.split(['/', '?']).nth(2).context("an id")?;
    let why = fields(&[("_key", "c"), ("note:needed", "not now"), ("who:needed", "Imre")]);
    client.post_form(&format!("/supplier-orders/{id}/cancel"), &why)?;
    let supplier = page(client, "/suppliers/grocer")?;
    ensure!(supplier.contains("Orders before") && supplier.contains("given up"), "{supplier}");
    Ok(())
}
