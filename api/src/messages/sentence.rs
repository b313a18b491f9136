//! Sentences that are made where their figures are known, and said where their reader is known.
//!
//! A view holds a [`Sentence`]; JSON says it in English, a sheet or page in the words of whoever
//! reads it, and what is kept of it is kept in no language.

use super::{Language, Value, Words};
use serde::{Deserialize, Serialize, Serializer};
use std::{borrow::Cow, fmt};

/// A message with what stands in it, not yet in any language.
///
/// Names of things, and what a person wrote, are texts and stay as they are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sentence(Part);

/// A sentence as it is written down: its message and what stands in it. A bare text, as it was
/// written before there were messages, is read as that text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Kept(Part);

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Part {
    /// A message by its name, with its arguments.
    Message(Cow<'static, str>, Vec<(Cow<'static, str>, Self)>),
    /// Parts with a mark between them.
    Joined(Cow<'static, str>, Vec<Self>),
    /// A number that may choose a plural.
    Count(i64),
    /// A date: as the wire writes it in JSON, else with its weekday.
    Date(String),
    /// A date with its weekday.
    Day(String),
    /// A local instant.
    Moment(String),
    /// A weekday with its time.
    Clock(String),
    /// Digits with a unit or currency.
    Amount(String),
    /// Digits alone.
    Digits(String),
    /// A list of allergens.
    Allergens(Vec<String>),
    /// What is written in English only; for other languages a sentence in its place.
    English(String, Box<Self>),
    /// A thing of the records: its code as the wire writes it, else its name.
    Named(String, Box<Self>),
    /// A word of a list that others may lengthen.
    Listed(Cow<'static, str>, String),
    /// In capitals.
    Loud(Box<Self>),
    /// Inside another sentence.
    Inside(Box<Self>),
    /// As it is.
    #[serde(untagged)]
    Text(String),
}

impl Sentence {
    /// A message by its name.
    #[must_use]
    pub const fn of(message: &'static str) -> Self {
        Self(Part::Message(Cow::Borrowed(message), Vec::new()))
    }

    /// The message of a word of a list whose messages begin alike, such as `why-rule-`.
    #[must_use]
    pub fn one_of(list: &'static str, word: &str) -> Self {
        Self(Part::Message(Cow::Owned(format!("{list}{word}")), Vec::new()))
    }

    /// The same with something that stands in it.
    #[must_use]
    pub fn with(mut self, name: &'static str, what: impl Into<Self>) -> Self {
        if let Part::Message(_, arguments) = &mut self.0 {
            arguments.push((Cow::Borrowed(name), what.into().0));
        }
        self
    }

    /// Parts with a mark between them, such as `; `.
    #[must_use]
    pub fn joined(mark: &'static str, parts: impl IntoIterator<Item = impl Into<Self>>) -> Self {
        let parts = parts.into_iter().map(|part| part.into().0);
        Self(Part::Joined(Cow::Borrowed(mark), parts.collect()))
    }

    /// The first with each other put behind it by a message of `one` and `other`; none of none.
    #[must_use]
    pub fn chained(message: &'static str, parts: impl IntoIterator<Item = Self>) -> Option<Self> {
        let join = |one, other| Self::of(message).with("one", one).with("other", other);
        parts.into_iter().reduce(join)
    }

    /// A local date: `2026-06-12` in JSON, `Fri 12 Jun` for a reader.
    #[must_use]
    pub fn date(date: impl fmt::Display) -> Self {
        Self(Part::Date(date.to_string()))
    }

    /// A local date with its weekday, in JSON too: `Fri 12 Jun`.
    #[must_use]
    pub fn day(date: impl fmt::Display) -> Self {
        Self(Part::Day(date.to_string()))
    }

    /// A local instant of a view: `Thu 11 Jun 04:00`.
    #[must_use]
    pub fn moment(instant: impl Into<String>) -> Self {
        Self(Part::Moment(instant.into()))
    }

    /// A local instant of a view that is near: `Thu 04:00`.
    #[must_use]
    pub fn clock(instant: impl Into<String>) -> Self {
        Self(Part::Clock(instant.into()))
    }

    /// An amount of a view with its unit or currency: `34.20 kg`.
    #[must_use]
    pub fn amount(said: impl Into<String>) -> Self {
        Self(Part::Amount(said.into()))
    }

    /// Digits of a view without a unit: `0.25`.
    #[must_use]
    pub fn digits(digits: impl Into<String>) -> Self {
        Self(Part::Digits(digits.into()))
    }

    /// Allergens in the words of the records, and items of which nobody knows them.
    #[must_use]
    pub fn allergens(list: &[String]) -> Self {
        Self(Part::Allergens(list.to_vec()))
    }

    /// What is written in English only; who reads another language hears a sentence in its place.
    #[must_use]
    pub fn english(text: impl fmt::Display, other: impl Into<Self>) -> Self {
        Self(Part::English(text.to_string(), Box::new(other.into().0)))
    }

    /// A thing of the records: JSON says its code, a reader hears its name.
    #[must_use]
    pub fn named(code: impl fmt::Display, name: impl Into<Self>) -> Self {
        Self(Part::Named(code.to_string(), Box::new(name.into().0)))
    }

    /// The same between marks where JSON says the code.
    #[must_use]
    pub fn marked(self) -> Self {
        match self.0 {
            Part::Named(code, name) => Self(Part::Named(format!("`{code}`"), name)),
            other => Self(other),
        }
    }

    /// A word of a list whose messages begin alike, such as `tub-`; other words as they are.
    #[must_use]
    pub fn listed(list: &'static str, word: impl Into<String>) -> Self {
        Self(Part::Listed(Cow::Borrowed(list), word.into()))
    }

    /// Whether nothing stands there.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        match &self.0 {
            Part::Text(text) => text.is_empty(),
            Part::Joined(_, parts) => parts.is_empty(),
            Part::Allergens(list) => list.is_empty(),
            _ => false,
        }
    }

    /// The same in capitals.
    #[must_use]
    pub fn loud(self) -> Self {
        Self(Part::Loud(Box::new(self.0)))
    }

    /// The same behind the colon of another sentence, where it begins small; as it is in German,
    /// which writes nouns large, and for a reader where it begins with what stands in it, such as
    /// a name.
    #[must_use]
    pub fn inside(self) -> Self {
        Self(Part::Inside(Box::new(self.0)))
    }

    /// The sentence in the words of a reader.
    #[must_use]
    pub fn told(&self, words: Words) -> String {
        self.0.told(To::Reader(words))
    }

    /// As JSON says it: in English, things by their codes.
    #[must_use]
    pub fn wired(&self) -> String {
        self.0.told(To::Wire)
    }

    /// To be written down in no language.
    #[must_use]
    pub fn kept(&self) -> Kept {
        Kept(self.0.clone())
    }
}

/// Who hears a sentence.
#[derive(Clone, Copy)]
enum To {
    /// A program: English, things by their codes.
    Wire,
    /// A person.
    Reader(Words),
}

impl Part {
    fn told(&self, to: To) -> String {
        let words = match to {
            To::Wire => Words::ENGLISH,
            To::Reader(words) => words,
        };
        match self {
            Self::Message(name, arguments) => {
                let told = arguments.iter().map(|(name, part)| match part {
                    Self::Count(count) => (&**name, Value::from(*count)),
                    other => (&**name, Value::from(other.told(to))),
                });
                words.format(name, told).unwrap_or_else(|| name.to_string())
            }
            Self::Joined(mark, parts) => {
                parts.iter().map(|part| part.told(to)).collect::<Vec<_>>().join(mark)
            }
            Self::Count(count) => count.to_string(),
            Self::Date(date) if matches!(to, To::Wire) => date.clone(),
            Self::Date(date) | Self::Day(date) => words.day_of(date),
            Self::Moment(instant) => words.moment(instant),
            Self::Clock(instant) => words.clock(instant),
            Self::Amount(said) if matches!(to, To::Wire) => said.clone(),
            Self::Amount(said) => words.said(said),
            Self::Digits(digits) => words.digits(digits),
            Self::Allergens(list) => words.allergens(list),
            Self::English(text, _) if words == Words::ENGLISH => text.clone(),
            Self::English(_, other) => other.told(to),
            Self::Named(code, name) => match to {
                To::Wire => code.clone(),
                To::Reader(_) => name.told(to),
            },
            Self::Listed(list, word) => words.listed(list, word),
            Self::Loud(part) => part.told(to).to_uppercase(),
            Self::Inside(part) if words.language == Language::German => part.told(to),
            Self::Inside(part) if matches!(to, To::Reader(_)) && part.begins_with_given(to) => {
                part.told(to)
            }
            Self::Inside(part) => begun_small(&part.told(to)),
            Self::Text(text) => text.clone(),
        }
    }

    /// Whether a message begins with something that stands in it, which is written as it is.
    fn begins_with_given(&self, to: To) -> bool {
        let Self::Message(_, arguments) = self else { return false };
        let said = self.told(to);
        arguments
            .iter()
            .map(|(_, given)| given.told(to))
            .any(|given| !given.is_empty() && said.starts_with(&given))
    }
}

fn begun_small(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_lowercase);
    first.chain(letters).collect()
}

impl Kept {
    /// A sentence as one text, such as a column holds.
    ///
    /// # Errors
    /// [`serde_json::Error`]
    pub fn written(&self) -> serde_json::Result<String> {
        serde_json::to_string(self)
    }

    /// What a column holds. What was written before there were messages begins with a letter or
    /// a digit, and [`Kept::written`] with a brace or a quotation mark.
    #[must_use]
    pub fn read(text: String) -> Self {
        let kept = text.starts_with(['{', '"']).then(|| serde_json::from_str(&text).ok());
        kept.flatten().unwrap_or(Self(Part::Text(text)))
    }
}

/// Several sentences in the words of a reader.
#[must_use]
pub fn told(words: Words, sentences: &[Sentence]) -> Vec<String> {
    sentences.iter().map(|one| one.told(words)).collect()
}

impl Serialize for Sentence {
    /// English, with codes: the wire speaks one language.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.wired())
    }
}

impl fmt::Display for Sentence {
    /// As JSON says it, for logs and tests; a page says [`Sentence::told`].
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.wired())
    }
}

impl From<Kept> for Sentence {
    fn from(kept: Kept) -> Self {
        Self(kept.0)
    }
}

impl From<String> for Sentence {
    fn from(text: String) -> Self {
        Self(Part::Text(text))
    }
}

impl From<&String> for Sentence {
    fn from(text: &String) -> Self {
        Self(Part::Text(text.clone()))
    }
}

impl From<&str> for Sentence {
    fn from(text: &str) -> Self {
        Self(Part::Text(text.to_owned()))
    }
}

impl From<i64> for Sentence {
    fn from(count: i64) -> Self {
        Self(Part::Count(count))
    }
}

impl From<&Self> for Sentence {
    fn from(sentence: &Self) -> Self {
        sentence.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sentence() -> Sentence {
        Sentence::of("finding-under-minimum")
            .with("made", "Bun dough")
            .with("date", Sentence::date("2026-06-12"))
    }

    #[test]
    fn json_speaks_english_and_a_reader_hears_his_own_language() {
        let english = "Bun dough for 2026-06-12 is under its mixer's minimum: UNDECIDED, choose \
                       what to do";
        assert_eq!(serde_json::to_value(sentence()).expect("JSON"), english);
        let german = sentence().told(Words { language: Language::German });
        assert!(
            german.starts_with("Bun dough für Fr 12. Juni") && german.contains("UNENTSCHIEDEN")
        );
    }

    #[test]
    fn json_says_codes_and_a_reader_hears_names_in_every_language() {
        let said = Sentence::of("finding-under-minimum")
            .with("made", Sentence::named("bun", "Bun dough").marked())
            .with("date", Sentence::date("2026-06-12"));
        assert!(said.to_string().starts_with("`bun` for 2026-06-12"), "{said}");
        for (language, start) in [
            (Language::English, "Bun dough for"),
            (Language::German, "Bun dough für"),
            (Language::French, "Bun dough pour"),
        ] {
            let told = said.told(Words { language });
            assert!(told.starts_with(start), "{told}");
        }
    }

    #[test]
    fn what_is_kept_comes_back_and_a_bare_text_is_that_text() {
        let loud = Sentence::allergens(&["wheat".to_owned()]).loud();
        let named = Sentence::named("bun", Sentence::of("finding-no-place"));
        for one in [sentence(), named, Sentence::joined("; ", [sentence(), loud])] {
            let text = serde_json::to_string(&one.kept()).expect("JSON");
            let read: Kept = serde_json::from_str(&text).expect("what was kept");
            assert_eq!(Sentence::from(read), one, "{text}");
        }
        let bare: Kept = serde_json::from_str("\"STOP: leave it\"").expect("a text");
        assert_eq!(Sentence::from(bare), Sentence::from("STOP: leave it"));
    }

    #[test]
    fn a_column_holds_a_sentence_or_a_bare_text_of_before() {
        let of_a_person = Sentence::from("{\"count\":1}");
        for one in [sentence(), Sentence::joined(" ", [sentence()]), of_a_person] {
            let text = one.kept().written().expect("JSON");
            assert_eq!(Sentence::from(Kept::read(text.clone())), one, "{text}");
        }
        for bare in ["3 of 6 pieces taken.", "12", "None of 1 piece taken.", "", "{no JSON"] {
            let read = Sentence::from(Kept::read(bare.to_owned()));
            assert_eq!(read, Sentence::from(bare));
        }
    }

    #[test]
    fn a_sentence_inside_another_begins_small_but_in_german() {
        let inside = Sentence::of("finding-no-place").inside();
        let large = Sentence::of("finding-no-place");
        assert_eq!(inside.told(Words::ENGLISH), begun_small(&large.told(Words::ENGLISH)));
        let german = Words { language: Language::German };
        assert_eq!(inside.told(german), large.told(german));
    }

    #[test]
    fn a_name_stays_as_it_is_written_for_a_reader() {
        let inside = sentence().inside();
        assert!(inside.wired().starts_with("bun dough for 2026-06-12"), "{inside}");
        for (language, start) in [
            (Language::English, "Bun dough for Fri 12 Jun"),
            (Language::German, "Bun dough für Fr 12. Juni"),
            (Language::French, "Bun dough pour le ven. 12 juin"),
        ] {
            let told = inside.told(Words { language });
            assert!(told.starts_with(start), "{told}");
        }
    }
}
