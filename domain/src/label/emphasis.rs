//! Allergens in names of ingredients, set off so that nobody needs colour to see them.

use crate::regulation::Regulation;
use std::collections::BTreeSet;

/// A piece of text; allergens are printed bold and in capitals.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// The text; an allergen's is in capitals already.
    pub text: String,
    /// Whether it names an allergen.
    pub allergen: bool,
}

/// How a regulation names the allergens of some words; what it has no entry for is left out.
pub(super) fn names_of(regulation: &Regulation, words: &BTreeSet<String>) -> Vec<String> {
    let mut names = Vec::new();
    for group in &regulation.groups {
        for kind in &group.kinds {
            let is =
                |word: &&String| regulation.named(word).is_some_and(|named| named.kind == kind);
            if words.iter().any(|word| is(&word)) {
                names.push(kind.name.clone());
            }
        }
    }
    names
}

/// A name with its allergens set off. An allergen that the name does not speak of stands
/// behind it in brackets.
///
/// # Source
/// Regulation (EU) No 1169/2011, article 21(1).
pub(super) fn set_off(
    regulation: &Regulation,
    name: &str,
    words: &BTreeSet<String>,
) -> Vec<Segment> {
    let mut marks = vec![false; name.len()];
    let mut silent = Vec::new();
    for allergen in names_of(regulation, words) {
        let Some(named) = regulation.named(&allergen) else { continue };
        let terms = std::iter::once(&named.kind.name).chain(&named.kind.also);
        let mut spoken = false;
        for term in terms {
            for at in places(name, term) {
                marks[at..at + term.len()].fill(true);
                spoken = true;
            }
        }
        if !spoken {
            silent.push(allergen);
        }
    }
    let mut segments = runs(name, &marks);
    for (at, allergen) in silent.iter().enumerate() {
        let before = if at == 0 { " (" } else { ", " };
        segments.push(Segment { text: before.to_owned(), allergen: false });
        segments.push(Segment { text: allergen.to_uppercase(), allergen: true });
    }
    if !silent.is_empty() {
        segments.push(Segment { text: ")".to_owned(), allergen: false });
    }
    segments
}

/// Where a term stands in a name as a whole word.
fn places(name: &str, term: &str) -> Vec<usize> {
    let (name, term) = (name.to_ascii_lowercase(), term.to_ascii_lowercase());
    let ends = |text: &str, last: bool| {
        let beside = if last { text.chars().next_back() } else { text.chars().next() };
        beside.is_none_or(|letter| !letter.is_alphanumeric())
    };
    let whole = |&at: &usize| ends(&name[..at], true) && ends(&name[at + term.len()..], false);
    name.match_indices(&term).map(|(at, _)| at).filter(whole).collect()
}

/// The runs of marked and unmarked text.
fn runs(name: &str, marks: &[bool]) -> Vec<Segment> {
    let mut segments: Vec<Segment> = Vec::new();
    for (at, letter) in name.char_indices() {
        let allergen = marks[at];
        match segments.last_mut() {
            Some(last) if last.allergen == allergen => last.text.push(letter),
            _ => segments.push(Segment { text: letter.to_string(), allergen }),
        }
    }
    for segment in segments.iter_mut().filter(|segment| segment.allergen) {
        segment.text = segment.text.to_uppercase();
    }
    segments
}
