//! No text breaks a parser: the corpus of the fuzz targets, and seeded changes of it.
//!
//! `fuzz/` runs the same checks for as long as one likes.

use anyhow::{Context, Result, ensure};
use std::{fs, panic};
use weighhouse_tests::{builders::Seed, demo, parsers::PARSERS, source};

/// Changed texts of each parser.
const TEXTS: u64 = 3_000;
/// What is put into a text, or in the place of a part of it.
const PIECES: [&str; 20] = [
    "0",
    "9",
    "-",
    ".",
    "e9",
    "\"",
    "{",
    "}",
    "[",
    "]",
    ",",
    ":",
    "null",
    "\n",
    "\u{1d}",
    "(",
    "é",
    "99999999999999999999",
    "\\u0000",
    "kg",
];

/// The texts that a fuzz target starts from; the demo's own documents are large and stay
/// where they are.
fn corpus(name: &str) -> Result<Vec<Vec<u8>>> {
    let folder = source::root().join("fuzz").join("corpus").join(name);
    let mut texts = Vec::new();
    for entry in fs::read_dir(&folder).with_context(|| folder.display().to_string())? {
        texts.push(fs::read(entry?.path())?);
    }
    match name {
        "bakery" => texts.push(serde_json::to_vec(&demo::document("bakery")?)?),
        "order" => {
            for order in demo::list(&demo::document("orders")?, "orders")? {
                texts.push(serde_json::to_vec(&order)?);
            }
        }
        _ => {}
    }
    texts.sort();
    Ok(texts)
}

/// A text with some of its parts left out, doubled or exchanged.
fn changed(seed: &mut Seed, text: &[u8]) -> Vec<u8> {
    let mut text = text.to_vec();
    for _ in 0..=seed.below(3) {
        let length = u64::try_from(text.len()).unwrap_or(0);
        let from = usize::try_from(seed.below(length + 1)).unwrap_or(0);
        let most = u64::try_from(text.len() - from).unwrap_or(0).min(12);
        let to = from + usize::try_from(seed.below(most + 1)).unwrap_or(0);
        let piece = seed.pick(&PIECES).as_bytes().to_vec();
        match seed.below(4) {
            0 => drop(text.drain(from..to)),
            1 => drop(text.splice(from..to, piece)),
            2 => drop(text.splice(from..from, piece)),
            _ => {
                let part = text[from..to].to_vec();
                drop(text.splice(to..to, part));
            }
        }
    }
    text
}

#[test]
fn no_text_breaks_a_parser() -> Result<()> {
    for (name, parser) in PARSERS {
        let corpus = corpus(name)?;
        ensure!(!corpus.is_empty(), "fuzz/corpus/{name} is empty");
        for text in &corpus {
            parser(text);
        }
        // A whole bakery is compiled with each text that can still be read.
        let texts = if name == "bakery" { TEXTS / 10 } else { TEXTS };
        let mut seed = Seed::new(20_260_610);
        for number in 0..texts {
            let at = usize::try_from(seed.below(u64::try_from(corpus.len())?))?;
            let text = changed(&mut seed, &corpus[at]);
            let outcome = panic::catch_unwind(|| parser(&text));
            ensure!(outcome.is_ok(), "{name} {number}: {}", String::from_utf8_lossy(&text));
        }
    }
    Ok(())
}
