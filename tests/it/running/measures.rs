//! What whoever runs it can see: numbers, and the names of requests.

use super::order;
use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse::access::Job;
use weighhouse_tests::{client::Client, demo, server::Server};

/// The number of a line.
fn number(text: &str, line: &str) -> Result<i64> {
    let found = text.lines().find_map(|found| found.strip_prefix(line)?.strip_prefix(' '));
    found.with_context(|| format!("{line} is not in\n{text}"))?.parse().context(line.to_owned())
}

fn text(client: &Client) -> Result<String> {
    let reply = client.get_as("/metrics", "text/plain")?;
    ensure!(reply.status == 200, "{}", reply.text());
    ensure!(reply.media_type.starts_with("text/plain; version=0.0.4"), "{}", reply.media_type);
    Ok(reply.text())
}

#[test]
fn what_happened_is_counted() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    // Sent twice under one key it is one order.
    for _ in 0..2 {
        client.post_under("/v1/orders", &order("one"), "one")?.success()?;
    }
    client.post_order(&order("one"))?.success()?;
    let mut unknown = order("three");
    unknown["customer"] = json!("nobody");
    let batch = json!({"orders": [order("two"), unknown]});
    client.post("/v1/orders/batch", &batch)?.success()?;
    client.get("/v1/orders/none")?;
    client.get("/v1/no-such-thing")?;
    for _ in 0..3 {
        client.weigh_out("2026-06-12")?;
    }
    let text = text(client)?;
    let orders =
        |word: &str| number(&text, &format!("weighhouse_orders_total{{outcome=\"{word}\"}}"));
    ensure!((orders("taken")?, orders("repeated")?, orders("problem")?) == (2, 1, 1), "{text}");
    let requests = |operation: &str, class: &str| {
        let labels = format!("{{operation=\"{operation}\",status=\"{class}\"}}");
        number(&text, &format!("weighhouse_request_duration_seconds_count{labels}"))
    };
    ensure!(requests("take_order", "2xx")? == 3, "{text}");
    ensure!(requests("find_order", "4xx")? == 1 && requests("other", "4xx")? == 1, "{text}");
    ensure!(number(&text, "weighhouse_plan_duration_seconds_count{from=\"kept\"}")? >= 2);
    // This request is the one under way.
    ensure!(number(&text, "weighhouse_requests_under_way")? == 1, "{text}");
    ensure!(number(&text, "weighhouse_ledger_entries")? == 0, "{text}");
    ensure!(number(&text, "weighhouse_webhook_dead_letters")? == 0, "{text}");
    ensure!(number(&text, "process_resident_memory_bytes")? > 1_000_000, "{text}");
    let ready = client.get("/readyz")?.success()?;
    ensure!(json!(number(&text, "weighhouse_plan_revision")?) == ready["plan_revision"], "{text}");
    Ok(())
}

#[test]
fn numbers_are_for_those_who_may_read_them() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    for (job, status) in [
        (Job::Till, 403),
        (Job::Porter, 403),
        (Job::Clerk, 403),
        (Job::Lead, 200),
        (Job::Reader, 200),
    ] {
        let client = server.client().with_token(&server.token(job.word(), job, None)?);
        let reply = client.get_as("/metrics", "text/plain")?;
        ensure!(reply.status == status, "{}: {}", job.word(), reply.status);
    }
    ensure!(server.client().get_as("/metrics", "text/plain")?.status == 401, "without a token");
    Ok(())
}

#[test]
fn every_operation_that_was_asked_is_named_as_in_the_route_list() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    server.client().get("/healthz")?;
    // The path as the router reads it, whatever it was written like.
    server.client().get("/v1/%69tems")?;
    let text = text(server.client())?;
    for operation in ["check_health", "list_items"] {
        ensure!(text.contains(&format!("operation=\"{operation}\"")), "{operation}: {text}");
    }
    Ok(())
}
