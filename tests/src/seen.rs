//! What the tests saw of the contract: operations that were answered with success, and kinds
//! of problem. A test binary of its own compares it with the document once all have run.
//!
//! Only a run of the whole binary writes it down: a filtered one proves nothing, and a bench
//! is no test.

use serde_json::Value;
use std::{
    collections::BTreeSet,
    fs::{self, File, OpenOptions},
    io::Write as _,
    path::PathBuf,
    sync::{Mutex, OnceLock, PoisonError},
};
use weighhouse::openapi::{self, Operations};

/// Where it is written down.
#[must_use]
pub fn file() -> PathBuf {
    crate::source::root().join("target").join("contract-seen")
}

struct Seen {
    operations: Operations,
    file: File,
    lines: BTreeSet<String>,
}

static SEEN: OnceLock<Option<Mutex<Seen>>> = OnceLock::new();

/// Arguments that leave no test out.
fn is_harmless(argument: &str) -> bool {
    ["--nocapture", "--quiet", "-q", "--show-output"].contains(&argument)
        || ["--test-threads", "--color", "--format"].iter().any(|name| argument.starts_with(name))
        || argument.bytes().all(|byte| byte.is_ascii_digit())
}

/// Whether this is the binary of the tests, `it`.
fn is_of_tests() -> bool {
    let own = std::env::current_exe().unwrap_or_default();
    own.file_name().is_some_and(|name| name.to_string_lossy().starts_with("it-"))
}

fn open() -> Option<Mutex<Seen>> {
    if !is_of_tests() || !std::env::args().skip(1).all(|argument| is_harmless(&argument)) {
        return None;
    }
    // The first one of a run begins anew.
    let _ = fs::remove_file(file());
    let file = OpenOptions::new().create(true).append(true).open(file()).ok()?;
    let operations = Operations::of(&openapi::document());
    Some(Mutex::new(Seen { operations, file, lines: BTreeSet::new() }))
}

/// Notes an answer.
pub fn note(method: &str, path: &str, status: u16, body: &[u8]) {
    let Some(seen) = SEEN.get_or_init(open) else { return };
    let mut seen = seen.lock().unwrap_or_else(PoisonError::into_inner);
    let path = path.split(['?', '#']).next().unwrap_or(path);
    let method = method.parse().unwrap_or_default();
    if (200..400).contains(&status)
        && let Some(operation) = seen.operations.find(&method, path)
    {
        let line = format!("operation {}", operation.id);
        seen.write(line);
    }
    if status >= 400
        && let Ok(problem) = serde_json::from_slice::<Value>(body)
        && let Some(slug) =
            problem["type"].as_str().and_then(|kind| kind.strip_prefix("/problems/"))
    {
        seen.write(format!("problem {slug}"));
    }
}

impl Seen {
    fn write(&mut self, line: String) {
        if !self.lines.contains(&line) {
            // What cannot be written is missed by the comparison, which says so.
            let _ = writeln!(self.file, "{line}");
            self.lines.insert(line);
        }
    }
}
