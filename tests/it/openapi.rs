//! The published document: what is committed is what is served, and it says what it means.

use anyhow::{Context, Result, bail};
use serde_json::Value;
use std::{collections::BTreeSet, fs};
use weighhouse_tests::{server::Server, source};

const NOW: &str = "2026-06-10T09:30:00+02:00";

/// The document in `openapi/`: the only JSON file there.
fn committed() -> Result<String> {
    let folder = source::root().join("openapi");
    let mut documents = Vec::new();
    for entry in fs::read_dir(&folder).context("there is no openapi folder")? {
        let path = entry?.path();
        if path.extension().is_some_and(|extension| extension == "json") {
            documents.push(fs::read_to_string(path)?);
        }
    }
    let [document] = documents.as_slice() else {
        bail!("openapi/ holds {} documents: there is one", documents.len());
    };
    Ok(document.clone())
}

/// Every operation of a document, with its path and method.
fn operations(document: &Value) -> Vec<(String, &Value)> {
    let methods = ["get", "put", "post", "patch", "delete"];
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().into_iter().flatten() {
        for method in methods {
            if let Some(operation) = item.get(method) {
                found.push((format!("{} {path}", method.to_uppercase()), operation));
            }
        }
    }
    found
}

#[test]
fn the_committed_document_is_the_served_one() -> Result<()> {
    let server = Server::start(NOW)?;
    let served = server.client().get("/openapi.json")?.success()?;
    let committed: Value = serde_json::from_str(&committed()?)?;
    if served == committed {
        return Ok(());
    }
    let paths = |document: &Value| {
        operations(document).into_iter().map(|(name, _)| name).collect::<BTreeSet<_>>()
    };
    let (served, committed) = (paths(&served), paths(&committed));
    let difference: Vec<_> = served.symmetric_difference(&committed).collect();
    bail!(
        "openapi/ and /openapi.json differ (operations on one side only: {difference:?}): write \
         the document anew with `cargo run -- openapi`"
    )
}

#[test]
fn every_operation_says_what_it_does() -> Result<()> {
    let document: Value = serde_json::from_str(&committed()?)?;
    let version = document["openapi"].as_str().unwrap_or_default();
    assert!(version.starts_with("3.1."), "the contract names OpenAPI 3.1, found `{version}`");
    let operations = operations(&document);
    assert!(operations.len() >= 20, "only {} operations were found", operations.len());
    let (mut ids, mut findings) = (BTreeSet::new(), Vec::new());
    for (name, operation) in operations {
        for key in ["summary", "description", "operationId"] {
            if operation[key].as_str().is_none_or(|text| text.trim().is_empty()) {
                findings.push(format!("{name} has no {key}"));
            }
        }
        let id = operation["operationId"].as_str().unwrap_or_default();
        if !ids.insert(id.to_owned()) {
            findings.push(format!("{name}: the operationId {id} is used twice"));
        }
        if operation["responses"].as_object().is_none_or(serde_json::Map::is_empty) {
            findings.push(format!("{name} has no responses"));
        }
    }
    assert!(findings.is_empty(), "{}", findings.join("\n"));
    Ok(())
}
