//! Bad input: a clear problem that names the place, and nothing stored.

use super::{SERVICE_DATE, order};
use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    client::{Client, Reply},
    demo,
    server::Server,
};

/// One bad document: the demo's with something changed.
struct Bad {
    what: &'static str,
    document: Value,
    /// The problem's kind.
    slug: &'static str,
    /// The place of its first error; a fault of a whole record may name a part of it.
    place: String,
    /// What the words must name.
    names: Vec<&'static str>,
}

/// Builds bad documents from a good one.
struct Spoiler {
    good: Value,
    bad: Vec<Bad>,
}

impl Spoiler {
    fn new() -> Result<Self> {
        Ok(Self { good: demo::document("bakery")?, bad: Vec::new() })
    }

    /// The place of a record, by its list and code.
    fn record(&self, list: &str, code: &str) -> Result<String> {
        let records = self.good[list].as_array().context("a list")?;
        let at = records.iter().position(|record| record["code"] == code);
        Ok(format!("/{list}/{}", at.with_context(|| format!("no {code} among the {list}"))?))
    }

    /// Another value in one place, which is the place of the fault.
    fn put(
        &mut self,
        what: &'static str,
        place: &str,
        value: Value,
        slug: &'static str,
        names: &[&'static str],
    ) -> Result<()> {
        self.put_at(what, place, value, slug, place, names)
    }

    /// Another value in one place, and the fault in another.
    fn put_at(
        &mut self,
        what: &'static str,
        place: &str,
        value: Value,
        slug: &'static str,
        fault: &str,
        names: &[&'static str],
    ) -> Result<()> {
        let mut document = self.good.clone();
        match document.pointer_mut(place) {
            Some(there) => *there = value,
            None => {
                let (parent, key) = place.rsplit_once('/').context("a place")?;
                let parent = document.pointer_mut(parent).context("no such place")?;
                match parent {
                    Value::Array(list) => list.push(value),
                    Value::Object(map) => {
                        map.insert(key.to_owned(), value);
                    }
                    _ => bail!("{place} cannot be put"),
                }
            }
        }
        let names = names.to_vec();
        self.bad.push(Bad { what, document, slug, place: fault.to_owned(), names });
        Ok(())
    }

    /// The good document with formulas at the end of their list.
    fn formulas(
        &mut self,
        what: &'static str,
        formulas: &[Value],
        slug: &'static str,
        names: &[&'static str],
    ) -> Result<()> {
        let mut document = self.good.clone();
        let list = document["formulas"].as_array_mut().context("formulas")?;
        list.extend_from_slice(formulas);
        let names = names.to_vec();
        self.bad.push(Bad { what, document, slug, place: "/formulas/".to_owned(), names });
        Ok(())
    }
}

/// A formula in parts.
fn parts(code: &str, lines: &[(&str, &str)]) -> Value {
    let line = |&(item, parts): &(&str, &str)| json!({"item": item, "parts": parts});
    let lines: Vec<Value> = lines.iter().map(line).collect();
    json!({"code": code, "base": "parts", "lines": lines, "made": {"day": 0, "time": "02:00"}})
}

fn formulas_that_contradict_themselves(spoiler: &mut Spoiler) -> Result<()> {
    spoiler.formulas(
        "a cycle, its path printed",
        &[
            parts("first-paste", &[("second-paste", "1")]),
            parts("second-paste", &[("third-paste", "1")]),
            parts("third-paste", &[("first-paste", "1"), ("water", "1")]),
        ],
        "formula-cycle",
        &["first-paste", "second-paste", "third-paste"],
    )?;
    let bun = spoiler.record("formulas", "bun")?;
    spoiler.put_at(
        "flours that are not 100, the sum found",
        &format!("{bun}/lines/0/parts"),
        json!("99.98"),
        "flour-sum",
        &bun,
        &["bun", "99.98"],
    )?;
    let overall = json!({
        "code": "dry-loaf", "base": "percent_of_flour", "view": "overall",
        "made": {"day": 0, "time": "02:00"},
        "lines": [
            {"item": "strong-white", "parts": "100", "flour": true},
            {"item": "water", "parts": "20"},
            {"item": "poolish", "prefermented_flour": "30"},
        ],
    });
    spoiler.formulas(
        "less than no water beside the preferment, which is named",
        &[overall],
        "negative-final-mix",
        &["dry-loaf", "water", "poolish"],
    )?;
    let mut deep = vec![parts("level-41", &[("water", "1")])];
    for level in (1..41).rev() {
        let (code, next) = (format!("level-{level}"), format!("level-{}", level + 1));
        deep.push(parts(&code, &[(&next, "1")]));
    }
    spoiler.formulas("41 levels", &deep, "nesting-too-deep", &["level-"])?;
    let pan = json!({
        "code": "big-pan", "base": "per_batch", "dough_class": "custard", "mixer": "custard-pan",
        "makes": {"amount": "20", "unit": "kg"}, "made": {"day": 0, "time": "02:00"},
        "lines": [{"item": "whole-milk", "quantity": {"amount": "20", "unit": "kg"}}],
    });
    spoiler.formulas(
        "a batch over the only mixer's maximum",
        &[pan],
        "over-mixer-maximum",
        &["big-pan", "custard-pan"],
    )
}

fn conversions_that_are_not_known(spoiler: &mut Spoiler) -> Result<()> {
    let product = spoiler.record("products", "fruit-bun")?;
    let line = format!("{product}/make_up/1");
    spoiler.put_at(
        "a volume without density",
        &line,
        json!({"item": "raisins", "quantity": {"amount": "12", "unit": "mL"}}),
        "no-density",
        &line,
        &["raisins"],
    )?;
    let egg = spoiler.record("items", "shell-egg")?;
    let mut document = spoiler.good.clone();
    let item = document.pointer_mut(&egg).and_then(Value::as_object_mut).context("shell-egg")?;
    item.remove("each").context("a weight each")?;
    let place = spoiler.record("formulas", "almond-cream")?;
    spoiler.bad.push(Bad {
        what: "grams from a count without weight each",
        document,
        slug: "no-weight-each",
        place,
        names: vec!["shell-egg"],
    });
    Ok(())
}

fn names_that_nothing_has(spoiler: &mut Spoiler) -> Result<()> {
    let bun = spoiler.record("formulas", "bun")?;
    let bun_line = format!("{bun}/lines/1");
    spoiler.put(
        "an unknown item",
        &format!("{bun_line}/item"),
        json!("whole-silk"),
        "unknown-code",
        &["whole-silk"],
    )?;
    let knot = spoiler.record("products", "lemon-knot")?;
    let amount = format!("{knot}/make_up/0/quantity");
    spoiler.put(
        "an unknown unit",
        &format!("{amount}/unit"),
        json!("lb"),
        "unknown-unit",
        &["lb"],
    )?;
    spoiler.put(
        "an unknown key",
        &format!("{knot}/rejects"),
        json!("1"),
        "unknown-key",
        &["rejects"],
    )?;
    // A typo in a make-up line, which comes in two shapes.
    let line = format!("{knot}/make_up/0");
    spoiler.put_at(
        "an unknown key in a make-up line",
        &format!("{line}/quantty"),
        json!({"amount": "75", "unit": "g"}),
        "unknown-key",
        &line,
        &["quantty"],
    )?;
    let again = spoiler.good.pointer(&knot).context("lemon-knot")?.clone();
    let count = spoiler.good["products"].as_array().map_or(0, Vec::len);
    spoiler.put_at(
        "a duplicate code",
        &format!("/products/{count}"),
        again,
        "duplicate-code",
        &format!("/products/{count}"),
        &["lemon-knot"],
    )?;
    spoiler.put_at(
        "a product that is called as a dough",
        &format!("{knot}/code"),
        json!("bun"),
        "duplicate-code",
        "/products/",
        &["bun"],
    )
}

fn numbers_that_are_none(spoiler: &mut Spoiler) -> Result<()> {
    let bun = spoiler.record("formulas", "bun")?;
    for percent in ["0", "-1"] {
        let place = format!("{bun}/lines/1/parts");
        spoiler.put("a percentage of 0 or less", &place, json!(percent), "out-of-range", &[])?;
    }
    for loss in ["100", "140"] {
        let place = format!("{bun}/losses/0/percent");
        spoiler.put("a loss of 100 or more", &place, json!(loss), "out-of-range", &[])?;
    }
    let knot = spoiler.record("products", "lemon-knot")?;
    let amount = format!("{knot}/make_up/0/quantity/amount");
    spoiler.put_at(
        "a piece of 0 g",
        &amount,
        json!("0"),
        "out-of-range",
        &format!("{knot}/make_up/0"),
        &[],
    )?;
    for (what, text) in [
        ("more digits than a microgram", "75.0000001"),
        ("an exponent", "7.5e1"),
        ("no number", "NaN"),
        ("endless", "Infinity"),
        ("10^30", "1000000000000000000000000000000"),
        ("an empty text", ""),
        ("a decimal comma", "7,5"),
    ] {
        spoiler.put(what, &amount, json!(text), "malformed", &[])?;
    }
    spoiler.put("a number that is no text", &amount, json!(75.5), "invalid-body", &[])?;
    spoiler.put(
        "a date that does not exist",
        "/site/closed_dates",
        json!(["2026-02-30"]),
        "malformed",
        &["2026-02-30"],
    )
}

/// What a caller can see of the bakery.
fn seen(client: &Client) -> Result<(Vec<u8>, Option<String>)> {
    let held = client.get("/v1/bakery")?;
    ensure!(held.status == 200, "{}", held.text());
    Ok((held.body, held.etag))
}

/// What is wrong with a refusal; none if it is as it should be.
fn judge(bad: &Bad, reply: &Reply) -> Result<Option<String>> {
    if !(400..500).contains(&reply.status) {
        return Ok(Some(format!("{}: status {}: {}", bad.what, reply.status, reply.text())));
    }
    let problem = reply.json()?;
    let errors = problem["errors"].as_array();
    let first = errors.and_then(|errors| errors.first());
    let pointer = first.and_then(|error| error["pointer"].as_str()).unwrap_or_default();
    let words = problem.to_string();
    let lacks: Vec<_> = bad.names.iter().filter(|name| !words.contains(**name)).collect();
    let right = reply.is_problem(bad.slug)? && pointer.starts_with(&bad.place) && lacks.is_empty();
    Ok((!right).then(|| {
        format!(
            "{}: wanted {} at {} naming {:?}: {words}",
            bad.what, bad.slug, bad.place, bad.names
        )
    }))
}

#[test]
fn a_bad_bakery_is_refused_whole() -> Result<()> {
    let mut spoiler = Spoiler::new()?;
    formulas_that_contradict_themselves(&mut spoiler)?;
    conversions_that_are_not_known(&mut spoiler)?;
    names_that_nothing_has(&mut spoiler)?;
    numbers_that_are_none(&mut spoiler)?;
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(&spoiler.good)?.success()?;
    let before = seen(client)?;
    let mut wrong = Vec::new();
    for bad in &spoiler.bad {
        let reply = client.put_bakery(&bad.document)?;
        wrong.extend(judge(bad, &reply)?);
        if seen(client)? != before {
            wrong.push(format!("{}: something of it was stored", bad.what));
            client.put_bakery(&spoiler.good)?.success()?;
        }
    }
    ensure!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), spoiler.bad.len(), wrong.join("\n"));
    Ok(())
}

#[test]
fn all_faults_of_a_body_are_told_at_once() -> Result<()> {
    let mut document = demo::document("bakery")?;
    document["formulas"][0]["lines"][1]["item"] = json!("no-such-flour");
    document["products"][0]["reject"] = json!("100");
    let server = Server::start(demo::NOW)?;
    let reply = server.client().put_bakery(&document)?;
    ensure!(reply.status == 422 && reply.is_problem("invalid-bakery")?, "{}", reply.text());
    let problem = reply.json()?;
    let errors = problem["errors"].as_array().context("errors")?;
    let found = |pointer: &str, kind: &str| {
        errors.iter().any(|error| error["pointer"] == pointer && error["kind"] == kind)
    };
    ensure!(found("/formulas/0/lines/1/item", "unknown-code"), "{problem}");
    ensure!(found("/products/0/reject", "out-of-range"), "{problem}");
    ensure!(server.client().get("/v1/bakery")?.status != 200, "a refused bakery is stored");
    Ok(())
}

#[test]
fn a_body_that_cannot_be_read_is_refused() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    let bakery = demo::document("bakery")?;
    client.put_bakery(&bakery)?.success()?;
    let before = seen(client)?;
    let etag = before.1.clone().context("the bakery has an entity tag")?;
    let trailing = format!("{bakery} and more");
    for text in ["", "{", "bakery", &trailing, "\u{0}"] {
        let reply = client.put_text("/v1/bakery", text.as_bytes(), Some(&etag))?;
        ensure!(reply.status == 400 && reply.is_problem("not-json")?, "{}", reply.text());
        let text = text.replace(&bakery.to_string(), &order(1, 6).to_string());
        let reply = client.post_text("/v1/orders", text.as_bytes(), "an-unreadable-order")?;
        ensure!(reply.status == 400 && reply.is_problem("not-json")?, "{}", reply.text());
    }
    // One byte over the most that an order may have: two mebibytes.
    let most = 2 * 1024 * 1024;
    let shell = "{\"order_ref\": \"\"}".len();
    let large = format!("{{\"order_ref\": \"{}\"}}", "a".repeat(most + 1 - shell));
    let reply = client.post_text("/v1/orders", large.as_bytes(), "a-large-order")?;
    ensure!(reply.status == 413 && reply.is_problem("body-too-large")?, "{}", reply.text());
    // A problem does not send back what it was sent.
    let reply = client.post_text("/v1/orders", &large.as_bytes()[1..], "a-long-text")?;
    ensure!((400..500).contains(&reply.status), "status {}", reply.status);
    let long = format!("{{\"site\": \"{}\"}}", "a".repeat(1_000_000));
    let reply = client.put_text("/v1/bakery", long.as_bytes(), Some(&etag))?;
    ensure!((400..500).contains(&reply.status), "status {}", reply.status);
    ensure!(reply.body.len() < 10_000, "a problem of {} bytes", reply.body.len());
    // Brackets inside brackets do not bring it down.
    let reply = client.put_text("/v1/bakery", "[".repeat(500_000).as_bytes(), Some(&etag))?;
    ensure!((400..500).contains(&reply.status), "{}", reply.text());
    ensure!(seen(client)? == before, "something was stored");
    Ok(())
}

#[test]
fn a_lost_update_is_refused() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    let bakery = demo::document("bakery")?;
    client.put_bakery(&bakery)?.success()?;
    let before = seen(client)?;
    let mut renamed = bakery.clone();
    renamed["site"]["name"] = json!("Another yard");
    let blind = client.put("/v1/bakery", &renamed, None)?;
    ensure!(blind.status == 428 && blind.is_problem("precondition-required")?, "{}", blind.text());
    let stale = client.put("/v1/bakery", &renamed, Some("\"no-such-state\""))?;
    ensure!(stale.status == 412 && stale.is_problem("precondition-failed")?, "{}", stale.text());
    ensure!(seen(client)? == before, "something was stored");
    // Loading twice changes nothing.
    client.put_bakery(&bakery)?.success()?;
    ensure!(seen(client)? == before, "loading twice changed something");
    Ok(())
}

#[test]
fn a_bad_order_line_costs_no_good_one() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    let mut mixed = order(1, 6);
    mixed["lines"] = json!([
        {"line_ref": "1", "product": "sugar-bun", "quantity": 6},
        {"line_ref": "2", "product": "fruit-bun", "quantity": -3},
        {"line_ref": "3", "product": "lemon-knot", "quantity": 2.5},
        {"line_ref": "4", "product": "moon-bun", "quantity": 1},
        {"line_ref": "5", "product": "custard-bun", "quantity": 0},
    ]);
    let taken = client.post_order(&mixed)?.success()?;
    let lines = taken["lines"].as_array().context("lines")?;
    let said: Vec<_> =
        lines.iter().map(|line| (line["state"].clone(), line["reason"].clone())).collect();
    let expected = [
        (json!("taken"), Value::Null),
        (json!("refused"), json!("negative-quantity")),
        (json!("refused"), json!("fractional-quantity")),
        (json!("refused"), json!("unknown-product")),
        (json!("cancelled"), Value::Null),
    ];
    ensure!(said == expected, "{taken}");
    ensure!(taken["state"] == "part-taken", "{taken}");
    let answer = client.requirements(SERVICE_DATE)?;
    let pieces = answer["pieces"].as_array().context("pieces")?;
    ensure!(pieces.len() == 1 && pieces[0]["ordered"] == 6, "{pieces:?}");
    // Nothing left: the order is cancelled, which is no error.
    client.post_order(&order(2, 0))?.success()?;
    let answer = client.requirements(SERVICE_DATE)?;
    ensure!(answer["batches"].as_array().is_some_and(Vec::is_empty), "{answer}");
    Ok(())
}

#[test]
fn an_order_for_a_day_that_does_not_exist_is_refused() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let client = server.client();
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    let revision = client.requirements(SERVICE_DATE)?["plan_revision"].clone();
    for (key, value) in [
        ("service_date", json!("2026-02-30")),
        ("service_date", json!("12 June")),
        ("drop", json!("25:00")),
        ("customer", json!("nobody-we-know")),
        ("version", json!(0)),
    ] {
        let mut bad = order(1, 6);
        bad[key] = value.clone();
        let reply = client.post_order(&bad)?;
        ensure!((400..500).contains(&reply.status), "{key} {value}: {}", reply.text());
        let problem = reply.json()?;
        let pointer = &problem["errors"][0]["pointer"];
        ensure!(*pointer == format!("/{key}"), "{key} {value}: {problem}");
    }
    let mut typo = order(1, 6);
    typo["lines"][0]["quantty"] = json!(6);
    let reply = client.post_order(&typo)?;
    ensure!(reply.is_problem("unknown-key")?, "{}", reply.text());
    for path in [
        "/v1/service-dates/2026-02-30/requirements",
        "/v1/work-dates/2026-13-01/weigh-out",
        "/v1/shortages?until=tomorrow",
    ] {
        let reply = client.get(path)?;
        ensure!((400..500).contains(&reply.status), "{path}: {}", reply.text());
        reply.json().context(path)?;
    }
    ensure!(client.get("/v1/orders/till-1-000001")?.status == 404, "an order was stored");
    ensure!(client.requirements(SERVICE_DATE)?["plan_revision"] == revision, "the plan changed");
    Ok(())
}
