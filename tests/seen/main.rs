//! Whether the tests that ran before saw the whole contract. Cargo runs the binaries of a
//! package by name: this one comes after `it`.
#![cfg(test)]

use anyhow::{Context, Result, ensure};
use std::{collections::BTreeSet, fs};
use weighhouse::{
    openapi::{self, Operations},
    problem::Kind,
};
use weighhouse_tests::seen;

/// Kinds that no test brings about, each with the reason.
const NOT_SEEN: [(&str, &str); 3] = [
    ("internal", "whatever a test could break on purpose would be mended instead"),
    (
        "order-unsound",
        "every order that can be drafted fits the rules; their own test shows what they find",
    ),
    (
        "store-busy",
        "writers of one test meet by chance; a database that is stopped under load shows it",
    ),
];

#[test]
fn every_operation_and_every_kind_of_problem_was_seen() -> Result<()> {
    let file = seen::file();
    let text = fs::read_to_string(&file).context(
        "nothing was written down: this test follows a whole run of `cargo test -p \
         weighhouse-tests`, without a filter",
    )?;
    // It answers for the run before it and for no later one.
    fs::remove_file(&file)?;
    let lines: BTreeSet<&str> = text.lines().collect();
    let operations = Operations::of(&openapi::document());
    let operations = operations.iter().map(|(_, operation)| format!("operation {}", operation.id));
    let kinds = Kind::ALL.iter().map(|kind| kind.row().0);
    let kinds = kinds.filter(|slug| !NOT_SEEN.iter().any(|(known, _)| known == slug));
    let kinds = kinds.map(|slug| format!("problem {slug}"));
    let missing: Vec<_> =
        operations.chain(kinds).filter(|line| !lines.contains(line.as_str())).collect();
    ensure!(
        missing.is_empty(),
        "no test saw:\n{}\nwrite one that calls the operation with success, or brings the \
         problem about",
        missing.join("\n")
    );
    Ok(())
}
