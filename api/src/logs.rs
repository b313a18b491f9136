//! What the process says of its work: lines on standard error, and spans for a collector.

mod spans;

use crate::config::{self, Collector};
use std::io::{self, IsTerminal as _};
use tracing_subscriber::{
    Layer as _, filter::LevelFilter, layer::SubscriberExt as _, util::SubscriberInitExt as _,
};

/// Begins to say it, as the environment asks; a second call changes nothing.
pub fn begin() {
    let lines = tracing_subscriber::fmt::layer()
        .with_writer(io::stderr)
        .with_ansi(io::stderr().is_terminal());
    let lines = if config::log_as_json() {
        lines.json().flatten_event(true).with_span_list(false).boxed()
    } else {
        lines.boxed()
    };
    let lines = lines.with_filter(LevelFilter::from_level(config::log_level()));
    let spans = config::collector()
        .map(|collector: Collector| spans::Spans::to(collector).with_filter(LevelFilter::INFO));
    // Whoever set a subscriber before keeps it.
    let _ = tracing_subscriber::registry().with(lines).with(spans).try_init();
}
