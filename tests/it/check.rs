//! `POST /v1/orders/check`: what binds, that nothing is kept, and that it keeps its word.

mod agrees;
mod bounds;
mod unchanged;

use anyhow::{Context, Result, ensure};
use serde_json::Value;

/// Fails unless two values are equal, and shows both with what they are of.
fn equal(found: &Value, expected: &Value, of: &Value) -> Result<()> {
    ensure!(found == expected, "expected {expected}, found {found} in {of}");
    Ok(())
}

/// The line of a name in an answer.
fn line<'a>(answer: &'a Value, line_ref: &str) -> Result<&'a Value> {
    let lines = answer["lines"].as_array().context("a list of lines")?;
    let found = lines.iter().find(|line| line["line_ref"] == line_ref);
    found.with_context(|| format!("no line {line_ref}: {answer}"))
}
