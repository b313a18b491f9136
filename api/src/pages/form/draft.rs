//! A form before it is right: what stands in its fields, and what is not right yet.

use super::{Form, PART, bare, body::ROWS_MAX};
use crate::{clock, document::Fault, problem::Problem, state::State};
use std::collections::BTreeMap;

/// What stands in a form when it is drawn.
#[derive(Debug, Clone, Default)]
pub struct Draft {
    /// A key that was never posted.
    pub key: String,
    /// Fields by bare name.
    fields: BTreeMap<String, String>,
    /// What is not right, by field.
    pub faults: Vec<Fault>,
    /// What is not right, where no field says it.
    pub problem: Option<Problem>,
    /// Which form of a page with several it is; empty if there is one.
    pub part: String,
}

impl Draft {
    /// An empty form.
    #[must_use]
    pub fn new(state: &State) -> Self {
        Self { key: clock::new_id(state.now()).to_string(), ..Self::default() }
    }

    /// The same form with a field filled.
    #[must_use]
    pub fn with(mut self, name: impl Into<String>, text: impl Into<String>) -> Self {
        self.fields.insert(name.into(), text.into());
        self
    }

    /// What one of a page's forms is drawn with: what was posted if it was that form, else
    /// nothing. The fields of each are named apart.
    #[must_use]
    pub fn of_part(&self, state: &State, part: &str) -> Self {
        let own = if self.text(PART) == part { self.clone() } else { Self::new(state) };
        Self { part: part.to_owned(), ..own }
    }

    /// The `id` of a field on the page.
    #[must_use]
    pub fn id_of(&self, bare: &str) -> String {
        let place = bare.replace('/', "-");
        if self.part.is_empty() {
            return format!("field-{place}");
        }
        format!("field-{}-{place}", self.part)
    }

    /// The same form with a field filled if nothing stands in it.
    #[must_use]
    pub fn with_default(self, name: &str, text: impl Into<String>) -> Self {
        if self.fields.contains_key(name) { self } else { self.with(name, text) }
    }

    /// A form as it was posted, drawn once more.
    #[must_use]
    pub fn of_form(state: &State, form: Form) -> Self {
        let by_name = |(name, text): (String, String)| (bare(&name).to_owned(), text);
        let fields = form.fields.into_iter().map(by_name).collect();
        Self { fields, ..Self::new(state) }
    }

    /// The same with what was not right. Its key is new: the answer to the
    /// old one is kept, and it was no.
    #[must_use]
    pub fn with_faults(state: &State, form: Form, problem: &Problem) -> Self {
        Self {
            faults: problem.errors.clone(),
            problem: problem.errors.is_empty().then(|| problem.clone()),
            ..Self::of_form(state, form)
        }
    }

    /// What stands in a field; nothing if it was never filled.
    #[must_use]
    pub fn text(&self, name: &str) -> &str {
        self.fields.get(name).map_or("", String::as_str)
    }

    /// What is not right in a field.
    #[must_use]
    pub fn fault(&self, name: &str) -> Option<&Fault> {
        self.faults.iter().find(|fault| fault.pointer == name)
    }

    /// Rows of a list that something stands in, counted from 0: one more than the last. As
    /// many as are read, so that a number in a name draws no page without end.
    #[must_use]
    pub fn rows(&self, list: &str) -> usize {
        let row = |(name, text): (&String, &String)| {
            let rest = name.strip_prefix(list)?.strip_prefix('/')?;
            let row: usize = rest.split('/').next()?.parse().ok()?;
            (!text.is_empty() && row < ROWS_MAX).then_some(row + 1)
        };
        self.fields.iter().filter_map(row).max().unwrap_or(0)
    }

    /// Whether anything is not right yet.
    #[must_use]
    pub fn is_refused(&self) -> bool {
        !self.faults.is_empty() || self.problem.is_some()
    }
}
