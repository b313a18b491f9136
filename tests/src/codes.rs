//! Names of a scenario and the codes they go by on the wire.

use anyhow::{Context, Result};
use std::collections::BTreeMap;

/// Which code stands for which name, both ways.
///
/// Invariant: one code for one name and one name for one code, so that an answer can be
/// read back. A name that is a code already keeps itself if no other name took it.
#[derive(Debug, Default)]
pub struct Codes {
    by_id: BTreeMap<String, String>,
    by_code: BTreeMap<String, String>,
}

/// Longest code that the wire takes, in characters.
const CODE_CHARS_MAX: usize = 64;

impl Codes {
    /// The code of a name, given out at its first use.
    pub fn code(&mut self, id: &str) -> String {
        if let Some(code) = self.by_id.get(id) {
            return code.clone();
        }
        let plain = plain(id);
        let mut code = plain.clone();
        let mut number = 2;
        while self.by_code.contains_key(&code) {
            let ending = format!("-{number}");
            let kept = CODE_CHARS_MAX - ending.len();
            code = format!("{}{ending}", plain[..plain.len().min(kept)].trim_end_matches('-'));
            number += 1;
        }
        self.by_code.insert(code.clone(), id.to_owned());
        self.by_id.insert(id.to_owned(), code.clone());
        code
    }

    /// The code that a name was given.
    ///
    /// # Errors
    /// The name was never given one.
    pub fn known(&self, id: &str) -> Result<&str> {
        let code = self.by_id.get(id).map(String::as_str);
        code.with_context(|| format!("`{id}` is named, but the scenario does not define it"))
    }

    /// The name behind a code, or the code itself if it stands for none.
    #[must_use]
    pub fn name<'a>(&'a self, code: &'a str) -> &'a str {
        self.by_code.get(code).map_or(code, String::as_str)
    }
}

fn plain(id: &str) -> String {
    let lower: String = id
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
        .collect();
    let joined = lower.split('-').filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-");
    let cut = joined[..joined.len().min(CODE_CHARS_MAX)].trim_end_matches('-');
    if cut.is_empty() { "unnamed".to_owned() } else { cut.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_leads_back_to_its_name() {
        let mut codes = Codes::default();
        for id in ["A", "a", "rye_flour", "rye-flour", "Rye Flour", "é", &"x".repeat(80)] {
            let code = codes.code(id);
            assert_eq!(codes.name(&code), id);
            assert_eq!(codes.code(id), code);
            assert!(code.len() <= CODE_CHARS_MAX, "{code}");
        }
        assert_eq!(codes.code("sugar-bun"), "sugar-bun");
        assert!(codes.known("never-seen").is_err());
    }
}
