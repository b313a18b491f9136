//! The feed posted to others.

use super::{feed, loaded, order};
use anyhow::{Context, Result, ensure};
use jiff::SignedDuration;
use serde_json::{Value, json};
use std::{collections::BTreeSet, thread, time::Duration};
use weighhouse::{
    clock::Clock,
    courier::{self, Post},
    service::webhooks::{self, deliveries, signature},
    state::State,
};
use weighhouse_tests::{
    client::Client,
    demo,
    postgres::Postgres,
    receiver::{Received, Receiver},
    server::Server,
};

const AT_ONCE: Duration = Duration::ZERO;

/// A webhook that tells of every revision; returns its secret.
fn hook(server: &Server, code: &str, url: &str) -> Result<String> {
    let body = json!({"url": url, "kinds": ["revision"]});
    server.client().put(&format!("/v1/webhooks/{code}"), &body, None)?.success()?;
    Ok(webhooks::make_secret(&server.state()?, code, SignedDuration::ZERO)?)
}

/// One round of a courier that may call this machine.
fn round(state: &State) -> Result<usize> {
    Ok(courier::round(state, &Post::new(true), &mut None)?)
}

fn deliveries(client: &Client, state: &str) -> Result<Vec<Value>> {
    let page = client.get(&format!("/v1/webhook-deliveries?state={state}"))?.success()?;
    Ok(page["rows"].as_array().context("rows")?.clone())
}

fn signed(received: &Received, secret: &str) -> Result<bool> {
    let header = |name: &str| received.headers.get(name).map(String::as_str).context("a header");
    let at = header("webhook-timestamp")?.parse()?;
    let key = secret.trim_start_matches("whsec_");
    let signature = signature::sign(key, header("webhook-id")?, at, &received.body);
    let signature = signature.context("a secret")?;
    Ok(header("webhook-signature")?.split(' ').any(|one| one == signature))
}

#[test]
fn what_happens_is_posted_signed_and_once() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let receiver = Receiver::start(&[200], AT_ONCE)?;
    client.post_order(&order("before", "sugar-bun", 6))?.success()?;
    let secret = hook(&server, "till", &receiver.url("/hook?shop=1"))?;
    let state = server.state()?;
    ensure!(round(&state)? == 0, "what happened before is not told");
    client.post_order(&order("a", "sugar-bun", 6))?.success()?;
    ensure!(round(&state)? == 1 && round(&state)? == 0);
    let received = receiver.received();
    let [one] = received.as_slice() else { anyhow::bail!("{received:?}") };
    ensure!(one.target == "POST /hook?shop=1", "{one:?}");
    ensure!(signed(one, &secret)? && !signed(one, "whsec_AAAA")?);
    let body: Value = serde_json::from_str(&one.body)?;
    let (rows, _) = feed(client, String::new())?;
    // What is short of it is told after it.
    let last = rows.iter().rfind(|row| row["kind"] == "revision").context("a row")?;
    ensure!(body["type"] == "revision" && body["data"] == *last, "{body:#} is not of {last:#}");
    let told = deliveries(client, "delivered")?;
    ensure!(told[0]["id"] == one.headers["webhook-id"] && told[0]["last_status"] == 200);
    // No answer of ours ever holds the secret.
    for path in ["/v1/webhooks", "/v1/webhooks/till", "/v1/webhook-deliveries", "/v1/audit"] {
        ensure!(!client.get(path)?.text().contains(&secret[6..]), "{path}");
    }
    Ok(())
}

#[test]
fn two_secrets_sign_side_by_side_while_one_is_exchanged() -> Result<()> {
    let server = loaded()?;
    let receiver = Receiver::start(&[200], AT_ONCE)?;
    let first = hook(&server, "till", &receiver.url("/"))?;
    // By the clock that stands still a secret ends in June; the courier goes by the computer's.
    let long = SignedDuration::from_hours(24 * 365 * 100);
    let second = webhooks::make_secret(&server.state()?, "till", long)?;
    server.client().post_order(&order("a", "sugar-bun", 6))?.success()?;
    round(&server.state()?)?;
    let third = webhooks::make_secret(&server.state()?, "till", SignedDuration::ZERO)?;
    server.client().post_order(&order("b", "sugar-bun", 6))?.success()?;
    round(&server.state()?)?;
    let received = receiver.received();
    ensure!(received.len() == 2, "{received:?}");
    ensure!(signed(&received[0], &first)? && signed(&received[0], &second)?);
    ensure!(!signed(&received[1], &first)? && !signed(&received[1], &second)?);
    ensure!(signed(&received[1], &third)?);
    Ok(())
}

#[test]
fn what_fails_is_tried_again_until_it_is_a_dead_letter_and_can_be_sent_again() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let receiver = Receiver::start(
        &[302, 500, 500, 500, 500, 500, 500, 500, 500, 500, 500, 500, 204],
        AT_ONCE,
    )?;
    hook(&server, "till", &receiver.url("/"))?;
    client.post_order(&order("a", "sugar-bun", 6))?.success()?;
    let state = server.state()?;
    ensure!(round(&state)? == 1 && round(&state)? == 0, "the second try has to wait");
    let waiting = deliveries(client, "waiting")?;
    ensure!(waiting[0]["last_words"] == "answered 302", "{waiting:?}");
    let german = client.with("Accept-Language", "de");
    let page = german.get_as("/settings/deliveries", "text/html")?.text();
    ensure!(page.contains("antwortete 302"), "{page}");
    ensure!(!waiting[0]["next_try_at"].is_null(), "{waiting:?}");
    let post = Post::new(true);
    for tries in 2..=deliveries::TRIES_MAX {
        // As if the longest wait had passed.
        let now = Clock::System.now() + SignedDuration::from_hours(9 * tries);
        let leased = deliveries::lease(&state, now)?;
        let [letter] = leased.as_slice() else { anyhow::bail!("try {tries}: {leased:?}") };
        ensure!(deliveries::lease(&state, now)?.is_empty(), "one server at a time has it");
        deliveries::settle(&state, now, letter, &post.letter(letter, now))?;
    }
    ensure!(deliveries::dead(&state)? == 1);
    let counted = client.get_as("/metrics", "text/plain")?.text();
    ensure!(counted.contains("\nweighhouse_webhook_dead_letters 1\n"), "{counted}");
    let dead = deliveries(client, "dead")?;
    ensure!(dead[0]["tries"] == deliveries::TRIES_MAX && dead[0]["last_status"] == 500, "{dead:?}");
    ensure!(round(&state)? == 0, "it is given up");
    // Somebody sees it on the page and sends it again from there.
    let id = dead[0]["id"].as_str().context("an id")?;
    let shown = client.get_as("/settings/deliveries?state=dead", "text/html")?.text();
    ensure!(shown.contains("One message was given up") && shown.contains(id), "{shown}");
    let pressed = format!("/settings/deliveries/{id}/resend");
    ensure!(client.post_form(&pressed, "_key=again")?.status == 303);
    let path = format!("/v1/webhook-deliveries/{id}/resend");
    client.post(&path, &json!({}))?.success()?;
    ensure!(round(&state)? == 1 && deliveries(client, "delivered")?.len() == 1);
    let received = receiver.received();
    let ids: BTreeSet<_> = received.iter().map(|one| &one.headers["webhook-id"]).collect();
    ensure!(received.len() == 13 && ids.len() == 1, "the same id at each try");
    ensure!(received.iter().all(|one| one.target == "POST /"), "no redirect is followed");
    ensure!(client.post("/v1/webhook-deliveries/x/resend", &json!({}))?.status == 404);
    Ok(())
}

#[test]
fn a_receiver_that_is_gone_is_told_no_more() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let receiver = Receiver::start(&[410], AT_ONCE)?;
    hook(&server, "till", &receiver.url("/"))?;
    client.post_order(&order("a", "sugar-bun", 6))?.success()?;
    let state = server.state()?;
    round(&state)?;
    client.post_order(&order("b", "sugar-bun", 6))?.success()?;
    ensure!(round(&state)? == 0 && receiver.received().len() == 1);
    let held = client.get("/v1/webhooks/till")?;
    ensure!(held.json()?["active"] == false && deliveries(client, "dead")?.len() == 1);
    // Set active again it tells of what happens from then on.
    let body = json!({"url": receiver.url("/"), "kinds": ["revision"]});
    client.put("/v1/webhooks/till", &body, held.etag.as_deref())?.success()?;
    ensure!(round(&state)? == 0);
    Ok(())
}

#[test]
fn what_waits_for_one_keeps_no_other_waiting() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let (broken, till) = (Receiver::start(&[500], AT_ONCE)?, Receiver::start(&[200], AT_ONCE)?);
    hook(&server, "broken", &broken.url("/"))?;
    // Many more than a courier takes of one webhook at once.
    for number in 0..100 {
        client.post_order(&order(&format!("o{number}"), "sugar-bun", 1))?.success()?;
    }
    hook(&server, "till", &till.url("/"))?;
    client.post_order(&order("a", "sugar-bun", 1))?.success()?;
    let state = server.state()?;
    ensure!(round(&state)? == 2 && till.received().len() == 1, "{:?}", till.received());
    // Nor does what was left for one that rests.
    let held = client.get("/v1/webhooks/broken")?;
    let body = json!({"url": broken.url("/"), "kinds": ["revision"], "active": false});
    client.put("/v1/webhooks/broken", &body, held.etag.as_deref())?.success()?;
    client.post_order(&order("b", "sugar-bun", 1))?.success()?;
    ensure!(round(&state)? == 1 && till.received().len() == 2, "{:?}", till.received());
    ensure!(broken.received().len() == 1, "{:?}", broken.received());
    Ok(())
}

#[test]
fn what_is_inside_is_not_called_unless_it_may_be() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let receiver = Receiver::start(&[200], AT_ONCE)?;
    hook(&server, "till", &receiver.url("/"))?;
    client.post_order(&order("a", "sugar-bun", 6))?.success()?;
    courier::round(&server.state()?, &Post::new(false), &mut None)?;
    ensure!(receiver.received().is_empty());
    let waiting = deliveries(client, "waiting")?;
    let words = waiting[0]["last_words"].as_str().context("words")?;
    let inside = "its address is inside: webhooks go there only with --webhooks-inside";
    ensure!(words == inside, "{words}");
    for (url, place) in [
        ("http://till.example/", "/url"),
        ("https://169.254.169.254/", "/url"),
        ("https://a:b@till.example/", "/url"),
        ("nowhere", "/url"),
    ] {
        let reply =
            client.put("/v1/webhooks/x", &json!({"url": url, "kinds": ["revision"]}), None)?;
        ensure!(reply.json()?["errors"][0]["pointer"] == place, "{url}: {}", reply.text());
    }
    let none =
        client.put("/v1/webhooks/x", &json!({"url": "https://a.example/", "kinds": []}), None)?;
    ensure!(none.json()?["errors"][0]["pointer"] == "/kinds", "{}", none.text());
    let body = json!({"url": "https://a.example/", "kinds": ["revision"]});
    ensure!(client.put("/v1/webhooks/X%20x", &body, None)?.is_problem("invalid-path")?);
    ensure!(client.put("/v1/webhooks/till", &body, None)?.status == 428);
    ensure!(client.put("/v1/webhooks/till", &body, Some("\"x\""))?.status == 412);
    ensure!(client.get("/v1/webhooks/none")?.status == 404);
    for number in 0..19 {
        client.put(&format!("/v1/webhooks/w{number}"), &body, None)?.success()?;
    }
    ensure!(client.put("/v1/webhooks/w20", &body, None)?.is_problem("too-many")?);
    Ok(())
}

/// Couriers of two servers at once, on either database.
fn two_couriers(server: &Server) -> Result<()> {
    let receiver = Receiver::start(&[200], Duration::from_millis(30))?;
    hook(server, "till", &receiver.url("/"))?;
    let names: Vec<_> = (0..12).map(|number| format!("o{number}")).collect();
    for name in &names {
        server.client().post_order(&order(name, "sugar-bun", 1))?.success()?;
    }
    let states = [server.state()?, server.state()?, server.state()?];
    thread::scope(|scope| -> Result<()> {
        let threads: Vec<_> = states.iter().map(|state| scope.spawn(|| round(state))).collect();
        for thread in threads {
            thread.join().map_err(|_| anyhow::anyhow!("a courier died"))??;
        }
        Ok(())
    })?;
    round(&states[0])?;
    let received = receiver.received();
    let ids: BTreeSet<_> = received.iter().map(|one| one.headers["webhook-id"].clone()).collect();
    ensure!(received.len() == names.len() && ids.len() == names.len(), "{}", received.len());
    ensure!(deliveries(server.client(), "delivered")?.len() == names.len());
    Ok(())
}

#[test]
fn several_servers_never_post_one_delivery_at_the_same_time() -> Result<()> {
    two_couriers(&loaded()?)?;
    let database = Postgres::start()?;
    let server = Server::start_on(&database, demo::NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    two_couriers(&server)
}
