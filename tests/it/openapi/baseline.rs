//! A later change cannot silently break `/v1`: the document is held against what was published,
//! in `openapi/v1-baseline.txt`.
//!
//! What is new needs nothing. Once it is published too, write the baseline anew:
//! `cargo test -p weighhouse-tests --test it -- --ignored publish_v1`.

use super::document;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::{fs, path::PathBuf};
use weighhouse_tests::{
    compatible::{Promises, breaks},
    source,
};

fn file() -> PathBuf {
    source::root().join("openapi").join("v1-baseline.txt")
}

#[test]
fn the_document_keeps_what_the_published_one_promised() -> Result<()> {
    let published = Promises::read(&fs::read_to_string(file())?);
    let broken = breaks(&published, &Promises::of(&document()?));
    ensure!(
        broken.is_empty(),
        "{}\nwhoever was written against /v1 breaks: keep the old beside the new, or begin /v2",
        broken.join("\n")
    );
    Ok(())
}

#[test]
#[ignore = "publishes: it writes what the document promises into the baseline"]
fn publish_v1() -> Result<()> {
    Ok(fs::write(file(), Promises::of(&document()?).to_string())?)
}

#[test]
fn the_text_holds_all_that_the_document_promises() -> Result<()> {
    let promises = Promises::of(&document()?);
    let text = promises.to_string();
    ensure!(Promises::read(&text) == promises, "what was read back is something else");
    for line in [
        "POST /v1/orders: named take_order\n",
        "sent OrderBody > .customer: must be given, takes string\n",
        "given NoticeView > .shortage: may be NoticeShortageView, may be null\n",
        "given NoticeKind > one of > late-order\n",
        "sent OversBody > either pieces and policy fixed > .pieces: must be given, takes integer\n",
    ] {
        ensure!(text.contains(line), "{line} is not in\n{text}");
    }
    Ok(())
}

/// The document with something changed at a JSON Pointer: set, or removed by null.
fn changed(pointer: &str, value: Value) -> Result<Promises> {
    let mut document = document()?;
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
    Ok(Promises::of(&document))
}

#[test]
fn every_kind_of_break_is_found() -> Result<()> {
    let baseline = Promises::of(&document()?);
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
        ("a list that is closed", &format!("{order}/properties/drop/enum"), json!(["07:00"])),
        (
            "what a list holds",
            &format!("{order}/properties/lines/items/$ref"),
            json!("#/components/schemas/OrderBody"),
        ),
        ("the body", "/paths/~1v1~1orders/post/requestBody", Value::Null),
        ("a shape that another holds whole", "/components/schemas/HoldView/allOf", json!([])),
        ("a variant", "/components/schemas/OversBody/oneOf", json!([])),
    ] {
        let found = breaks(&baseline, &changed(pointer, value)?);
        ensure!(!found.is_empty(), "{what} at {pointer} is not found");
    }
    Ok(())
}

#[test]
fn what_is_only_new_breaks_nothing() -> Result<()> {
    let baseline = Promises::of(&document()?);
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
        ("/components/schemas/NoticeKind/enum", Value::Null),
        ("/components/schemas/OrderBody/properties/drop/type", json!(["string", "null"])),
    ] {
        let found = breaks(&baseline, &changed(pointer, value)?);
        ensure!(found.is_empty(), "{pointer}: {found:?}");
    }
    Ok(())
}
