//! Stock on pages: looked at, held, counted and booked in, without scripts.

use super::{demo_server, fields, key_of, led, page};
use anyhow::{Context, Result, ensure};

#[test]
fn a_lot_is_found_held_and_counted_on_its_page() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let stock = page(client, "/stock")?;
    ensure!(stock.contains("href=\"/stock/butter\"") && stock.contains("Butter"), "{stock}");
    let lots = page(client, "/stock/butter")?;
    let id = client.get("/v1/lots?item=butter")?.success()?["rows"][0]["id"]
        .as_str()
        .context("a lot")?
        .to_owned();
    let path = format!("/lots/{id}");
    ensure!(lots.contains(&format!("href=\"{path}\"")), "{lots}");
    let lot = page(client, &path)?;
    ensure!(lot.contains("Butter, lot BU-1") && lot.contains("may be used"), "{lot}");
    // Without a reason nothing is held, and the page says where it is missing.
    let hold = |key: &str, reason: &str| {
        fields(&[("_key", key), ("reason:needed", reason), ("who", "Imre")])
    };
    let refused = client.post_form(&format!("{path}/hold"), &hold("k-1", ""))?;
    ensure!(
        refused.status == 422 && refused.text().contains("field-reason-fault"),
        "{}",
        refused.text()
    );
    let key = key_of(&lot)?;
    let held = client.post_form(&format!("{path}/hold"), &hold(key, "supplier calls"))?;
    ensure!(led(&held) == Some(format!("{path}?done=lot").as_str()), "{}", held.text());
    let lot = page(client, &path)?;
    ensure!(lot.contains("ON HOLD") && lot.contains("supplier calls"), "{lot}");
    let free = client.post_form(&format!("{path}/release"), &hold(key_of(&lot)?, "looked at"))?;
    ensure!(free.status == 303, "{}", free.text());
    let counted = fields(&[
        ("_key", "k-2"),
        ("lot", &id),
        ("quantity/unit", "g"),
        ("quantity/amount:decimal", "1000,5"),
        ("counted_at:needed", "2026-06-10T09:10:00+02:00"),
    ]);
    let reply = client.post_form(&format!("{path}/count"), &counted)?;
    ensure!(led(&reply) == Some(format!("{path}?done=counted").as_str()), "{}", reply.text());
    let after = client.get(&format!("/v1/lots/{id}"))?.success()?;
    ensure!(after["quantity"]["amount"] == "1000.5" && after["state"] == "released", "{after}");
    ensure!(client.get_as("/lots/no-such", "text/html")?.status == 404);
    Ok(())
}

#[test]
fn what_a_scanner_types_is_booked_in_once() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let mut bakery = weighhouse_tests::demo::document("bakery")?;
    let packs = bakery["packs"].as_array_mut().context("packs")?;
    let rye = packs.iter_mut().find(|pack| pack["item"] == "rye").context("rye")?;
    // A GTIN of the standard's range for use inside a house, with its check digit.
    rye["gtin"] = serde_json::json!("04000001000005");
    let etag = client.get("/v1/bakery")?.etag.context("an ETag")?;
    client.put("/v1/bakery", &bakery, Some(&etag))?.success()?;
    let entry = page(client, "/receiving")?;
    ensure!(entry.contains("name=\"scan\"") && entry.contains("value=\"2026-06-10\""), "{entry}");
    let body = fields(&[
        ("_key", key_of(&entry)?),
        ("scan", "(01)04000001000005(10)RY-77(15)260901"),
        ("packs:number", "2"),
        ("item", ""),
        ("lot", ""),
        ("quantity/amount:decimal", ""),
        ("quantity/unit:with", ""),
        ("received:needed", "2026-06-10"),
        ("place", "dry-store"),
        ("who", "Imre"),
    ]);
    let first = client.post_form("/receiving", &body)?;
    let to = led(&first).with_context(|| first.text())?.to_owned();
    let again = client.post_form("/receiving", &body)?;
    ensure!(led(&again) == Some(to.as_str()), "pressed twice it is one lot");
    let lot = page(client, &to)?;
    ensure!(lot.contains("RY-77") && lot.contains("32 kg"), "2 x 16 kg: {lot}");
    // A scan that cannot be read comes back to its field.
    let wrong = body.replace("RY-77", "RY-78").replace("000005", "000006");
    let reply = client.post_form("/receiving", &wrong.replace(key_of(&entry)?, "other"))?;
    ensure!(reply.status == 422 && reply.text().contains("field-scan-fault"), "{}", reply.text());
    Ok(())
}

#[test]
fn the_balance_of_an_item_is_drawn_and_said_in_words() -> Result<()> {
    // Source: alder-yard.md 8.9 D: rye runs short; the figures are those of the projection.
    let server = demo_server()?;
    let client = server.client();
    let shown = page(client, "/stock/rye")?;
    ensure!(shown.contains("<svg role=\"img\" aria-labelledby=\"balance-name"), "{shown}");
    let projection = client.get("/v1/items/rye/projection")?.success()?;
    let needs = projection["rows"].as_array().context("rows")?;
    let taken = shown.matches("goes into · ").count();
    ensure!(taken == needs.len() && taken > 0, "{taken} of {}", needs.len());
    ensure!(shown.contains("Not enough from") && shown.contains("fill=\"#000\""), "{shown}");
    ensure!(!shown.contains("style="), "no inline style");
    // What happened stands before now: a count, then what is left after it.
    let lot = client.get("/v1/lots?item=rye")?.success()?["rows"][0]["id"].clone();
    let count = serde_json::json!({"lot": lot, "counted_at": "2026-06-10T09:00:00+02:00",
        "quantity": {"amount": "1", "unit": "kg"}});
    client.post("/v1/counts", &count)?.success()?;
    let shown = page(client, "/stock/rye")?;
    ensure!(shown.contains("counted · ") && shown.contains("1 kg by the book now"), "{shown}");
    // A thing that is in no plan and was never in the house has no balance; it has no fault.
    ensure!(!page(client, "/stock/no-such-thing")?.contains("balance-name"));
    Ok(())
}
