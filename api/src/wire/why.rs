//! Why a number is what it is, and the links that lead there.

mod words;

use super::{amount::instant, named};
use crate::{messages::Sentence, service::plan::Morning};
use domain::{
    bakery::Bakery,
    plan::why::{Why, WhyInput, WhyOf, WhyStep, WhyValue},
    quantity::MICRO,
    ratio::Ratio,
};
use serde::Serialize;
use utoipa::ToSchema;

/// The chain from orders to one number.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WhyView {
    /// The number asked about: the address of this chain.
    #[schema(value_type = String, example = "/v1/why/lines/2026-06-12/bun/1/fine-salt")]
    pub of: WhyLink,
    /// What came out at the end.
    pub result: WhyValueView,
    /// Its steps, first to last; a result is an input of a later step.
    pub steps: Vec<WhyStepView>,
    /// Numbers that it leans on, to be asked in turn.
    #[schema(value_type = Vec<String>)]
    pub because: Vec<WhyLink>,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    pub made_at: String,
}

/// The address of a chain, which is all that JSON says of it.
#[derive(Debug, Clone, Serialize)]
#[serde(into = "String")]
pub struct WhyLink {
    /// Where it is asked.
    pub address: String,
    /// What it is about, in the names that people use.
    pub about: Sentence,
}

impl From<WhyLink> for String {
    fn from(link: WhyLink) -> Self {
        link.address
    }
}

/// One step: a rule, what went in, what came out.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WhyStepView {
    /// The rule in plain words.
    #[schema(value_type = String, example = "to the nearest division of the scale, half up")]
    pub rule: Sentence,
    /// What went in.
    pub inputs: Vec<WhyInputView>,
    /// What came out, a decimal rounded half up to six places.
    #[schema(example = "154.526014")]
    pub result: String,
    /// What it counts; none for a bare number.
    pub unit: Option<&'static str>,
    /// The result exactly, if six places do not hold it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fraction: Option<String>,
}

/// One input of a step.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WhyInputView {
    /// What it is.
    #[schema(value_type = String, example = "exact")]
    pub name: Sentence,
    /// A decimal rounded half up to six places.
    #[schema(example = "154.526014")]
    pub value: String,
    /// What it counts; none for a bare number.
    pub unit: Option<&'static str>,
    /// The value exactly, if six places do not hold it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fraction: Option<String>,
}

/// A value of a chain.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WhyValueView {
    /// A decimal rounded half up to six places.
    #[schema(example = "154.6")]
    pub value: String,
    /// What it counts; none for a bare number.
    pub unit: Option<&'static str>,
    /// The value exactly, if six places do not hold it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fraction: Option<String>,
}

/// The address under which a number can be unfolded.
#[must_use]
pub fn link(bakery: &Bakery, of: WhyOf) -> String {
    let item = |position| &bakery.item(position).code;
    let product = |position| &bakery.product(position).code;
    match of {
        WhyOf::Pieces(date, made) => format!("/v1/why/pieces/{date}/{}", product(made)),
        WhyOf::Batch(date, made) => format!("/v1/why/batches/{date}/{}", item(made)),
        WhyOf::Line(date, made, load, taken) => {
            format!("/v1/why/lines/{date}/{}/{load}/{}", item(made), item(taken))
        }
        WhyOf::Topping(date, made, taken) => {
            format!("/v1/why/toppings/{date}/{}/{}", product(made), item(taken))
        }
        WhyOf::Need(date, user, taken) => {
            let user = named::user(bakery, user).wired();
            format!("/v1/why/needs/{date}/{user}/{}", item(taken))
        }
    }
}

/// A chain as it is sent.
#[must_use]
pub fn why(morning: &Morning, why: &Why) -> WhyView {
    let result = why.steps.last().map_or(WhyValue::Number(Ratio::ZERO), |step| step.result);
    let bakery = &morning.bakery;
    let to = |of| WhyLink { address: link(bakery, of), about: words::about(bakery, of) };
    WhyView {
        of: to(why.of),
        result: value(result),
        steps: why.steps.iter().map(|one| step(bakery, one)).collect(),
        because: why.because.iter().copied().map(to).collect(),
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
    }
}

fn step(bakery: &Bakery, step: &WhyStep) -> WhyStepView {
    let input = |(name, input): &(WhyInput, WhyValue)| {
        let WhyValueView { value, unit, fraction } = value(*input);
        WhyInputView { name: words::input(bakery, name), value, unit, fraction }
    };
    let WhyValueView { value: result, unit, fraction } = value(step.result);
    let inputs = step.inputs.iter().map(input).collect();
    WhyStepView { rule: words::rule(step.rule), inputs, result, unit, fraction }
}

fn value(value: WhyValue) -> WhyValueView {
    let (number, unit) = match value {
        WhyValue::Pieces(count) => (Ratio::whole(count.into()), Some("pieces")),
        WhyValue::Loads(count) => (Ratio::whole(count.into()), Some("loads")),
        WhyValue::Mass(ug) => (base(ug), Some("g")),
        WhyValue::Count(micro) => (base(micro), Some("each")),
        WhyValue::InBaseUnit(micro, unit) => (base(micro), Some(unit.symbol())),
        WhyValue::Batches(batches) => (batches, Some("batch")),
        WhyValue::Percent(percent) => (percent, Some("%")),
        WhyValue::Number(number) => (number, None),
    };
    // Six places hold a fraction exactly if its denominator divides a million.
    let held = i128::from(MICRO) % number.denominator() == 0;
    let fraction = (!held).then(|| format!("{}/{}", number.numerator(), number.denominator()));
    WhyValueView { value: number.to_decimal(6), unit, fraction }
}

/// Millionths in base units; a fraction too fine to divide once more is rounded first.
fn base(micro: Ratio) -> Ratio {
    let million = Ratio::whole(MICRO.into());
    micro.over(million).unwrap_or_else(|_| {
        let rounded = micro.round_half_up().unwrap_or(0);
        Ratio::new(rounded, MICRO.into()).unwrap_or(Ratio::ZERO)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_that_six_places_do_not_hold_also_shows_its_fraction() {
        let third = value(WhyValue::Mass(Ratio::new(1_000_000, 3).expect("a fraction")));
        assert_eq!((third.value.as_str(), third.fraction.as_deref()), ("0.333333", Some("1/3")));
        let half = value(WhyValue::Percent(Ratio::new(3, 2).expect("a fraction")));
        assert_eq!((half.value.as_str(), half.fraction), ("1.5", None));
    }
}
