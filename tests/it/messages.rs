//! The words of pages and sheets: the same in every language, all used, and none in code.

use anyhow::{Result, bail};
use std::collections::{BTreeMap, BTreeSet};
use weighhouse_tests::source::{self, Source};

const LANGUAGES: [&str; 3] = ["en", "de", "fr"];

/// Whether a message begins on a line.
fn begins(line: &str) -> bool {
    line.starts_with(|first: char| first.is_ascii_alphabetic()) && line.contains(" =")
}

/// The messages of a file: name → its arguments.
fn messages(text: &str) -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut last = String::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if begins(line)
            && let Some((name, _)) = line.split_once(" =")
        {
            last = name.to_owned();
            found.entry(last.clone()).or_default();
        }
        let named = line.split('$').skip(1);
        let named = named.map(|rest| {
            rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "-_".contains(*c)).collect()
        });
        if let Some(arguments) = found.get_mut(&last) {
            arguments.extend(named);
        }
    }
    found
}

fn files(sources: &[Source], language: &str) -> BTreeMap<String, String> {
    let folder = format!("api/src/messages/{language}/");
    let of = |source: &Source| {
        let name = source.path.strip_prefix(&folder)?;
        Some((name.to_owned(), source.text.clone()))
    };
    sources.iter().filter_map(of).collect()
}

#[test]
fn every_language_says_the_same() -> Result<()> {
    let sources = source::texts()?;
    let english = files(&sources, "en");
    assert!(english.len() > 1, "the message files were not found");
    let mut findings = Vec::new();
    let mut names = BTreeSet::new();
    for (file, text) in &english {
        let first = messages(text);
        for name in first.keys() {
            if !names.insert(name.clone()) {
                findings.push(format!("{file}: {name} stands in two files"));
            }
        }
        for language in LANGUAGES {
            let others = files(&sources, language);
            let Some(other) = others.get(file) else {
                findings.push(format!("{language}/{file} is missing"));
                continue;
            };
            let other = messages(other);
            for name in first.keys().chain(other.keys()).collect::<BTreeSet<_>>() {
                if first.get(name) != other.get(name) {
                    let found = other.get(name);
                    findings.push(format!("{language}/{file}: {name} has {found:?}"));
                }
            }
        }
    }
    for language in LANGUAGES {
        for (file, text) in files(&sources, language) {
            if !english.contains_key(&file) {
                findings.push(format!("{language}/{file} has no English file"));
            }
            if text.lines().filter(|line| begins(line)).count() != messages(&text).len() {
                findings.push(format!("{language}/{file}: a message stands there twice"));
            }
        }
    }
    assert!(findings.is_empty(), "{}", findings.join("\n"));
    Ok(())
}

fn pages() -> Result<Vec<Source>> {
    let ours = |source: &Source| {
        let folders = ["api/src/pages.rs", "api/src/pages/", "api/src/sheets/"];
        source.is_rust() && folders.iter().any(|folder| source.path.starts_with(folder))
    };
    let found: Vec<Source> = source::texts()?.into_iter().filter(ours).collect();
    if found.len() < 5 {
        bail!("only {} files of pages were found", found.len());
    }
    Ok(found)
}

#[test]
fn every_message_that_a_page_names_exists_and_every_other_is_used() -> Result<()> {
    let sources = source::texts()?;
    let known: BTreeSet<String> =
        files(&sources, "en").values().flat_map(|text| messages(text).into_keys()).collect();
    let mut findings = Vec::new();
    let mut said = BTreeSet::new();
    for source in sources.iter().filter(|source| source.path.starts_with("api/src/")) {
        for (before, text) in if source.is_rust() { source.literals() } else { Vec::new() } {
            let asked = ["say(", "tell("].iter().any(|call| before.ends_with(call));
            if asked && !known.contains(text) && !source.path.starts_with("api/src/messages") {
                findings.push(format!("{}: there is no message `{text}`", source.path));
            }
            // A name that is put together, such as `month-{month}`, uses all that begin so.
            said.insert(text.split('{').next().unwrap_or_default().to_owned());
        }
    }
    let used = |name: &String| {
        said.contains(name) || said.iter().any(|text| text.ends_with('-') && name.starts_with(text))
    };
    findings.extend(known.iter().filter(|name| !used(name)).map(|name| format!("{name}: unused")));
    // What is put together from two parts.
    let open = ["weekday-", "month-"];
    findings.retain(|finding| !open.iter().any(|name| finding.starts_with(name)));
    assert!(findings.is_empty(), "{}", findings.join("\n"));
    Ok(())
}

/// Whether a literal is shown to a reader: it stands alone in a block of markup, and is more
/// than one small word such as a state. Marks between two messages are no text.
fn is_text(before: &str, text: &str) -> bool {
    let alone = before.ends_with('{') && !before.ends_with("={") && !before.ends_with("= {");
    let is_said = text.contains(char::is_alphabetic);
    alone && is_said && (text.contains(' ') || text.starts_with(char::is_uppercase))
}

#[test]
fn no_page_or_sheet_has_text_in_code() -> Result<()> {
    let mut findings = Vec::new();
    for source in pages()? {
        for (before, text) in source.literals() {
            if is_text(&before, text) {
                findings.push(format!("{}: `{text}`", source.path));
            }
        }
    }
    let such = Source { path: String::new(), text: "html! { p { \"Print it\" } }".to_owned() };
    let found = such.literals();
    assert!(found.iter().any(|(before, text)| is_text(before, text)), "{found:?}");
    assert!(findings.is_empty(), "say it in a message file:\n{}", findings.join("\n"));
    Ok(())
}
