//! Why a number is what it is, step by step, for a person with a calculator.

use super::Page;
use crate::{
    messages::Words,
    wire::why::{WhyInputView, WhyStepView, WhyView},
};
use maud::{Markup, html};

/// Draws a chain.
#[must_use]
pub fn draw(words: Words, view: &WhyView) -> Page {
    let result = number(words, &view.result.value, view.result.unit);
    Page {
        title: words.tell("why-title", &[("result", result.into())]),
        main: html! {
            p { b { (view.of.about.told(words)) } }
            p.hint { (words.say("why-hint")) }
            ol.steps { @for step in &view.steps { li { (step_of(words, step)) } } }
            @if !view.because.is_empty() {
                section {
                    h2 { (words.say("why-because")) }
                    ul { @for one in &view.because { li { a href=(one.address) { (one.about.told(words)) } } } }
                }
            }
            p.hint { (words.tell("revision", &[("revision", view.plan_revision.to_string().into())])) }
        },
    }
}

fn step_of(words: Words, step: &WhyStepView) -> Markup {
    html! {
        p.rule { (step.rule.told(words)) }
        dl {
            @for WhyInputView { name, value, unit, fraction } in &step.inputs {
                dt { (name.told(words)) }
                dd { (number(words, value, *unit)) (fraction_of(fraction.as_deref())) }
            }
        }
        p.result {
            "= " b { (number(words, &step.result, step.unit)) }
            (fraction_of(step.fraction.as_deref()))
        }
    }
}

/// The exact value, where six places do not hold it.
fn fraction_of(fraction: Option<&str>) -> Markup {
    html! { @if let Some(fraction) = fraction { span.hint { " = " (fraction) } } }
}

fn number(words: Words, value: &str, unit: Option<&str>) -> String {
    unit.map_or_else(|| words.digits(value), |unit| words.amount(value, unit))
}
