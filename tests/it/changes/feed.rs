//! The feed itself.

use super::{end, feed, kinds, loaded, order};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use std::{collections::BTreeSet, thread};
use weighhouse::{access::Job, service::notices::watch};
use weighhouse_tests::{
    client::Client, demo, postgres::Postgres, server::Server, stockroom::receive,
};

#[test]
fn what_happens_is_told_once_in_its_order() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let start = end(client)?;
    client.post_order(&order("a", "sugar-bun", 96))?.success()?;
    let lot = receive(client, &json!({}))?["id"].as_str().context("an id")?.to_owned();
    for verdict in ["hold", "release"] {
        let body = json!({"reason": "seal broken"});
        client.post(&format!("/v1/lots/{lot}/{verdict}"), &body)?.success()?;
    }
    let path = "/v1/loads/2026-06-13:bun:1/release";
    client.post(path, &json!({"who": "Anna"}))?.success()?;
    let (rows, after) = feed(client, start.clone())?;
    let expected = [
        "revision",
        "revision",
        "revision",
        "lot-held",
        "revision",
        "lot-released",
        "revision",
        "load-released",
    ];
    ensure!(kinds(&rows) == expected, "{rows:#?}");
    for row in rows.iter().filter(|row| row["kind"] != "revision") {
        let link = row["link"].as_str().context("a link")?;
        client.get(link)?.success().with_context(|| format!("{row}"))?;
    }
    // Nothing more is there, and the place at the end stays where it is.
    ensure!(feed(client, after.clone())? == (vec![], after));
    // From any row on comes what stands after it.
    let third = rows[2]["cursor"].as_str().context("a cursor")?;
    ensure!(feed(client, third.to_owned())?.0 == rows[3..]);
    // What was refused, or done before, is no news.
    client.post(path, &json!({"who": "Anna"}))?.success()?;
    client.post(&format!("/v1/lots/{lot}/hold"), &json!({"x": 1}))?;
    ensure!(feed(client, start)?.0 == rows);
    Ok(())
}

#[test]
fn a_late_order_is_told_with_its_name() -> Result<()> {
    // Source: alder-yard.md, the cutoff for Saturday is Thursday 17:00.
    let server = loaded()?.at("2026-06-11T17:00:01+02:00")?;
    let client = server.client();
    let start = end(client)?;
    let answer = client.post_order(&order("till-9", "country-large", 24))?.success()?;
    ensure!(answer["state"] == "taken-late-asking", "{answer}");
    let (rows, _) = feed(client, start)?;
    ensure!(kinds(&rows) == ["revision", "late-order"], "{rows:#?}");
    ensure!(rows[1]["about"] == "till-9" && rows[1]["link"] == "/v1/orders/till-9", "{rows:#?}");
    ensure!(rows[1]["plan_revision"] == rows[0]["plan_revision"], "{rows:#?}");
    Ok(())
}

#[test]
fn a_shortage_appears_changes_and_goes() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let state = server.state()?;
    ensure!(watch::look(&state)? == 0, "nothing is ordered, so nothing is short");
    client.post_order(&order("a", "country-large", 6))?.success()?;
    let start = end(client)?;
    let appeared = watch::look(&state)?;
    ensure!(appeared > 0 && watch::look(&state)? == 0, "told once");
    // A second server that watches finds nothing to tell.
    ensure!(watch::look(&server.state()?)? == 0);
    let (rows, after) = feed(client, start)?;
    ensure!(kinds(&rows) == vec!["shortage-appeared"; appeared], "{rows:#?}");
    let sheet = client.shortages("2026-06-24")?.to_string();
    for row in &rows {
        ensure!(sheet.contains(&row["about"].to_string()), "{row}");
        ensure!(row["shortage"]["short_by"]["amount"] != "0", "{row}");
    }
    let flour = |rows: &[serde_json::Value]| {
        rows.iter().find(|row| row["about"] == "rye").map(|row| row["kind"].clone())
    };
    ensure!(flour(&rows).is_some(), "{rows:#?}");
    let mut more = order("a", "country-large", 12);
    more["version"] = json!(2);
    client.post_order(&more)?.success()?;
    ensure!(watch::look(&state)? > 0);
    let (rows, after) = feed(client, after)?;
    ensure!(flour(&rows) == Some(json!("shortage-changed")), "{rows:#?}");
    receive(client, &json!({"quantity": {"amount": "500", "unit": "kg"}}))?;
    ensure!(watch::look(&state)? > 0);
    let (rows, _) = feed(client, after)?;
    let gone = rows.iter().find(|row| row["about"] == "rye").context("rye")?;
    ensure!(gone["kind"] == "shortage-gone", "{rows:#?}");
    ensure!(gone["shortage"]["short_by"]["amount"] == "0", "{gone}");
    Ok(())
}

#[test]
fn a_place_that_is_none_is_refused() -> Result<()> {
    let server = loaded()?;
    for after in ["x", "7", "2d31", "3939393939393939393939393939393939393939"] {
        for path in ["/v1/changes", "/v1/changes/stream"] {
            let reply = server.client().get(&format!("{path}?after={after}"))?;
            ensure!(reply.is_problem("invalid-query")?, "{path} {after}: {}", reply.text());
        }
    }
    let reply = server.client().with("Last-Event-ID", "x").get("/v1/changes/stream")?;
    ensure!(reply.is_problem("invalid-query")?, "{}", reply.text());
    for limit in ["0", "1001", "-1", "x"] {
        let reply = server.client().get(&format!("/v1/changes?limit={limit}"))?;
        ensure!(reply.status == 400, "{limit}: {}", reply.text());
    }
    Ok(())
}

#[test]
fn the_feed_is_for_those_who_plan_and_no_till() -> Result<()> {
    let server = loaded()?;
    for job in Job::ALL {
        let token = server.token(job.word(), job, None)?;
        let client = server.client().with_token(&token);
        let (feed, hooks) = (client.get("/v1/changes")?, client.get("/v1/webhooks")?);
        ensure!(feed.status == if job == Job::Till { 403 } else { 200 }, "{job:?}");
        ensure!(hooks.status == if job == Job::Owner { 200 } else { 403 }, "{job:?}");
    }
    Ok(())
}

/// Writes orders; a server that is busy is asked again under the same key.
fn write(base: &str, writer: usize, orders: usize) -> Result<()> {
    let client = Client::new(base);
    for number in 0..orders {
        let name = format!("w{writer}-{number}");
        let post = || client.post_under("/v1/orders", &order(&name, "sugar-bun", 1), &name);
        let mut reply = post()?;
        while reply.status == 503 {
            reply = post()?;
        }
        reply.success()?;
    }
    Ok(())
}

/// Reads to the end again and again, until nothing came after all writers had ended.
fn read(client: &Client, mut after: String, ended: impl Fn() -> bool) -> Result<Vec<String>> {
    let mut read = Vec::new();
    loop {
        let last_look = ended();
        let (rows, at) = feed(client, after)?;
        after = at;
        read.extend(rows.iter().map(|row| row["words"].to_string()));
        if last_look && rows.is_empty() {
            return Ok(read);
        }
    }
}

#[test]
fn a_reader_misses_nothing_of_several_servers_that_write_at_once() -> Result<()> {
    let database = Postgres::start()?;
    let first = Server::start_on(&database, demo::NOW)?;
    first.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let second = first.beside(demo::NOW)?;
    let (writers, orders) = (4, 8);
    let start_of_reading = end(second.client())?;
    let seen = thread::scope(|scope| -> Result<Vec<String>> {
        let bases = [first.client().base(), second.client().base()];
        let start = |writer: usize| scope.spawn(move || write(bases[writer % 2], writer, orders));
        let threads: Vec<_> = (0..writers).map(start).collect();
        let seen = read(second.client(), start_of_reading, || {
            threads.iter().all(|thread| thread.is_finished())
        })?;
        for thread in threads {
            thread.join().map_err(|_| anyhow::anyhow!("a writer died"))??;
        }
        Ok(seen)
    })?;
    let (all, _) = feed(first.client(), String::new())?;
    let told: Vec<_> = all.iter().map(|row| row["words"].to_string()).collect();
    ensure!(seen.iter().collect::<BTreeSet<_>>().len() == writers * orders, "{seen:#?}");
    ensure!(told.ends_with(&seen), "the order read is the order kept:\n{seen:#?}\n{told:#?}");
    Ok(())
}
