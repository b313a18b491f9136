//! The published document: what is committed is what is served, and it says what it means.

mod baseline;

use crate::contract::under;
use anyhow::{Context, Result, bail};
use serde_json::Value;
use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
};
use weighhouse_tests::{server::Server, source};

const NOW: &str = "2026-06-10T09:30:00+02:00";

/// The document in `openapi/`.
fn document() -> Result<Value> {
    let path = source::root().join("openapi").join("weighhouse.json");
    let text = fs::read_to_string(&path).with_context(|| path.display().to_string())?;
    Ok(serde_json::from_str(&text)?)
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
    let committed = document()?;
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
    let document = document()?;
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

#[test]
fn every_reference_leads_to_a_shape() -> Result<()> {
    let document = document()?;
    let mut found = Vec::new();
    under(&document, "$ref", &mut found);
    assert!(found.len() > 100, "only {} references were found", found.len());
    let nowhere = |path: &&&str| document.pointer(path.trim_start_matches('#')).is_none();
    let lost: Vec<_> = found.iter().filter(nowhere).collect();
    assert!(lost.is_empty(), "no reader of the document can follow {lost:?}");
    Ok(())
}

/// Types that the document shows, by name, with the files that they stand in.
fn shown(sources: &[source::Source]) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for source in sources.iter().filter(|source| source.path.starts_with("api/src/")) {
        let code = source.code();
        for derived in code.split("#[derive(").skip(1) {
            let Some((traits, after)) = derived.split_once(")]") else { continue };
            let mut words = after.split_whitespace();
            let keyword = words.find(|word| ["struct", "enum", "fn"].contains(word));
            let name = words.next().filter(|_| keyword.is_some_and(|word| word != "fn"));
            if let Some(name) = name.filter(|_| traits.contains("ToSchema")) {
                let name = name.split(['<', '(', '{', ';']).next().unwrap_or(name);
                found.entry(name.to_owned()).or_default().push(source.path.clone());
            }
        }
    }
    found
}

#[test]
fn no_two_shapes_share_a_name() -> Result<()> {
    let shown = shown(&source::texts()?);
    assert!(shown.len() > 100, "only {} shapes were found", shown.len());
    let twice: Vec<_> = shown.iter().filter(|(_, files)| files.len() > 1).collect();
    assert!(twice.is_empty(), "the document would show one of them for both: {twice:?}");
    Ok(())
}
