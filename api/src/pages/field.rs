//! Fields of a form, each with its label, its hint and what is not right in it.

use super::{
    form::{Draft, KEY, PART, bare},
    refusal,
};
use crate::{document::Fault, messages::Words};
use maud::{Markup, html};

/// What a field looks like.
#[derive(Debug, Clone, Copy)]
enum Look<'a> {
    Input { kind: &'static str, mode: Option<&'static str> },
    Choice(&'a [(String, String)]),
    Tick,
}

/// One field: its name in the body (see [`super::form`]) and its label.
#[derive(Debug, Clone, Copy)]
pub struct Field<'a> {
    name: &'a str,
    label: &'a str,
    hint: Option<&'a str>,
    needed: bool,
    look: Look<'a>,
}

impl<'a> Field<'a> {
    const fn looking(name: &'a str, label: &'a str, look: Look<'a>) -> Self {
        Self { name, label, hint: None, needed: false, look }
    }

    /// A line of text.
    #[must_use]
    pub const fn text(name: &'a str, label: &'a str) -> Self {
        Self::looking(name, label, Look::Input { kind: "text", mode: None })
    }

    /// Digits, typed on a pad of digits.
    #[must_use]
    pub const fn number(name: &'a str, label: &'a str) -> Self {
        Self::looking(name, label, Look::Input { kind: "text", mode: Some("decimal") })
    }

    /// A local date.
    #[must_use]
    pub const fn date(name: &'a str, label: &'a str) -> Self {
        Self::looking(name, label, Look::Input { kind: "date", mode: None })
    }

    /// A local time of day.
    #[must_use]
    pub const fn time(name: &'a str, label: &'a str) -> Self {
        Self::looking(name, label, Look::Input { kind: "time", mode: None })
    }

    /// A local date and time of day; what is posted gets the bakery's offset.
    #[must_use]
    pub const fn moment(name: &'a str, label: &'a str) -> Self {
        Self::looking(name, label, Look::Input { kind: "datetime-local", mode: None })
    }

    /// One of several: the value that is sent, and what is shown.
    #[must_use]
    pub const fn choice(name: &'a str, label: &'a str, options: &'a [(String, String)]) -> Self {
        Self::looking(name, label, Look::Choice(options))
    }

    /// A box to tick; name it `…:flag`.
    #[must_use]
    pub const fn tick(name: &'a str, label: &'a str) -> Self {
        Self::looking(name, label, Look::Tick)
    }

    /// The same with a line that helps.
    #[must_use]
    pub const fn hint(mut self, hint: &'a str) -> Self {
        self.hint = Some(hint);
        self
    }

    /// The same, which must be filled.
    #[must_use]
    pub const fn needed(mut self) -> Self {
        self.needed = true;
        self
    }

    /// Draws it with what stands in it.
    #[must_use]
    pub fn draw(&self, words: Words, draft: &Draft) -> Markup {
        let Self { name, label, hint, needed, look } = self;
        let bare = bare(name);
        // What must be filled is sent even if it is empty, so that the service names it.
        let sent =
            if *needed && bare == *name { format!("{name}:needed") } else { (*name).to_owned() };
        let id = draft.id_of(bare);
        let fault = draft.fault(bare);
        let mut described = Vec::new();
        if hint.is_some() {
            described.push(format!("{id}-hint"));
        }
        if fault.is_some() {
            described.push(format!("{id}-fault"));
        }
        let described = (!described.is_empty()).then(|| described.join(" "));
        let says =
            Says { id: &id, name: &sent, text: draft.text(bare), described, bad: fault.is_some() };
        let tick = matches!(look, Look::Tick);
        html! {
            div.field.tick[tick].wrong[fault.is_some()] {
                @if tick { (control(words, *look, *needed, &says)) }
                label for=(id) {
                    (label)
                    @if *needed { " " span.needed { (words.say("required")) } }
                }
                @if let Some(hint) = hint { p.hint id={ (id) "-hint" } { (hint) } }
                @if let Some(fault) = fault { p.fault id={ (id) "-fault" } { (said(words, fault)) } }
                @if !tick { (control(words, *look, *needed, &says)) }
            }
        }
    }
}

/// What a control says of itself.
struct Says<'a> {
    id: &'a str,
    name: &'a str,
    text: &'a str,
    described: Option<String>,
    bad: bool,
}

fn control(words: Words, look: Look<'_>, needed: bool, says: &Says<'_>) -> Markup {
    let Says { id, name, text, described, bad } = says;
    let bad = bad.then_some("true");
    html! {
        @match look {
            Look::Input { kind, mode } => {
                input id=(id) name=(name) type=(kind) inputmode=[mode] value=(text)
                    aria-describedby=[described] aria-invalid=[bad] required[needed];
            }
            Look::Tick => {
                input id=(id) name=(name) type="checkbox" value="on" checked[!text.is_empty()]
                    aria-describedby=[described] aria-invalid=[bad];
            }
            Look::Choice(options) => {
                select id=(id) name=(name) aria-describedby=[described] aria-invalid=[bad]
                    required[needed] {
                    option value="" { (words.say("choose")) }
                    @for (value, shown) in options {
                        option value=(value) selected[value == text] { (shown) }
                    }
                }
            }
        }
    }
}

/// A field that is sent and not seen.
#[must_use]
pub fn hidden(name: &str, text: &str) -> Markup {
    html! { input type="hidden" name=(name) value=(text); }
}

/// A whole form: what is not right on top, the fields, and the button that sends it.
#[must_use]
pub fn form(
    words: Words,
    draft: &Draft,
    (action, button): (&str, &str),
    fields: &Markup,
) -> Markup {
    html! {
        (faults(words, draft))
        form.entry method="post" action=(action) novalidate {
            (hidden(KEY, &draft.key))
            @if !draft.part.is_empty() { (hidden(PART, &draft.part)) }
            (fields)
            p.send { button type="submit" { (button) } }
        }
    }
}

/// What is not right, with a way to each field.
///
/// # Source
/// WCAG 2.2, success criteria 3.3.1 and 3.3.3.
#[must_use]
pub fn faults(words: Words, draft: &Draft) -> Markup {
    let Draft { faults, problem, .. } = draft;
    let count = faults.len().max(1);
    html! {
        @if draft.is_refused() {
            div #faults .faults role="alert" tabindex="-1" autofocus {
                h2 { (words.tell("faults-title", &[("count", count.into())])) }
                @if let Some(problem) = problem {
                    p { (refusal::said(words, problem.kind.row().0, &problem.detail)) }
                }
                ul {
                    @for fault in faults {
                        @let Fault { pointer, kind, detail } = fault;
                        li {
                            a href={ "#" (draft.id_of(pointer)) } { (refusal::sentence(words, kind, detail)) }
                            (refusal::particulars(words, detail))
                        }
                    }
                }
                p { (words.say("faults-nothing-kept")) }
            }
        }
    }
}

/// What is not right with a form that is not on the page any more: nothing if one of `parts`
/// was posted, which says it itself.
#[must_use]
pub fn unplaced(words: Words, draft: &Draft, parts: &[String]) -> Markup {
    let there = parts.iter().any(|part| part == draft.text(PART));
    html! { @if !there { (faults(words, draft)) } }
}

/// What is not right with several fields together, such as a list of lines.
#[must_use]
pub fn fault_of(words: Words, draft: &Draft, name: &str) -> Markup {
    html! {
        @if let Some(fault) = draft.fault(name) {
            p.fault id=(draft.id_of(name)) { (said(words, fault)) }
        }
    }
}

/// What is not right, behind a word that says so.
fn said(words: Words, fault: &Fault) -> Markup {
    html! { (words.say("fault")) " " (refusal::said(words, fault.kind, &fault.detail)) }
}
