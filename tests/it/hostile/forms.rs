//! Forms as no page of ours sends them: nothing breaks, and no field comes back as markup.

use anyhow::{Context, Result, ensure};
use serde_json::Value;
use weighhouse::openapi;
use weighhouse_tests::{demo, server::Server};

/// Every address that takes a form, its open segments filled.
fn addresses() -> Result<Vec<String>> {
    let document: Value = serde_json::from_str(&openapi::text()?)?;
    let mut addresses = Vec::new();
    for (path, item) in document["paths"].as_object().context("paths")? {
        let content = &item["post"]["requestBody"]["content"];
        if content["application/x-www-form-urlencoded"].is_object() {
            let filled = |segment| match segment {
                "{date}" => "2026-06-12",
                open if str::starts_with(open, '{') => "bun",
                closed => closed,
            };
            addresses.push(path.split('/').map(filled).collect::<Vec<_>>().join("/"));
        }
    }
    ensure!(addresses.len() > 5, "only {addresses:?} take a form");
    Ok(addresses)
}

/// Forms by what is wrong with them.
fn forms() -> Vec<(&'static str, String)> {
    vec![
        ("nothing", String::new()),
        ("steps in steps", format!("{}=1", "a/".repeat(200_000))),
        ("rows in rows", format!("{}=1", "0/".repeat(200_000))),
        ("deep, but no deeper than may be", format!("{}=1", "a/0/".repeat(49))),
        ("fields that say nothing alone", "a:with=1&".repeat(50_000)),
        ("rows beyond all rows", "lines/1999/product=a&lines/99999999/product=b".to_owned()),
        ("a row and a name in one place", "lines/0/a=1&lines/b=2&lines=3".to_owned()),
        ("one name again and again", "who=a&".repeat(15_000)),
        ("NUL", "who=a%00b&a%00b=1&reason=%00".to_owned()),
        ("no UTF-8", "who=%ff%fe&%ff=1".to_owned()),
        ("markup", "who=%3Cscript%3E&customer=%22%3E%3Cscript%3E&token=%3Cscript%3E".to_owned()),
        ("a long text", format!("who={}", "x".repeat(400_000))),
        ("too large", format!("who={}", "x".repeat(600_000))),
        ("numbers that are none", "version:number=1e999999&quantity:number=NaN".to_owned()),
    ]
}

#[test]
fn no_form_breaks_a_page() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    for address in addresses()? {
        for (number, (what, fields)) in forms().into_iter().enumerate() {
            let reply = client.post_form(&address, &format!("_key=k{number}&{fields}"));
            let Ok(reply) = reply else {
                // A server may hang up on what is far too large.
                ensure!(what == "too large", "{address}: {what}: no answer");
                continue;
            };
            let told = || format!("{address}: {what}: {} {}", reply.status, reply.text());
            ensure!(reply.status < 500, "{}", told());
            ensure!(!reply.text().contains("<script>"), "{}", told());
            let of_steps = what.ends_with("steps") || what.ends_with("rows in rows");
            ensure!(!of_steps || reply.status == 413, "{}", told());
        }
    }
    // After all of that it works.
    client.get("/v1/ledger/check")?.success()?;
    Ok(())
}
