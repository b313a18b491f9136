//! Bodies, paths and queries of every operation.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use weighhouse::{
    access::{self, Job},
    openapi,
};
use weighhouse_tests::{
    client::{Client, Reply},
    demo,
    postgres::Postgres,
    server::Server,
};

/// One operation of the document.
struct Call {
    method: String,
    path: String,
    tag: String,
    id: String,
    takes_json: bool,
}

fn calls() -> Result<Vec<Call>> {
    let document: Value = serde_json::from_str(&openapi::text()?)?;
    let mut calls = Vec::new();
    for (path, item) in document["paths"].as_object().context("paths")? {
        for (method, operation) in item.as_object().context("an item")? {
            calls.push(Call {
                method: method.to_uppercase(),
                path: path.clone(),
                tag: operation["tags"][0].as_str().unwrap_or_default().to_owned(),
                id: operation["operationId"].as_str().context("an id")?.to_owned(),
                takes_json: operation["requestBody"]["content"]["application/json"].is_object(),
            });
        }
    }
    ensure!(calls.len() > 100, "only {} operations were found", calls.len());
    Ok(calls)
}

/// The path of a call with every open part filled with a text.
fn filled(path: &str, with: &str) -> String {
    path.split('{')
        .map(|part| match part.split_once('}') {
            Some((_, after)) => format!("{with}{after}"),
            None => part.to_owned(),
        })
        .collect()
}

fn send(client: &Client, call: &Call, path: &str, body: &[u8]) -> Result<Reply> {
    match call.method.as_str() {
        "GET" => client.get(path),
        "DELETE" => client.delete(path),
        "PUT" => client.put_text(path, body, None),
        _ => client.post_text(path, body, &format!("{:x}", body.len())),
    }
}

/// A no is a problem document; nothing is ever a failure of ours.
fn sound(call: &Call, what: &str, reply: &Reply) -> Result<()> {
    let told = || format!("{} {what}: {} {}", call.id, reply.status, reply.text());
    ensure!(reply.status < 500, "{}", told());
    // A page says no in a page, and so does what a browser asks for.
    let on_a_page = !call.path.starts_with("/v1/") || what.starts_with("text/html");
    let page = on_a_page && reply.media_type.starts_with("text/html");
    if reply.status >= 400 {
        if !page {
            ensure!(reply.media_type.starts_with("application/problem+json"), "{}", told());
            let problem = reply.json()?;
            let is_whole = problem["status"] == reply.status && problem["title"].is_string();
            ensure!(is_whole, "{}", told());
        }
        // A page has a `<select>` to choose its language with.
        let words = reply.text().to_lowercase().replace("<select ", "");
        for inside in ["panicked", "select ", "sqlite", "postgres", "diesel", ".rs:", "src/"] {
            ensure!(!words.contains(inside), "{inside}: {}", told());
        }
    }
    Ok(())
}

/// Texts that stand in the place of a body.
fn bodies() -> Vec<(&'static str, Vec<u8>)> {
    let text = |text: &str| text.as_bytes().to_vec();
    vec![
        ("nothing", Vec::new()),
        ("null", text("null")),
        ("a number", text("1e999999")),
        ("a list", text("[]")),
        ("no keys", text("{}")),
        ("a word", text("\"a\"")),
        ("half a body", text("{\"a\":")),
        ("two bodies", text("{}{}")),
        ("deep lists", [b"[".repeat(100_000), b"]".repeat(100_000)].concat()),
        ("deep objects", [b"{\"a\":".repeat(100_000), text("1"), b"}".repeat(100_000)].concat()),
        ("an unknown key", text("{\"__proto__\":{\"x\":1}}")),
        ("NUL", text("{\"who\":\"a\\u0000b\",\"reason\":\"\\u0000\"}")),
        ("half a pair", text("{\"who\":\"\\ud800\"}")),
        ("no UTF-8", vec![b'{', b'"', 0xff, 0xfe, b'"', b':', b'1', b'}']),
        ("a key twice", text("{\"who\":\"a\",\"who\":\"b\"}")),
        ("wrong types", text("{\"who\":{},\"lines\":7,\"version\":\"x\",\"reason\":[[]]}")),
        ("a long text", [text("{\"who\":\""), b"x".repeat(1_000_000), text("\"}")].concat()),
        ("too large", [text("{\"who\":\""), b"x".repeat(34_000_000), text("\"}")].concat()),
    ]
}

/// Texts that stand in the place of a name in an address, percent-encoded.
const NAMES: [&str; 14] = [
    "%00",
    "a%00b",
    "%27%20OR%201=1--",
    "..%2f..%2fetc%2fpasswd",
    "%2e%2e",
    "%3Cscript%3Ealert(1)%3C%2Fscript%3E",
    "-1",
    "9223372036854775808",
    "2026-02-30",
    "9999-12-31",
    "%F0%9F%8D%9E",
    "%ff%fe",
    "%0d%0aX-Mine:%201",
    "2026-06-12:bun:99999999999999999999",
];

/// Queries with what no query has.
const QUERIES: [&str; 9] = [
    "limit=-1&cursor=00",
    "limit=99999999999999999999",
    "cursor=%00",
    "cursor=c3a9c3a9&limit=1",
    "date=9999-12-31&until=9999-12-31&service_date=9999-12-31&work_date=9999-12-31&on=9999-12-31",
    "until=-9999-01-01&work_date=x&since=-1&product=%00",
    "x=%27;DROP%20TABLE%20orders",
    "%ff=%fe",
    "item=%3Cb%3E&customer=%3Cb%3E&lot=..%2f..&state=dead&after=31",
];

fn every_operation(server: &Server) -> Result<()> {
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let client = server.client();
    // A stream never ends, so a client that reads answers whole is not for it.
    let calls: Vec<_> =
        calls()?.into_iter().filter(|call| call.path != "/v1/changes/stream").collect();
    for call in &calls {
        let plain = filled(&call.path, "2026-06-12");
        if call.takes_json {
            for (what, body) in bodies() {
                if what == "too large"
                    && !["/v1/bakery", "/v1/orders"].contains(&call.path.as_str())
                {
                    continue;
                }
                let reply = send(client, call, &plain, &body).with_context(|| what.to_owned());
                // A server may hang up on what is far too large.
                let Ok(reply) = reply else { continue };
                ensure!(what != "too large" || reply.is_problem("body-too-large")?, "{}", call.id);
                sound(call, what, &reply)?;
            }
        }
        if call.path.contains('{') {
            for name in NAMES {
                let reply = send(client, call, &filled(&call.path, name), b"{}")?;
                sound(call, name, &reply)?;
                // In JSON it is a text, and browsers are told not to guess.
                let page = reply.media_type.starts_with("text/html");
                ensure!(!page || !reply.text().contains("<script>"), "{} {name}", call.id);
            }
            let long = filled(&call.path, &"x".repeat(3_000));
            sound(call, "a long name", &send(client, call, &long, b"{}")?)?;
        }
        if call.method == "GET" {
            for query in QUERIES {
                let reply = client.get(&format!("{plain}?{query}"))?;
                sound(call, query, &reply)?;
            }
            for format in ["a/b;q=x", "*/*;q=0", "text/html;q=-1,"] {
                sound(call, format, &client.get_as(&plain, format)?)?;
            }
        }
    }
    // After all of that it works.
    client.get("/v1/ledger/check")?.success()?;
    Ok(())
}

#[test]
fn no_text_breaks_an_operation() -> Result<()> {
    every_operation(&Server::start(demo::NOW)?)
}

#[test]
fn no_text_breaks_an_operation_on_a_database_server() -> Result<()> {
    let database = Postgres::start()?;
    every_operation(&Server::start_on(&database, demo::NOW)?)
}

#[test]
fn every_operation_is_closed_to_every_job_that_has_no_part_in_it() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let open = |call: &&Call| {
        let fixed = ["/healthz", "/readyz", "/openapi.json", "/sign-in", "/language"];
        fixed.contains(&call.path.as_str()) || call.path.starts_with("/assets/")
    };
    let mut refused = BTreeSet::new();
    for job in Job::ALL {
        let client = server.client().with_token(&server.token(job.word(), job, None)?);
        for call in calls()?.iter().filter(|call| !open(call)) {
            let method = call.method.parse()?;
            if access::allows(job, &method, &call.tag, &call.id) {
                continue;
            }
            for path in [filled(&call.path, "2026-06-12"), filled(&call.path, "%61")] {
                let reply = send(&client, call, &path, b"{}")?;
                ensure!(reply.is_problem("not-allowed")?, "{job:?} {}: {}", call.id, reply.text());
            }
            refused.insert(call.id.clone());
        }
    }
    ensure!(refused.len() > 100, "only {} operations are closed to anybody", refused.len());
    // Nobody without a token reaches any of them.
    for call in calls()?.iter().filter(|call| !open(call)) {
        let reply = send(server.client(), call, &filled(&call.path, "a"), b"{}")?;
        let page = call.path.starts_with("/sign-");
        ensure!(page || [401, 429].contains(&reply.status), "{}: {}", call.id, reply.status);
    }
    Ok(())
}

#[test]
fn headers_that_nobody_sends_change_nothing() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let till = server.client().with_token(&server.token("till", Job::Till, None)?);
    let order = json!({
        "order_ref": "a", "version": 1, "customer": "harbour-cafe", "service_date": "2026-06-13",
        "drop": "07:00", "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 6}]
    });
    for (name, value) in [
        ("X-HTTP-Method-Override", "PUT"),
        ("X-Original-URL", "/v1/tokens"),
        ("X-Rewrite-URL", "/v1/tokens"),
        ("X-Forwarded-For", "127.0.0.1"),
        ("Forwarded", "for=127.0.0.1;host=localhost"),
        ("X-Forwarded-Host", "elsewhere.example"),
        ("Cookie", "weighhouse=x; weighhouse=y"),
        ("Range", "bytes=0-1"),
        ("Content-Encoding", "gzip"),
        ("Expect", "200-ok"),
        ("Accept-Language", "../../en"),
    ] {
        let client = till.with(name, value);
        ensure!(client.get("/v1/tokens")?.status == 403, "{name}");
        let taken = client.post("/v1/orders", &order)?;
        ensure!(taken.status < 500, "{name}: {}", taken.text());
    }
    for key in ["\u{e9}", "", "\"\"", &"x".repeat(300)] {
        let reply = till.with("Idempotency-Key", key).post_text("/v1/orders", b"{}", "k");
        // Of two keys of one request the first that is read decides; a refusal is a problem.
        ensure!(reply.is_err() || reply.is_ok_and(|reply| reply.status < 500), "{key}");
    }
    Ok(())
}
