//! A later change cannot silently break `/v1`: the document is held against the one that was
//! published, in `openapi/v1-baseline.json`.
//!
//! What is new needs nothing. Once it is published too, copy `openapi/weighhouse.json` over
//! the baseline.

use super::document;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::compatible::breaks;

#[test]
fn the_document_keeps_what_the_published_one_promised() -> Result<()> {
    let broken = breaks(&document("v1-baseline")?, &document("weighhouse")?);
    ensure!(
        broken.is_empty(),
        "{}\nwhoever was written against /v1 breaks: keep the old beside the new, or begin /v2",
        broken.join("\n")
    );
    Ok(())
}

/// The baseline with something changed at a JSON Pointer: set, or removed by null.
fn changed(pointer: &str, value: Value) -> Result<Value> {
    let mut document = document("v1-baseline")?;
    let (parent, name) = pointer.rsplit_once('/').context("a pointer")?;
    let name = name.replace("~1", "/").replace("~0", "~");
    let parent = document.pointer_mut(parent).with_context(|| format!("no {parent}"))?;
    match (parent, value) {
        (Value::Array(elements), value) => elements.push(value),
        (Value::Object(members), Value::Null) => {
            members.remove(&name).with_context(|| format!("no {pointer}"))?;
        }
        (parent, value) => parent[name] = value,
    }
    Ok(document)
}

#[test]
fn every_kind_of_break_is_found() -> Result<()> {
    let baseline = document("v1-baseline")?;
    ensure!(breaks(&baseline, &baseline).is_empty(), "it is compatible with itself");
    let order = "/components/schemas/OrderBody";
    let view = "/components/schemas/NoticeView";
    let kinds = "/components/schemas/NoticeKind/enum";
    for (what, pointer, value) in [
        ("an operation", "/paths/~1v1~1orders/post", Value::Null),
        ("a path", "/paths/~1v1~1orders", Value::Null),
        ("its id", "/paths/~1v1~1orders/post/operationId", json!("other")),
        ("an answer", "/paths/~1v1~1changes/get/responses/200", Value::Null),
        ("a format", "/paths/~1v1~1shortages/get/responses/200/content/text~1csv", Value::Null),
        ("a parameter", "/paths/~1v1~1changes/get/parameters", Value::Null),
        (
            "a demanded parameter",
            "/paths/~1v1~1changes/get/parameters/-",
            json!({"in": "query", "name": "who", "required": true, "schema": {"type": "string"}}),
        ),
        ("a field that is sent", &format!("{order}/properties/drop"), Value::Null),
        ("a demanded field", &format!("{order}/required/-"), json!("why")),
        ("the type of a field", &format!("{order}/properties/drop/type"), json!("integer")),
        ("a field that is answered", &format!("{view}/properties/words"), Value::Null),
        ("what is always there", &format!("{view}/required"), json!(["kind"])),
        (
            "a type that is answered",
            &format!("{view}/properties/words/type"),
            json!(["string", "null"]),
        ),
        ("words", kinds, json!(["revision"])),
    ] {
        let found = breaks(&baseline, &changed(pointer, value)?);
        ensure!(!found.is_empty(), "{what} at {pointer} is not found");
    }
    Ok(())
}

#[test]
fn what_is_only_new_breaks_nothing() -> Result<()> {
    let baseline = document("v1-baseline")?;
    for (pointer, value) in [
        ("/paths/~1v1~1new", json!({"get": {"operationId": "x"}})),
        (
            "/paths/~1v1~1changes/get/parameters/-",
            json!({"in": "query", "name": "who", "schema": {"type": "string"}}),
        ),
        ("/components/schemas/OrderBody/properties/new", json!({"type": "string"})),
        ("/components/schemas/NoticeView/properties/new", json!({"type": "string"})),
        ("/components/schemas/NoticeView/required/-", json!("shortage")),
        ("/components/schemas/NoticeKind/enum/-", json!("new")),
        ("/components/schemas/OrderBody/properties/drop/type", json!(["string", "null"])),
    ] {
        let found = breaks(&baseline, &changed(pointer, value)?);
        ensure!(found.is_empty(), "{pointer}: {found:?}");
    }
    Ok(())
}
