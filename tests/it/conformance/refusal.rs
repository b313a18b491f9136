//! Bakeries that the rules refuse: the refusal must name the same fault.

use super::tally::{Tally, amount};
use anyhow::{Result, bail};
use serde_json::Value;
use weighhouse_tests::{exact, scenario::Scenario, server::Server};

/// Which words of a reason ask for which kind of problem.
const KINDS: [(&[&str], &str); 9] = [
    (&["cycle"], "formula-cycle"),
    (&["density"], "no-density"),
    (&["negative"], "negative-final-mix"),
    (&["batch", "gram"], "no-batch-mass"),
    (&["weight each"], "no-weight-each"),
    (&["each"], "no-weight-each"),
    (&["flour"], "flour-sum"),
    (&["unknown", "unit"], "unknown-unit"),
    (&["unknown"], "unknown-code"),
];

/// Puts the bakery and compares how it is refused.
///
/// # Errors
/// The reason is of no known kind, or the server does not answer.
pub fn compare(scenario: &Scenario, reason: &Value, tally: &mut Tally) -> Result<()> {
    let now = scenario.horizons.first().map_or("2026-01-01T00:00:00Z", |horizon| &horizon.now);
    let server = Server::start(now)?;
    let reply = server.client().put_bakery(&scenario.bakery)?;
    let refused = (400..500).contains(&reply.status);
    tally.figure("refusals", refused, || {
        format!("expected a refusal ({reason}), found status {}", reply.status)
    });
    let problem = reply.json()?;
    let kind = kind(reason)?;
    tally.figure("refusals", has_kind(&problem, kind), || {
        format!("expected a problem of kind {kind} ({reason}), found {problem}")
    });
    let words = problem.to_string();
    for name in named(reason, scenario) {
        let code = scenario.codes.known(&name)?;
        tally.figure("refusals", words.contains(code), || {
            format!("expected a problem that names {code}, found {problem}")
        });
    }
    if kind == "flour-sum" {
        for sum in numbers(reason) {
            let found = numbers(&problem).contains(&sum);
            tally.figure("refusals", found, || {
                format!("expected the sum {} in {problem}", exact::decimal(&sum, 6))
            });
        }
    }
    Ok(())
}

fn kind(reason: &Value) -> Result<&'static str> {
    let words = reason.to_string().to_lowercase();
    for (wanted, slug) in KINDS {
        if wanted.iter().all(|word| words.contains(word)) {
            return Ok(slug);
        }
    }
    bail!("the refusal {reason} is of no known kind")
}

/// Whether the problem, or one fault of several, is of a kind.
fn has_kind(problem: &Value, kind: &str) -> bool {
    let typed =
        |value: &Value| value.as_str().is_some_and(|text| text.ends_with(&format!("/{kind}")));
    let listed = problem["errors"].as_array().into_iter().flatten();
    typed(&problem["type"]) || listed.into_iter().any(|fault| fault["kind"] == kind)
}

/// The formulas and ingredients that a reason names, in whatever form it is.
fn named(reason: &Value, scenario: &Scenario) -> Vec<String> {
    let mut words = Vec::new();
    collect(reason, &mut words);
    let is_name =
        |word: &&str| scenario.formulas.contains(*word) || scenario.ingredients.contains(*word);
    let separate = |c: char| c.is_whitespace() || ",:;>'\"`()[]".contains(c);
    let split = words.iter().flat_map(|text| text.split(separate));
    let mut names: Vec<String> = split.filter(is_name).map(str::to_owned).collect();
    names.sort();
    names.dedup();
    names
}

fn collect(value: &Value, words: &mut Vec<String>) {
    match value {
        Value::String(text) => words.push(text.clone()),
        Value::Array(elements) => elements.iter().for_each(|element| collect(element, words)),
        Value::Object(map) => map.values().for_each(|element| collect(element, words)),
        Value::Number(number) => words.push(number.to_string()),
        Value::Null | Value::Bool(_) => {}
    }
}

/// Every decimal number in a document's texts.
fn numbers(value: &Value) -> Vec<num_rational::BigRational> {
    if let Ok(number) = amount(value, "a number") {
        return vec![number];
    }
    let mut words = Vec::new();
    collect(value, &mut words);
    let separate = |c: char| !(c.is_ascii_digit() || ".-/".contains(c));
    let split = words.iter().flat_map(|text| text.split(separate));
    split.filter_map(|word| exact::parse(word.trim_end_matches('.')).ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn the_kind_of_a_refusal_is_read_from_its_words() {
        for (reason, slug) in [
            (json!("cycle: cream -> custard -> cream"), "formula-cycle"),
            (json!({"reason": "flour sum", "sum": "98.5"}), "flour-sum"),
            (json!("no density: milk"), "no-density"),
            (json!("per-batch formula demanded in grams: custard"), "no-batch-mass"),
        ] {
            assert_eq!(kind(&reason).expect("a known kind"), slug, "{reason}");
        }
        assert!(kind(&json!("rain")).is_err());
        assert_eq!(
            numbers(&json!("flours sum to 98.5 of 100")),
            [exact::parse("98.5").expect("a number"), exact::whole(100)]
        );
    }

    #[test]
    fn a_problem_of_several_faults_shows_each_kind() {
        let problem = json!({"type": "/problems/invalid-bakery",
            "errors": [{"kind": "no-density"}, {"kind": "formula-cycle"}]});
        assert!(has_kind(&problem, "formula-cycle") && !has_kind(&problem, "flour-sum"));
        assert!(has_kind(&json!({"type": "/problems/flour-sum"}), "flour-sum"));
    }
}
