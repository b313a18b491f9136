//! Running it: databases that go away, disks that fill, clocks that step back, and what whoever
//! runs it can see.

mod away;
mod backup;
mod disk;
mod logs;
mod measures;
mod moments;
mod partitions;
mod soak;
mod stopping;

use serde_json::{Value, json};

/// An order of one line for Saturday 13 June 2026.
fn order(name: &str) -> Value {
    json!({
        "order_ref": name, "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-13", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 6}],
    })
}
