//! The workspace's own source text, read closely enough to check rules about it.

use anyhow::{Context, Result};
use std::{
    fs,
    path::{Path, PathBuf},
};

/// One text file of the workspace.
#[derive(Debug)]
pub struct Source {
    /// Its path from the workspace's root, with forward slashes.
    pub path: String,
    /// Its text.
    pub text: String,
}

/// The root of the workspace.
#[must_use]
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_owned()
}

/// Entries that hold nothing that people wrote here; a linked work tree has a file `.git`.
const NOT_OURS: [&str; 3] = [".git", "target", "node_modules"];

/// Every text file of the workspace, by path.
///
/// # Errors
/// A folder cannot be read.
pub fn texts() -> Result<Vec<Source>> {
    let mut found = Vec::new();
    walk(&root(), "", &mut found)?;
    found.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(found)
}

fn walk(folder: &Path, name: &str, found: &mut Vec<Source>) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| folder.display().to_string())? {
        let entry = entry?;
        let own = entry.file_name().to_string_lossy().into_owned();
        let path = if name.is_empty() { own.clone() } else { format!("{name}/{own}") };
        if NOT_OURS.contains(&own.as_str()) {
            continue;
        }
        if entry.file_type()?.is_dir() {
            walk(&entry.path(), &path, found)?;
        } else if let Ok(text) = fs::read_to_string(entry.path()) {
            found.push(Source { path, text });
        }
    }
    Ok(())
}

impl Source {
    /// Whether it is Rust.
    #[must_use]
    pub fn is_rust(&self) -> bool {
        Path::new(&self.path).extension().is_some_and(|extension| extension == "rs")
    }

    /// The text with comments and the insides of literals blanked; lines stay lines.
    #[must_use]
    pub fn code(&self) -> String {
        blank(&self.text)
    }

    /// The code without its test module, which stands last by our custom, or in a file
    /// of its own.
    #[must_use]
    pub fn code_without_tests(&self) -> String {
        if self.path.ends_with("/tests.rs") {
            return String::new();
        }
        let code = self.code();
        let mut lines = code.lines().peekable();
        let mut kept = String::new();
        while let Some(line) = lines.next() {
            let opens = lines.peek().is_some_and(|next| next.trim_end().ends_with("mod tests {"));
            if line.trim() == "#[cfg(test)]" && opens {
                break;
            }
            kept.push_str(line);
            kept.push('\n');
        }
        kept
    }

    /// The module path of a Rust file below its crate's `src`, or `it`.
    #[must_use]
    pub fn module(&self) -> Vec<&str> {
        let inside = ["/src/", "/it/", "/benches/"]
            .iter()
            .find_map(|folder| self.path.split_once(folder).map(|(_, inside)| inside));
        let inside = inside.unwrap_or(&self.path).trim_end_matches(".rs");
        if ["lib", "main"].contains(&inside) { Vec::new() } else { inside.split('/').collect() }
    }

    /// Every path named in the code outside its tests, written out from the crate's root.
    #[must_use]
    pub fn paths(&self) -> Vec<String> {
        let code = self.code_without_tests();
        let mut found = Vec::new();
        let mut rest = code.as_str();
        while let Some(at) = rest.find(|c: char| is_word(c)) {
            rest = &rest[at..];
            let end = rest.find(|c: char| !is_word(c)).unwrap_or(rest.len());
            if &rest[..end] == "use" {
                let statement = &rest[end..rest.find(';').unwrap_or(rest.len())];
                expand(statement, "", &mut found);
                rest = &rest[end + statement.len()..];
                continue;
            }
            let (path, length) = inline_path(rest);
            found.push(path);
            rest = &rest[length..];
        }
        found.into_iter().map(|path| self.absolute(&path)).collect()
    }

    /// A path without `self` and `super`.
    fn absolute(&self, path: &str) -> String {
        let mut module = self.module();
        let mut relative = false;
        let mut parts = path.split("::").peekable();
        while let Some(part) = parts.next_if(|part| ["self", "super"].contains(part)) {
            relative = true;
            if part == "super" {
                module.pop();
            }
        }
        let rest: Vec<&str> = parts.collect();
        if !relative {
            return path.to_owned();
        }
        [&["crate"][..], &module, &rest].concat().join("::")
    }
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// A path such as `a::b::c` at the start of the text, and how long it stands there.
fn inline_path(text: &str) -> (String, usize) {
    let mut length = text.find(|c: char| !is_word(c)).unwrap_or(text.len());
    while let Some(rest) = text[length..].strip_prefix("::") {
        let word = rest.find(|c: char| !is_word(c)).unwrap_or(rest.len());
        if word == 0 {
            break;
        }
        length += 2 + word;
    }
    (text[..length].to_owned(), length)
}

/// Writes out the paths of a `use` tree.
fn expand(tree: &str, prefix: &str, found: &mut Vec<String>) {
    let tree = tree.trim();
    let Some((head, inside)) = tree.split_once('{') else {
        let path = tree.split(" as ").next().unwrap_or(tree).trim().trim_end_matches("::*");
        let path = if path == "self" { "" } else { path };
        let full = format!("{prefix}{path}");
        found.push(full.trim_end_matches("::").to_owned());
        return;
    };
    let prefix = format!("{prefix}{}", head.trim());
    let inside = inside.rsplit_once('}').map_or(inside, |(inside, _)| inside);
    let (mut depth, mut start) = (0_usize, 0);
    for (at, c) in inside.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => {
                expand(&inside[start..at], &prefix, found);
                start = at + 1;
            }
            _ => {}
        }
    }
    if !inside[start..].trim().is_empty() {
        expand(&inside[start..], &prefix, found);
    }
}

impl Source {
    /// Every text in double quotes outside comments and the test module, each with the code
    /// that stands right before it.
    #[must_use]
    pub fn literals(&self) -> Vec<(String, &str)> {
        let text = self.text.split("\n#[cfg(test)]\nmod tests {").next().unwrap_or_default();
        let (mut found, mut out, mut rest) = (Vec::new(), String::new(), text);
        while let Some(c) = rest.chars().next() {
            let length = skipped(rest, out.chars().last());
            if length > 2 && c == '"' {
                let kept = out.trim_end().chars().rev().take(BEFORE_CHARS).collect::<String>();
                found.push((kept.chars().rev().collect(), &rest[1..length - 1]));
            }
            out.push(if length == 0 { c } else { ' ' });
            rest = &rest[length.max(c.len_utf8())..];
        }
        found
    }
}

/// Letters of code before a literal that are kept.
const BEFORE_CHARS: usize = 12;

/// Blanks comments and what stands in quotes.
fn blank(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let length = skipped(rest, out.chars().last());
        if length == 0 {
            out.push(c);
            rest = &rest[c.len_utf8()..];
        } else {
            out.extend(rest[..length].chars().map(|c| if c == '\n' { '\n' } else { ' ' }));
            rest = &rest[length..];
        }
    }
    out
}

/// How much of the text's start is a comment or a literal.
fn skipped(text: &str, before: Option<char>) -> usize {
    if text.starts_with("//") {
        return text.find('\n').unwrap_or(text.len());
    }
    if text.starts_with("/*") {
        return text.find("*/").map_or(text.len(), |end| end + 2);
    }
    let raw = text.strip_prefix('b').unwrap_or(text);
    if let Some(after) = raw.strip_prefix('r').filter(|_| !before.is_some_and(is_word)) {
        let hashes = after.len() - after.trim_start_matches('#').len();
        if after[hashes..].starts_with('"') {
            let close = format!("\"{}", "#".repeat(hashes));
            let start = text.len() - after.len() + hashes + 1;
            return text[start..].find(&close).map_or(text.len(), |end| start + end + close.len());
        }
    }
    if text.starts_with('"') {
        return quoted(text, '"');
    }
    if text.starts_with('\'') {
        let mut chars = text.chars().skip(1);
        let escaped = chars.next() == Some('\\');
        // A lifetime has no closing quote.
        if escaped || chars.next() == Some('\'') {
            return quoted(text, '\'');
        }
    }
    0
}

fn quoted(text: &str, quote: char) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            _ if c == quote => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// Functions of a piece of code: name, first line, number of lines.
#[must_use]
pub fn functions(code: &str) -> Vec<(String, usize, usize)> {
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(at) = code[from..].find("fn ").map(|at| from + at) {
        from = at + 3;
        let begins = !code[..at].chars().last().is_some_and(is_word);
        let name: String = code[from..].chars().take_while(|c| is_word(*c)).collect();
        let body = code[from..].find(['{', ';']).map(|body| from + body);
        let Some(body) = body.filter(|_| begins && !name.is_empty()) else { continue };
        if code[body..].starts_with('{') {
            let end = closing(code, body);
            let first = code[..at].matches('\n').count() + 1;
            found.push((name, first, code[at..end].matches('\n').count() + 1));
        }
    }
    found
}

/// Where the brace that opens at `open` is closed.
fn closing(code: &str, open: usize) -> usize {
    let mut depth = 0_usize;
    for (at, c) in code[open..].char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return open + at;
        }
    }
    code.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(path: &str, text: &str) -> Source {
        Source { path: path.to_owned(), text: text.to_owned() }
    }

    #[test]
    fn comments_and_literals_are_no_code() {
        let text = "let a = \"diesel::x \\\" y\"; // diesel\n/* serde */ let c = '\"'; let b: &'a str = r#\"utoipa\"#;";
        let code = source("a.rs", text).code();
        for word in ["diesel", "serde", "utoipa"] {
            assert!(!code.contains(word), "{code}");
        }
        assert!(code.contains("let b: &'a str ="), "{code}");
    }

    #[test]
    fn paths_are_written_out_from_the_root() {
        let text = "use crate::{a::{self, B}, c::*};\nuse super::lots;\nfn f() { self::x::y(); serde::z(); }\n#[cfg(test)]\nmod tests {\nuse diesel::q;\n}";
        let paths = source("api/src/store/orders.rs", text).paths();
        for wanted in [
            "crate::a",
            "crate::a::B",
            "crate::c",
            "crate::store::lots",
            "crate::store::orders::x::y",
            "serde::z",
        ] {
            assert!(paths.iter().any(|path| path == wanted), "{wanted} in {paths:?}");
        }
        assert!(!paths.iter().any(|path| path.contains("diesel")), "{paths:?}");
    }

    #[test]
    fn functions_are_measured_from_name_to_closing_brace() {
        let code = "fn one() {\n  if a {\n  }\n}\ntrait T { fn none(); }\nfn two() { }\n";
        let found = functions(code);
        assert_eq!(found, [("one".to_owned(), 1, 4), ("two".to_owned(), 6, 1)]);
    }
}
