//! Spans for an OpenTelemetry collector, as OTLP over HTTP in its JSON form.
//!
//! Nothing waits for the collector: spans go through a queue to one thread, and what does not
//! fit the queue, or what the collector does not take, is left out.

use crate::{clock::Clock, config::Collector, digest};
use serde_json::{Value, json};
use std::{
    fmt::Debug,
    sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel},
    thread,
    time::{Duration, Instant},
};
use tracing::{
    Subscriber,
    field::{Field, Visit},
    span::{Attributes, Id, Record},
};
use tracing_subscriber::{Layer, layer::Context, registry::LookupSpan};

/// Spans that wait to be sent.
const QUEUE_MAX: usize = 4_096;
/// Spans that go together, at most.
const BATCH_MAX: usize = 512;
/// How long a span waits for others.
const BATCH_TIME: Duration = Duration::from_secs(1);
/// How long the collector may take.
const SEND_TIME: Duration = Duration::from_secs(5);

/// Kinds of span as OTLP numbers them.
const INTERNAL: u8 = 1;
const SERVER: u8 = 2;
/// The status of a span that went wrong.
const ERROR: u8 = 2;

/// Sends spans as they close.
pub(super) struct Spans {
    queue: SyncSender<Value>,
}

/// What is known of a span while it is open.
struct Open {
    trace: String,
    id: String,
    parent: Option<String>,
    began: i128,
    fields: Fields,
}

/// What a span says of itself.
#[derive(Default)]
struct Fields {
    trace: Option<String>,
    parent: Option<String>,
    failed: bool,
    attributes: Vec<Value>,
}

impl Spans {
    /// Starts the thread that sends them.
    pub(super) fn to(collector: Collector) -> Self {
        let (queue, waiting) = sync_channel(QUEUE_MAX);
        // It ends with the process.
        drop(thread::spawn(move || send(&collector, &waiting)));
        Self { queue }
    }
}

impl<S: Subscriber + for<'s> LookupSpan<'s>> Layer<S> for Spans {
    fn on_new_span(&self, attributes: &Attributes<'_>, id: &Id, context: Context<'_, S>) {
        let Some(span) = context.span(id) else { return };
        let mut fields = Fields::default();
        attributes.record(&mut fields);
        let above = span.parent().and_then(|parent| {
            let extensions = parent.extensions();
            extensions.get::<Open>().map(|open| (open.trace.clone(), open.id.clone()))
        });
        let (trace, parent) = match (above, fields.trace.take()) {
            (Some((trace, id)), _) => (trace, Some(id)),
            (None, Some(trace)) => (trace, fields.parent.take()),
            (None, None) => (digest::chance(16), None),
        };
        let open = Open { trace, id: digest::chance(8), parent, began: now(), fields };
        span.extensions_mut().insert(open);
    }

    fn on_record(&self, id: &Id, values: &Record<'_>, context: Context<'_, S>) {
        let Some(span) = context.span(id) else { return };
        if let Some(open) = span.extensions_mut().get_mut::<Open>() {
            values.record(&mut open.fields);
        }
    }

    fn on_close(&self, id: Id, context: Context<'_, S>) {
        let Some(span) = context.span(&id) else { return };
        if let Some(open) = span.extensions_mut().remove::<Open>() {
            // A full queue means that the collector is slow: requests do not wait for it.
            let _ = self.queue.try_send(view(open, span.name()));
        }
    }
}

/// A span as it is sent.
///
/// # Source
/// OpenTelemetry protocol 1.x, JSON: ids in hexadecimal, 64-bit numbers as texts.
fn view(open: Open, name: &str) -> Value {
    let Open { trace, id, parent, began, fields } = open;
    json!({
        "traceId": trace,
        "spanId": id,
        "parentSpanId": parent.unwrap_or_default(),
        "name": name,
        "kind": if name == "request" { SERVER } else { INTERNAL },
        "startTimeUnixNano": began.to_string(),
        "endTimeUnixNano": now().to_string(),
        "attributes": fields.attributes,
        "status": if fields.failed { json!({"code": ERROR}) } else { json!({}) },
    })
}

impl Fields {
    fn note(&mut self, field: &Field, text: String) {
        match field.name() {
            "trace_id" => self.trace = Some(text),
            "parent_id" => self.parent = Some(text),
            "status" => {
                self.failed = text.starts_with('5');
                self.add("http.response.status_code", json!({"intValue": text}));
            }
            "operation" => self.add("http.route", json!({"stringValue": text})),
            name => self.add(name, json!({"stringValue": text})),
        }
    }

    fn add(&mut self, key: &str, value: Value) {
        self.attributes.push(json!({"key": key, "value": value}));
    }
}

impl Visit for Fields {
    fn record_str(&mut self, field: &Field, value: &str) {
        self.note(field, value.to_owned());
    }

    fn record_debug(&mut self, field: &Field, value: &dyn Debug) {
        self.note(field, format!("{value:?}"));
    }
}

/// Nanoseconds since 1970.
fn now() -> i128 {
    Clock::System.now().as_nanosecond()
}

/// Sends what comes, some together, until nobody makes spans any more.
fn send(collector: &Collector, waiting: &Receiver<Value>) {
    let agent: ureq::Agent =
        ureq::Agent::config_builder().timeout_global(Some(SEND_TIME)).build().into();
    while let Ok(first) = waiting.recv() {
        let (until, mut batch) = (Instant::now() + BATCH_TIME, vec![first]);
        while batch.len() < BATCH_MAX {
            match waiting.recv_timeout(until.saturating_duration_since(Instant::now())) {
                Ok(span) => batch.push(span),
                Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => break,
            }
        }
        let body = enveloped(&collector.service, batch).to_string();
        let post = agent.post(&collector.url).header("Content-Type", "application/json");
        let post =
            collector.headers.iter().fold(post, |post, (name, value)| post.header(name, value));
        if let Err(error) = post.send(body) {
            tracing::warn!(%error, "the collector of traces took none");
        }
    }
}

fn enveloped(service: &str, spans: Vec<Value>) -> Value {
    let text = |key: &str, text: &str| json!({"key": key, "value": {"stringValue": text}});
    let version = env!("CARGO_PKG_VERSION");
    json!({"resourceSpans": [{
        "resource": {"attributes": [text("service.name", service), text("service.version", version)]},
        "scopeSpans": [{"scope": {"name": "weighhouse", "version": version}, "spans": spans}],
    }]})
}
