//! Every word of pages and sheets, in each language: message files in Fluent format.
//!
//! A page or sheet asks [`Words`] for a message by its name. All files are compiled in; a test holds
//! that every language has the same messages with the same arguments. What a view says is a
//! [`Sentence`] until its reader is known.
//!
//! # Source
//! The Fluent syntax, version 1.0 of Project Fluent.

mod amounts;
mod dates;
mod language;
mod sentence;

pub use fluent_bundle::FluentValue as Value;
pub use language::Language;
pub use sentence::{Kept, Sentence, told};

use fluent_bundle::{FluentArgs, FluentResource, concurrent::FluentBundle};
use std::sync::LazyLock;

/// The message files of a noun, in the order of [`Language::ALL`].
macro_rules! noun {
    ($name:literal) => {
        [
            include_str!(concat!("messages/en/", $name, ".ftl")),
            include_str!(concat!("messages/de/", $name, ".ftl")),
            include_str!(concat!("messages/fr/", $name, ".ftl")),
        ]
    };
}

/// One row for each noun that pages speak about; `frame` holds what all pages share.
const FILES: &[[&str; Language::ALL.len()]] = &[
    noun!("frame"),
    noun!("problems"),
    noun!("today"),
    noun!("formulas"),
    noun!("products"),
    noun!("costs"),
    noun!("balance"),
    noun!("counts"),
    noun!("orders"),
    noun!("settings"),
    noun!("desk"),
    noun!("supplier-orders"),
    noun!("cuts"),
    noun!("suppliers"),
    noun!("sign-in"),
    noun!("stock"),
    noun!("timeline"),
    noun!("weigh-out"),
    noun!("why"),
    noun!("cut-sheet"),
    noun!("statement"),
    noun!("lot-label"),
    noun!("recall"),
    noun!("waste"),
    noun!("expiring"),
    noun!("schedule"),
    noun!("replaced"),
    noun!("count-sheet"),
    noun!("receiving-sheet"),
    noun!("order-form"),
    noun!("shortages"),
    noun!("fridge"),
    noun!("drop-sheet"),
    noun!("prep-sheet"),
    noun!("day-board"),
    noun!("bench-sheet"),
    noun!("bake-sheet"),
    noun!("change-slip"),
    noun!("mix-sheet"),
    noun!("pick-list"),
    noun!("allergens"),
    noun!("findings"),
    noun!("sheets"),
];

type Bundle = FluentBundle<FluentResource>;

static BUNDLES: LazyLock<[Bundle; Language::ALL.len()]> =
    LazyLock::new(|| Language::ALL.map(bundle));

fn bundle(language: Language) -> Bundle {
    let mut bundle =
        FluentBundle::new_concurrent(vec![language.code().parse().unwrap_or_default()]);
    // Marks between texts of two directions: all our languages run from left to right.
    bundle.set_use_isolating(false);
    for texts in FILES {
        // What cannot be read is left out, and the test of the files names it.
        let resource = FluentResource::try_new(texts[language as usize].to_owned());
        let resource = resource.unwrap_or_else(|(resource, _)| resource);
        bundle.add_resource_overriding(resource);
    }
    bundle
}

/// The words of one language.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Words {
    /// Which language.
    pub language: Language,
}

impl Words {
    /// The words of whoever asks for none of our languages.
    pub const ENGLISH: Self = Self { language: Language::English };

    /// The language of what records and services write, where it is not the reader's.
    #[must_use]
    pub const fn of_the_plan(self) -> Option<&'static str> {
        match self.language {
            Language::English => None,
            Language::German | Language::French => Some(Language::English.code()),
        }
    }

    /// A message without arguments; its name if there is none of that name.
    #[must_use]
    pub fn say(self, message: &str) -> String {
        self.find(message, &[]).unwrap_or_else(|| message.to_owned())
    }

    /// A message with arguments. Numbers choose plurals; write what is only shown as text.
    #[must_use]
    pub fn tell(self, message: &str, arguments: &[(&'static str, Value<'_>)]) -> String {
        self.find(message, arguments).unwrap_or_else(|| message.to_owned())
    }

    /// A message that need not exist, such as one for each word of an open list.
    #[must_use]
    pub fn find(self, message: &str, arguments: &[(&'static str, Value<'_>)]) -> Option<String> {
        self.format(message, arguments.iter().map(|(name, value)| (*name, value.clone())))
    }

    fn format<'a>(
        self,
        message: &str,
        arguments: impl Iterator<Item = (&'a str, Value<'a>)>,
    ) -> Option<String> {
        let bundle = &BUNDLES[self.language as usize];
        let pattern = bundle.get_message(message)?.value()?;
        let mut given = FluentArgs::new();
        for (name, value) in arguments {
            given.set(name, value);
        }
        let mut errors = Vec::new();
        Some(bundle.format_pattern(pattern, Some(&given), &mut errors).into_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    fn words(language: Language) -> Words {
        Words { language }
    }

    #[test]
    fn every_file_can_be_read() {
        for texts in FILES {
            for text in texts {
                let read = FluentResource::try_new((*text).to_owned());
                let errors = read.err().map(|(_, errors)| errors);
                assert!(errors.is_none(), "{errors:?} in\n{text}");
            }
        }
    }

    #[test]
    fn no_message_is_written_twice() {
        for language in Language::ALL {
            let mut names = BTreeSet::new();
            for line in FILES.iter().flat_map(|texts| texts[language as usize].lines()) {
                let Some((name, _)) = line.split_once(" =") else { continue };
                let is_name = name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
                assert!(!is_name || names.insert(name), "{}: {name}", language.code());
            }
        }
    }

    #[test]
    fn a_message_that_does_not_exist_shows_its_name() {
        assert_eq!(words(Language::German).say("nothing-of-this-name"), "nothing-of-this-name");
    }

    #[test]
    fn days_and_numbers_are_those_of_the_language() {
        // Common practice of each language, from memory.
        let said = |language| {
            let words = words(language);
            (words.moment("2026-06-11T04:05:00+02:00"), words.digits("5.25"))
        };
        assert_eq!(said(Language::English), ("Thu 11 Jun 04:05".into(), "5.25".into()));
        assert_eq!(said(Language::German), ("Do 11. Juni, 04:05".into(), "5,25".into()));
        assert_eq!(said(Language::French), ("jeu. 11 juin, 04:05".into(), "5,25".into()));
    }
}
