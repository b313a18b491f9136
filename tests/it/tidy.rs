//! Rules about the code itself: arrows between modules, lengths, names, words.
//!
//! # Source
//! The design's list of arrows that must never exist, and the limits of the house style.

use anyhow::{Result, bail};
use std::collections::BTreeSet;
use weighhouse_tests::source::{self, Source};

/// Longest file, without its test module.
const FILE_LINES_MAX: usize = 500;
/// Longest function, from its name to its closing brace.
const FUNCTION_LINES_MAX: usize = 70;

/// Fails with every finding, and what to do about it.
fn none(findings: Vec<String>, advice: &str) -> Result<()> {
    if findings.is_empty() {
        return Ok(());
    }
    bail!("{}\n{advice}", findings.join("\n"))
}

fn rust() -> Result<Vec<Source>> {
    let sources: Vec<Source> = source::texts()?.into_iter().filter(Source::is_rust).collect();
    if sources.len() < 10 {
        bail!("only {} Rust files were found: the walk looks in the wrong place", sources.len());
    }
    Ok(sources)
}

/// Whether a path is the named module or crate, or lies in it.
fn lies_in(path: &str, module: &str) -> bool {
    path.strip_prefix(module).is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
}

/// Whether a path goes into a crate of which the name is known from its start.
fn goes_to_crate(path: &str, name: &str) -> bool {
    path.split("::").next().is_some_and(|first| first.starts_with(name)) && path.contains("::")
}

/// The computations of the domain; only `plan` composes them.
const COMPUTATIONS: [&str; 17] = [
    "demand",
    "expand",
    "split",
    "schedule",
    "timetable",
    "net",
    "weigh",
    "pick",
    "purchase",
    "share",
    "allergens",
    "label",
    "cost",
    "nutrition",
    "water",
    "ferment",
    "trace",
];

/// Why a path must not be named in a file, if it must not.
fn forbidden(source: &Source, path: &str) -> Option<&'static str> {
    let module = source.module();
    let inside = |name: &str| module.first() == Some(&name);
    if source.path.starts_with("domain/src/") {
        let outside = ["diesel", "actix", "utoipa", "serde", "tokio", "weighhouse"];
        if outside.iter().any(|name| goes_to_crate(path, name)) {
            return Some("domain is pure computation");
        }
        let own = COMPUTATIONS.iter().find(|name| inside(name))?;
        let sibling = |name: &&&str| *name != own && lies_in(path, &format!("crate::{name}"));
        if COMPUTATIONS.iter().find(sibling).is_some() || lies_in(path, "crate::plan") {
            return Some("siblings know only vocabulary; only plan composes them");
        }
        return None;
    }
    if !source.path.starts_with("api/src/") {
        return None;
    }
    let into = |names: &[&str]| names.iter().any(|name| lies_in(path, &format!("crate::{name}")));
    if inside("store") && into(&["service", "routes", "wire", "problem"]) {
        return Some("the store knows nothing above it");
    }
    let web = goes_to_crate(path, "actix") || goes_to_crate(path, "utoipa");
    if inside("service") && (web || into(&["wire"])) {
        return Some("services know nothing of HTTP");
    }
    if inside("routes") && (goes_to_crate(path, "diesel") || into(&["schema", "store::schema"])) {
        return Some("routes know no SQL");
    }
    if inside("routes") && module.len() > 1 && into(&["routes"]) {
        let own = format!("crate::routes::{}", module[1]);
        return (!lies_in(path, &own)).then_some("routes do not know each other");
    }
    (inside("wire") && into(&["store"])).then_some("wire shapes know no rows")
}

#[test]
fn arrows_that_must_never_exist_do_not() -> Result<()> {
    let mut findings = Vec::new();
    for source in rust()? {
        for path in source.paths() {
            if let Some(reason) = forbidden(&source, &path) {
                findings.push(format!("{} names `{path}`: {reason}", source.path));
            }
        }
    }
    none(findings, "move the code, or pass in what it needs")
}

#[test]
fn an_arrow_would_be_found() {
    let text = |path: &str, text: &str| Source { path: path.to_owned(), text: text.to_owned() };
    for (path, code) in [
        ("domain/src/net.rs", "use crate::expand::Needs;"),
        ("domain/src/net/lots.rs", "use crate::plan::Plan;"),
        ("domain/src/item.rs", "use serde::Serialize;"),
        ("domain/src/item.rs", "#[derive(serde::Serialize)] struct A;"),
        ("api/src/store/lots.rs", "use crate::{routes, money::Money};"),
        ("api/src/store/lots.rs", "use super::super::wire::LotView;"),
        ("api/src/service/plan.rs", "use actix_web::web;"),
        ("api/src/routes/lots.rs", "use diesel::prelude::*;"),
        ("api/src/routes/lots.rs", "use super::orders::take;"),
        ("api/src/wire/lot.rs", "use crate::store::lots::LotRow;"),
    ] {
        let source = text(path, code);
        let found = source.paths().iter().any(|path| forbidden(&source, path).is_some());
        assert!(found, "{path}: {code}: {:?}", source.paths());
    }
    let fine = text("api/src/routes/lots.rs", "use crate::{state::State, routes::lots::x};");
    assert!(fine.paths().iter().all(|path| forbidden(&fine, path).is_none()));
    let plan = text("domain/src/plan.rs", "use crate::{net::net, weigh::weigh};");
    assert!(plan.paths().iter().all(|path| forbidden(&plan, path).is_none()));
}

/// The enum over both kinds of connection, and its variants.
fn connections(sources: &[Source]) -> Vec<(String, Vec<String>)> {
    let mut found = Vec::new();
    for source in sources.iter().filter(|source| source.path.starts_with("api/")) {
        let code = source.code();
        for (at, _) in code.match_indices("MultiConnection") {
            let Some((_, after)) = code[at..].split_once("enum ") else { continue };
            let Some((name, body)) = after.split_once('{') else { continue };
            let body = body.split('}').next().unwrap_or_default();
            let variants = body.split(',').filter_map(|variant| variant.split('(').next());
            let variants = variants.map(|name| name.trim().to_owned()).filter(|v| !v.is_empty());
            found.push((name.trim().to_owned(), variants.collect()));
        }
    }
    found
}

#[test]
fn only_the_dialect_asks_which_database_it_is() -> Result<()> {
    let allowed = ["api/src/store.rs", "api/src/store/dialect.rs", "api/src/store/migrate.rs"];
    let sources = rust()?;
    let connections = connections(&sources);
    if connections.is_empty() {
        bail!("no MultiConnection enum was found in api: the check has nothing to look for");
    }
    let mut findings = Vec::new();
    for source in sources.iter().filter(|source| source.path.starts_with("api/src/")) {
        let dialect = source.path.starts_with("api/src/store/dialect/");
        if dialect || allowed.contains(&source.path.as_str()) {
            continue;
        }
        for path in source.paths() {
            let names_variant = connections.iter().any(|(name, variants)| {
                variants.iter().any(|variant| path.ends_with(&format!("{name}::{variant}")))
            });
            if names_variant {
                findings.push(format!("{} names `{path}`", source.path));
            }
        }
    }
    none(findings, "write one query body for both, or put the difference into store/dialect.rs")
}

#[test]
fn files_and_functions_are_short() -> Result<()> {
    let mut findings = Vec::new();
    for source in rust()? {
        let lines = source.code_without_tests().lines().count();
        if lines >= FILE_LINES_MAX {
            findings.push(format!("{}: {lines} lines without tests", source.path));
        }
        for (name, first, lines) in source::functions(&source.code()) {
            if lines > FUNCTION_LINES_MAX {
                findings.push(format!("{}:{first}: fn {name} has {lines} lines", source.path));
            }
        }
    }
    none(findings, "split along the nouns; a file stays below 500 lines, a function within 70")
}

#[test]
fn every_file_is_part_of_its_crate() -> Result<()> {
    let sources = rust()?;
    let mut findings = Vec::new();
    for source in &sources {
        let module = source.module();
        let Some((own, parents)) = module.split_last() else { continue };
        let Some(folder) = ["/src/", "/it/"].iter().find(|folder| source.path.contains(*folder))
        else {
            continue;
        };
        let krate = source.path.split(folder).next().unwrap_or_default();
        let parent_files: Vec<String> = if parents.is_empty() {
            vec![format!("{krate}{folder}lib.rs"), format!("{krate}{folder}main.rs")]
        } else {
            vec![format!("{krate}{folder}{}.rs", parents.join("/"))]
        };
        let declared = sources.iter().any(|parent| {
            parent_files.contains(&parent.path) && parent.code().contains(&format!("mod {own};"))
        });
        if !declared {
            findings.push(format!("{} is declared nowhere", source.path));
        }
    }
    none(findings, "add `mod`, in the style foo.rs with folder foo, or delete the file")
}

#[test]
fn names_say_what_is_inside() -> Result<()> {
    let empty = [
        "util", "utils", "helper", "helpers", "common", "manager", "handler", "handlers", "impl",
        "types", "misc", "mod",
    ];
    let named = |source: &Source| source.module().iter().any(|name| empty.contains(name));
    let findings = rust()?.into_iter().filter(named).map(|source| source.path).collect();
    none(findings, "name the file after the thing or the computation in it")
}

/// Words that have no place in what is committed, in pieces so that this file passes.
fn banned_words() -> Vec<String> {
    [
        ["/wo", "rk/"],
        ["/tm", "p/"],
        ["/ho", "me/"],
        ["/ro", "ot/"],
        ["TO", "DO"],
        ["FIX", "ME"],
        ["oracle ", "model"],
        ["far", "m-"],
    ]
    .iter()
    .map(|pieces| pieces.concat())
    .collect()
}

#[test]
fn no_machine_path_and_no_loose_end_is_committed() -> Result<()> {
    let words = banned_words();
    let mut findings = Vec::new();
    for source in source::texts()? {
        for (number, line) in source.text.lines().enumerate() {
            for word in words.iter().filter(|word| line.contains(word.as_str())) {
                findings.push(format!("{}:{}: {word}", source.path, number + 1));
            }
        }
    }
    none(findings, "say it without the machine, or finish it")
}

#[test]
fn no_binary_float_and_no_second_clock() -> Result<()> {
    // What the solver says is a candidate, and its floats never leave its file.
    let solver = "domain/src/share/solver.rs";
    let clocks = ["SystemTime::now", "Timestamp::now", "Zoned::now", "Uuid::now_v7"];
    let mut findings = Vec::new();
    for source in rust()? {
        let ours = ["domain/src/", "api/src/"].iter().any(|folder| source.path.starts_with(folder));
        if !ours {
            continue;
        }
        for path in source.paths() {
            let float = path.split("::").any(|part| ["f32", "f64"].contains(&part));
            if float && source.path != solver {
                findings.push(format!("{} names `{path}`", source.path));
            }
            let is_clock = clocks.iter().any(|clock| path.ends_with(clock));
            if is_clock && source.path != "api/src/clock.rs" {
                findings.push(format!("{} asks `{path}`", source.path));
            }
        }
    }
    none(findings, "numbers are exact, and only api/src/clock.rs knows what time it is")
}

/// The names in a table of a Cargo manifest.
fn dependencies<'a>(manifest: &'a str, table: &str) -> BTreeSet<&'a str> {
    let mut names = BTreeSet::new();
    let mut inside = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            inside = line.trim() == table;
        } else if inside && let Some((name, _)) = line.split_once(['=', '.']) {
            names.insert(name.trim());
        }
    }
    names
}

#[test]
fn the_domain_depends_on_arithmetic_and_calendars_alone() -> Result<()> {
    let allowed = BTreeSet::from([
        "jiff",
        "microlp",
        "num-bigint",
        "num-integer",
        "num-rational",
        "num-traits",
        "thiserror",
    ]);
    let sources = source::texts()?;
    let manifest = sources.iter().find(|source| source.path == "domain/Cargo.toml");
    let Some(manifest) = manifest else { bail!("there is no domain/Cargo.toml") };
    let names = dependencies(&manifest.text, "[dependencies]");
    if names.is_empty() {
        bail!("no dependencies were found in domain/Cargo.toml: the check reads it wrongly");
    }
    let findings = names.difference(&allowed).map(|name| format!("domain depends on {name}"));
    none(findings.collect(), "domain has no clock, no storage, no network and no formats")
}

#[test]
fn the_top_level_is_the_plan_of_the_house() -> Result<()> {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "api",
        "domain",
        "paper",
        "migrations",
        "tests",
        "openapi",
        "demo-data",
        "deploy",
        "fuzz",
        ".ci",
        ".cargo",
        "clippy.toml",
        "deny.toml",
        "rustfmt.toml",
        ".gitignore",
        ".git",
        "target",
    ];
    let mut findings = Vec::new();
    for entry in std::fs::read_dir(source::root())? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        if !allowed.contains(&name.as_str()) && !name.starts_with("LICENSE") {
            findings.push(format!("{name} at the top level"));
        }
    }
    none(findings, "everything has its folder; see DEVELOPERS.md")
}
