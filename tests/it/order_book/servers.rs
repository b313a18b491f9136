//! Late orders on both databases, and one database under two servers.

use super::{order, ordered};
use anyhow::{Result, ensure};
use serde_json::{Value, json};
use std::{sync::Barrier, thread};
use weighhouse_tests::{
    client::{Client, Reply},
    demo,
    postgres::Postgres,
    server::Server,
};

/// What the bakery says of orders before, at and after their cutoffs, without our own ids.
///
/// Source: alder-yard.md, cutoff 17:00 two days before; E, with one load in place of two:
/// mixed 18 minutes from 13:57, weighed from Wednesday 13:17; readings R22: exactly at the
/// cutoff is in time.
pub(crate) fn late_orders(mut server: Server) -> Result<Vec<String>> {
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let mut said = Vec::new();
    for (number, (now, date, product)) in [
        ("2026-06-10T13:17:00+02:00", "2026-06-12", "custard-bun"),
        ("2026-06-10T13:17:01+02:00", "2026-06-12", "custard-bun"),
        ("2026-06-11T17:00:00+02:00", "2026-06-13", "country-large"),
        ("2026-06-11T17:00:01+02:00", "2026-06-13", "country-large"),
        ("2026-06-12T11:00:01+02:00", "2026-06-13", "country-large"),
        ("2026-06-13T07:00:01+02:00", "2026-06-13", "sugar-bun"),
    ]
    .into_iter()
    .enumerate()
    {
        server = server.at(now)?;
        let mut asked = order(1, &[(product, json!(6))]);
        asked["order_ref"] = json!(format!("late-{number}"));
        asked["service_date"] = json!(date);
        for path in ["/v1/orders/check", "/v1/orders"] {
            let mut answer = server.client().post(path, &asked)?.success()?;
            if let Some(answer) = answer.as_object_mut() {
                answer.remove("order_id");
            }
            said.push(answer.to_string());
        }
    }
    Ok(said)
}

#[test]
fn late_orders_are_answered_the_same_on_both_databases() -> Result<()> {
    let database = Postgres::start()?;
    let embedded = late_orders(Server::start(demo::NOW)?)?;
    let served = late_orders(Server::start_on(&database, demo::NOW)?)?;
    ensure!(embedded.len() == served.len(), "{} answers and {}", embedded.len(), served.len());
    for (embedded, served) in embedded.iter().zip(&served) {
        ensure!(embedded == served, "{embedded}\n{served}");
    }
    let states: Vec<Value> = embedded
        .iter()
        .skip(1)
        .step_by(2)
        .map(|text| Ok(serde_json::from_str::<Value>(text)?["state"].clone()))
        .collect::<Result<_>>()?;
    let words =
        ["taken", "refused", "taken", "taken-late-asking", "refused", "refused"].map(|w| json!(w));
    ensure!(states == words, "{states:?}");
    Ok(())
}

/// Sends one request under one key many times at once, to one server and the other.
fn at_once(bases: &[String], body: &Value, key: &str, times: usize) -> Result<Vec<Reply>> {
    let start = Barrier::new(times);
    thread::scope(|scope| {
        let callers: Vec<_> = (0..times)
            .map(|number| {
                let (base, start) = (bases[number % bases.len()].clone(), &start);
                scope.spawn(move || {
                    let client = Client::new(base);
                    start.wait();
                    client.post_under("/v1/orders", body, key)
                })
            })
            .collect();
        let joined = callers.into_iter().map(thread::ScopedJoinHandle::join);
        joined.map(|reply| reply.unwrap_or_else(|_| anyhow::bail!("a caller panicked"))).collect()
    })
}

#[test]
fn one_order_sent_three_hundred_times_at_once_has_one_effect() -> Result<()> {
    let server = super::loaded()?;
    let revision = || -> Result<Value> {
        Ok(server.client().get("/readyz")?.success()?["plan_revision"].clone())
    };
    let before = revision()?;
    let bases = [server.client().base().to_owned()];
    let replies = at_once(&bases, &order(1, &[("sugar-bun", json!(6))]), "storm", 300)?;
    let answered: Vec<_> = replies.iter().filter(|reply| reply.status != 503).collect();
    let fresh = answered.iter().filter(|reply| !reply.replayed).count();
    ensure!(fresh == 1, "{fresh} of three hundred were first");
    ensure!(answered.iter().all(|reply| reply.body == answered[0].body), "two answers");
    ensure!(revision()?.as_i64() == before.as_i64().map(|n| n + 1), "more than one effect");
    Ok(())
}

#[test]
fn a_retry_at_another_server_gets_the_first_answer_byte_for_byte() -> Result<()> {
    let database = Postgres::start()?;
    let first = Server::start_on(&database, demo::NOW)?;
    first.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let second = Server::start_on(&database, "2026-06-10T09:45:00+02:00")?;
    let body = order(1, &[("sugar-bun", json!(6))]);
    let here = first.client().post_under("/v1/orders", &body, "one-order")?;
    here.success()?;
    first.client().post_order(&order(2, &[("sugar-bun", json!(9))]))?.success()?;
    let there = second.client().post_under("/v1/orders", &body, "one-order")?;
    ensure!(there.replayed && !here.replayed, "only the second is a replay");
    ensure!((there.status, &there.body) == (here.status, &here.body), "{}", there.text());
    let other = order(1, &[("sugar-bun", json!(7))]);
    let other = second.client().post_under("/v1/orders", &other, "one-order")?;
    ensure!(other.status == 422 && other.is_problem("key-reused")?, "{}", other.text());
    // Both see what the other did.
    ensure!(ordered(first.client(), "sugar-bun")? == 9);
    ensure!(ordered(second.client(), "sugar-bun")? == 9);
    // And both know it after a restart.
    let restarted = second.at("2026-06-10T10:00:00+02:00")?;
    let again = restarted.client().post_under("/v1/orders", &body, "one-order")?;
    ensure!(again.replayed && again.body == here.body, "{}", again.text());
    Ok(())
}

#[test]
fn one_order_sent_forty_times_to_two_servers_has_one_effect() -> Result<()> {
    send_one_order_forty_times(&Postgres::start()?)
}

/// Sends it to two servers of a database, and fails unless it has one effect and one answer.
pub(crate) fn send_one_order_forty_times(database: &Postgres) -> Result<()> {
    let first = Server::start_on(database, demo::NOW)?;
    first.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let second = Server::start_on(database, demo::NOW)?;
    let bases = [first.client().base().to_owned(), second.client().base().to_owned()];
    let before = first.client().requirements("2026-06-13")?["plan_revision"].clone();
    let replies = at_once(&bases, &order(1, &[("sugar-bun", json!(6))]), "burst", 40)?;
    let mut bodies = Vec::new();
    for reply in &replies {
        // Who lost every race is told to come again, and nothing is half done.
        if reply.status == 503 {
            continue;
        }
        reply.success()?;
        bodies.push(reply.body.clone());
    }
    ensure!(!bodies.is_empty(), "nobody was answered");
    ensure!(bodies.iter().all(|body| *body == bodies[0]), "one request has two answers");
    let fresh = replies.iter().filter(|reply| reply.status != 503 && !reply.replayed).count();
    ensure!(fresh == 1, "{fresh} of forty were first");
    let after = first.client().requirements("2026-06-13")?["plan_revision"].clone();
    ensure!(after.as_i64() == before.as_i64().map(|n| n + 1), "{before} became {after}");
    ensure!(ordered(second.client(), "sugar-bun")? == 6);
    Ok(())
}
