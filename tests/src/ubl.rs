//! Electronic orders against the published schemas.
//!
//! # Source
//! OASIS Universal Business Language 2.1, as the package that `.ci/run` names carries it.

use crate::source;
use anyhow::{Context, Result, bail};
use std::{fs, process::Command};

/// Where `.ci/run` lays the schemas.
const SCHEMA: &str = "target/ubl-2.1/maindoc/UBL-Order-2.1.xsd";

/// What the schema says against a document; empty if nothing.
///
/// # Errors
/// The schemas or the validator are not there.
pub fn against_schema(name: &str, document: &str) -> Result<String> {
    let schema = source::root().join(SCHEMA);
    if !schema.exists() {
        bail!("{SCHEMA} is missing: `bash .ci/run` fetches the schemas once");
    }
    let path = std::env::temp_dir().join(format!("weighhouse-{}-{name}.xml", std::process::id()));
    fs::write(&path, document)?;
    let outcome = Command::new("xmllint")
        .args(["--noout", "--nonet", "--schema"])
        .arg(&schema)
        .arg(&path)
        .output()
        .context("xmllint is missing: install libxml2-utils");
    let _ = fs::remove_file(&path);
    let outcome = outcome?;
    if outcome.status.success() {
        return Ok(String::new());
    }
    Ok(String::from_utf8_lossy(&outcome.stderr).into_owned())
}

/// The texts of all elements of a name, in order.
#[must_use]
pub fn texts<'a>(document: &'a str, name: &str) -> Vec<&'a str> {
    let (open, close) = (format!("<{name}"), format!("</{name}>"));
    let mut found = Vec::new();
    let mut rest = document;
    while let Some(at) = rest.find(&open) {
        rest = &rest[at + open.len()..];
        // The name must end here, or another element only begins alike.
        if !rest.starts_with(['>', ' ']) {
            continue;
        }
        let Some((_, inside)) = rest.split_once('>') else { break };
        let Some((text, after)) = inside.split_once(&close) else { break };
        found.push(text);
        rest = after;
    }
    found
}
