//! What pages say of a problem: what is wrong and what to do next in the reader's words, then
//! what the service says of it, which is English and names the line.

use crate::messages::Words;
use maud::{Markup, html};

/// What is wrong and what to do next, by the slug of a kind of problem. Whoever reads English
/// reads what the service says instead, which says more.
pub(super) fn sentence(words: Words, slug: &str, detail: &str) -> String {
    match words.of_the_plan() {
        None => detail.to_owned(),
        Some(_) => words.say(&format!("problem-{slug}")),
    }
}

/// What the service says itself, for readers to whom [`sentence`] does not say it.
pub(super) fn particulars(words: Words, detail: &str) -> Markup {
    html! {
        @if let Some(language) = words.of_the_plan() {
            " " span.particulars { (words.say("problem-particulars")) " " span lang=(language) { (detail) } }
        }
    }
}

/// Both.
pub(super) fn said(words: Words, slug: &str, detail: &str) -> Markup {
    html! { (sentence(words, slug, detail)) (particulars(words, detail)) }
}

#[cfg(test)]
mod tests {
    use crate::{
        messages::{Language, Words},
        problem::Kind,
    };

    #[test]
    fn every_kind_of_problem_has_its_sentence_in_every_language() {
        for language in Language::ALL {
            let words = Words { language };
            for kind in Kind::ALL {
                let (slug, ..) = kind.row();
                let said = words.find(&format!("problem-{slug}"), &[]);
                let ends = said.as_ref().is_some_and(|said| said.ends_with('.'));
                assert!(ends, "{}: {slug}: {said:?}", language.code());
            }
        }
    }
}
