//! Names that are markup, formulas or worse, wherever names appear: on sheets, in drawings,
//! tables, documents and the feed.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server};

/// Markup in every way in which a text can end: in an element, an attribute, a comment.
const MARKUP: &str = "\"'><script>alert(1)</script><!-- </style></title>&amp;";
/// What a spreadsheet would run.
const FORMULA: &str = "=HYPERLINK(\"http://elsewhere.example\",\"x\")";

/// The demo's document with a text in the place of each name and note.
fn renamed(document: &Value, text: &str) -> Value {
    match document {
        Value::Object(members) => members
            .iter()
            .map(|(key, value)| {
                let is_name =
                    ["name", "note", "label", "approver", "source"].contains(&key.as_str());
                let value =
                    if is_name && value.is_string() { json!(text) } else { renamed(value, text) };
                (key.clone(), value)
            })
            .collect(),
        Value::Array(elements) => elements.iter().map(|element| renamed(element, text)).collect(),
        other => other.clone(),
    }
}

/// A server of which every name is that text; with the demo's stock and orders.
fn furnished(text: &str) -> Result<Server> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(&renamed(&demo::document("bakery")?, text))?.success()?;
    for mut receipt in demo::list(&demo::document("stock")?, "receipts")? {
        receipt["lot"] = json!(text);
        let taken = client.post_receipt(&receipt)?;
        // Not every text may be the name of a lot.
        if taken.status >= 400 {
            receipt["lot"] = json!("L-1");
            client.post_receipt(&receipt)?.success()?;
        }
    }
    for order in demo::list(&demo::document("orders")?, "orders")? {
        client.post_order(&order)?.success()?;
    }
    let lot = a_lot(client)?;
    let hold = json!({"reason": text, "who": text});
    client.post(&format!("/v1/lots/{lot}/hold"), &hold)?.success()?;
    let waste = json!({"lot": lot, "quantity": {"amount": "1", "unit": "g"}, "reason": "spilled",
        "note": text});
    client.post("/v1/waste", &waste)?;
    Ok(server)
}

/// The id of some lot.
fn a_lot(client: &Client) -> Result<String> {
    let page = client.get("/v1/lots?limit=1")?.success()?;
    Ok(page["rows"][0]["id"].as_str().context("a lot")?.to_owned())
}

/// Every address that is read without being told more than a date.
fn addresses(client: &Client) -> Result<Vec<String>> {
    let document = client.get("/openapi.json")?.success()?;
    let lot = a_lot(client)?;
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().context("paths")? {
        if !item["get"].is_object() || path == "/v1/changes/stream" {
            continue;
        }
        let path = path
            .replace("{date}", "2026-06-12")
            .replace("/v1/lots/{id}", &format!("/v1/lots/{lot}"))
            .replace("/v1/products/{code}", "/v1/products/sugar-bun")
            .replace("/v1/formulas/{code}", "/v1/formulas/bun");
        if !path.contains('{') {
            found.push(path);
        }
    }
    ensure!(found.len() > 60, "only {} addresses were found", found.len());
    Ok(found)
}

#[test]
fn a_name_that_is_markup_stays_a_name() -> Result<()> {
    let server = furnished(MARKUP)?;
    let client = server.client();
    let (mut pages, mut shown) = (0, 0);
    for path in addresses(client)? {
        for format in ["text/html", "image/svg+xml", "application/xml"] {
            let reply = client.get_as(&path, format)?;
            ensure!(reply.status < 500, "{path}: {}", reply.text());
            if reply.status != 200
                || ["json", "csv"].iter().any(|word| reply.media_type.contains(word))
            {
                continue;
            }
            let text = reply.text();
            ensure!(!text.contains("<script>alert"), "{path} as {}", reply.media_type);
            ensure!(!text.contains("</style></title>"), "{path} as {}", reply.media_type);
            pages += 1;
            shown += usize::from(text.contains("&lt;script&gt;"));
        }
    }
    ensure!(pages > 20 && shown > 10, "{pages} pages, of which {shown} show a name");
    Ok(())
}

#[test]
fn a_name_that_is_markup_is_printed_on_paper() -> Result<()> {
    let server = furnished(MARKUP)?;
    let mut papers = 0;
    // Laying out a page takes its time: those that show the most names.
    let sheets = ["weigh-out", "pick-list", "day-board", "shortages", "allergen-matrix"];
    let addresses = addresses(server.client())?.into_iter();
    for path in addresses.filter(|path| sheets.iter().any(|sheet| path.ends_with(sheet))) {
        let reply = server.client().get_as(&path, "application/pdf")?;
        ensure!(reply.status < 500, "{path}: {}", reply.text());
        if reply.media_type == "application/pdf" {
            ensure!(reply.body.starts_with(b"%PDF-"), "{path}");
            papers += 1;
        }
    }
    ensure!(papers >= 4, "{papers} papers");
    Ok(())
}

#[test]
fn a_name_that_is_a_formula_is_text_in_every_table() -> Result<()> {
    let server = furnished(FORMULA)?;
    let (mut tables, mut shown) = (0, 0);
    for path in addresses(server.client())? {
        let reply = server.client().get_as(&path, "text/csv")?;
        ensure!(reply.status < 500, "{path}: {}", reply.text());
        if reply.status != 200 || !reply.media_type.starts_with("text/csv") {
            continue;
        }
        let text = reply.text();
        tables += 1;
        shown += usize::from(text.contains("HYPERLINK"));
        let run = cells(&text).into_iter().find(|cell| cell.starts_with('='));
        ensure!(run.is_none(), "{path}: {run:?} in {text}");
    }
    ensure!(tables > 3 && shown > 0, "{tables} tables, of which {shown} show a name");
    Ok(())
}

#[test]
fn what_cannot_be_seen_is_in_no_name() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let mut document = demo::document("bakery")?;
    for unseen in ["a\u{1}b", "a\nb", "a\u{7f}", "\u{202e}bun", "a\u{2066}b", "a\u{85}b"] {
        document["site"]["name"] = json!(unseen);
        let reply = server.client().put_bakery(&document)?;
        ensure!(reply.is_problem("malformed")?, "{unseen:?}: {}", reply.text());
        ensure!(reply.json()?["errors"][0]["pointer"] == "/site/name", "{}", reply.text());
    }
    document["site"]["name"] = json!("Bäckerei 焼き 🍞 «Erle»");
    server.client().put_bakery(&document)?.success()?;
    Ok(())
}

/// The cells of a table, without the quotes around them.
fn cells(table: &str) -> Vec<String> {
    let (mut cells, mut quoted) = (vec![String::new()], false);
    for letter in table.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' | '\n' if !quoted => cells.push(String::new()),
            letter => cells.last_mut().into_iter().for_each(|cell| cell.push(letter)),
        }
    }
    cells
}
