//! What the process says of a request: lines with its names, and spans for a collector.

use super::order;
use anyhow::{Context, Result, bail, ensure};
use serde_json::Value;
use std::{
    io::{BufRead as _, BufReader, Read as _},
    process::{Command, Stdio},
    thread,
    time::{Duration, Instant},
};
use weighhouse::access::Job;
use weighhouse_tests::{client::Client, demo, receiver::Receiver, server::Server};

/// The folder on which a child process serves.
const CHILD: &str = "WEIGHHOUSE_SPEAKING_SERVER";
/// The example of W3C Trace Context, section 3.2.3.
const TRACE: &str = "4bf92f3577b34da6a3ce929d0e0e4736";
const PARENT: &str = "00f067aa0ba902b7";
/// A key, which is nobody else's business.
const KEY: &str = "a-key-that-nobody-may-read";
/// How long spans may take to come.
const PATIENCE: Duration = Duration::from_secs(30);

#[expect(clippy::disallowed_methods, reason = "a child process is told what to do by it")]
fn told() -> Option<String> {
    std::env::var(CHILD).ok()
}

/// What a child process does; in the process of the tests it does nothing.
#[test]
fn the_server_that_speaks() -> Result<()> {
    let Some(folder) = told() else { return Ok(()) };
    weighhouse::logs::begin();
    let words = ["weighhouse", "serve", "--listen", "127.0.0.1:0", "--data", &folder];
    weighhouse::command::run_words(&words).map_err(anyhow::Error::msg)
}

/// Every span that came until the one of an operation.
fn spans_until(collector: &Receiver, operation: &str) -> Result<Vec<Value>> {
    let began = Instant::now();
    while began.elapsed() < PATIENCE {
        let mut spans = Vec::new();
        for sent in collector.received() {
            let sent: Value = serde_json::from_str(&sent.body)?;
            let scope = &sent["resourceSpans"][0]["scopeSpans"][0];
            spans.extend(scope["spans"].as_array().context("spans")?.clone());
        }
        if spans.iter().any(|span| span.to_string().contains(operation)) {
            return Ok(spans);
        }
        thread::sleep(Duration::from_millis(20));
    }
    bail!("no span of {operation} came in {PATIENCE:?}")
}

fn line<'a>(lines: &'a [Value], request_id: &str) -> Result<&'a Value> {
    let of =
        |line: &&Value| line["message"] == "request" && line["span"]["request_id"] == request_id;
    lines.iter().find(of).with_context(|| format!("{request_id}: {lines:?}"))
}

#[test]
fn a_request_is_named_in_lines_and_spans() -> Result<()> {
    let folder = std::env::temp_dir().join(format!("weighhouse-logs-{}", std::process::id()));
    let server = Server::start_in(folder.clone(), demo::NOW.parse()?)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let token = server.token("till 7", Job::Till, None)?;
    server.leave();
    let collector = Receiver::start(&[200], Duration::ZERO)?;
    let mut child = Command::new(std::env::current_exe()?)
        .args(["--exact", "running::logs::the_server_that_speaks", "--nocapture"])
        .env(CHILD, &folder)
        .env("WEIGHHOUSE_LOG", "info")
        .env("WEIGHHOUSE_LOG_FORMAT", "json")
        .env("OTEL_EXPORTER_OTLP_ENDPOINT", collector.url("/"))
        .env_remove("DATABASE_URL")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    let mut said = BufReader::new(child.stdout.take().context("its output")?).lines();
    let base = loop {
        let line = said.next().context("it does not listen")??;
        if let Some((_, rest)) = line.split_once("listens on ") {
            break rest.split(' ').next().unwrap_or_default().to_owned();
        }
    };
    let errors = child.stderr.take().context("its log")?;
    let reader = thread::spawn(move || {
        let mut text = String::new();
        BufReader::new(errors).read_to_string(&mut text).map(|_| text)
    });
    let client = Client::new(&base)
        .with("traceparent", &format!("00-{TRACE}-{PARENT}-01"))
        .with("X-Request-Id", "till-7")
        .with_token(&token);
    client.post_under("/v1/orders", &order("named"), KEY)?.success()?;
    client.get("/v1/orders/named")?.success()?;
    let spans = spans_until(&collector, "find_order")?;
    let stopped = Command::new("kill").args(["-TERM", &child.id().to_string()]).status()?;
    ensure!(stopped.success() && child.wait()?.success(), "it does not end well");
    let log = reader.join().map_err(|_| anyhow::anyhow!("the reader died"))??;
    // The harness of the tests has lines of its own.
    let lines: Vec<Value> =
        log.lines().filter_map(|line| serde_json::from_str(line).ok()).collect();
    let posted = line(&lines, "till-7")?;
    ensure!(posted["span"]["trace_id"] == TRACE && posted["path"] == "/v1/orders", "{posted}");
    ensure!(posted["who"] == "till 7", "{posted}");
    let secrets = [token.rsplit('.').next().unwrap_or(&token), KEY];
    for text in [log, format!("{spans:?}")] {
        ensure!(secrets.iter().all(|secret| !text.contains(secret)), "a secret is in {text}");
    }
    check_spans(&spans)?;
    std::fs::remove_dir_all(folder)?;
    Ok(())
}

fn check_spans(spans: &[Value]) -> Result<()> {
    let of = |operation: &str| {
        let of = |span: &&Value| span["name"] == "request" && span.to_string().contains(operation);
        spans.iter().find(of).with_context(|| format!("{operation}: {spans:?}"))
    };
    let posted = of("take_order")?;
    ensure!(posted["traceId"] == TRACE && posted["parentSpanId"] == PARENT, "{posted}");
    ensure!(posted["kind"] == 2, "a server's span: {posted}");
    // The transaction of the order lies in its request.
    let inside =
        |span: &&Value| span["name"] == "write" && span["parentSpanId"] == posted["spanId"];
    let written = spans.iter().find(inside).with_context(|| format!("{spans:?}"))?;
    ensure!(written["traceId"] == TRACE, "{written}");
    let nanos = |span: &Value, key: &str| -> Result<i128> {
        Ok(span[key].as_str().context("a text")?.parse()?)
    };
    for key in ["startTimeUnixNano", "endTimeUnixNano"] {
        ensure!(nanos(written, key)? > 0, "{written}");
    }
    let within = nanos(written, "startTimeUnixNano")? >= nanos(posted, "startTimeUnixNano")?
        && nanos(written, "endTimeUnixNano")? <= nanos(posted, "endTimeUnixNano")?;
    ensure!(within, "{written} is not within {posted}");
    Ok(())
}
