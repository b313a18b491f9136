//! Rounding half up to a step, written with the step's places.

use crate::ratio::Ratio;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::Zero;

/// A step of rounding: so many hundredths, written with so many places.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    hundredths: i64,
    places: usize,
}

impl Step {
    pub(super) const TEN: Self = Self { hundredths: 1000, places: 0 };
    pub(super) const FIVE: Self = Self { hundredths: 500, places: 0 };
    pub(super) const ONE: Self = Self { hundredths: 100, places: 0 };
    pub(super) const HALF: Self = Self { hundredths: 50, places: 1 };
    pub(super) const TENTH: Self = Self { hundredths: 10, places: 1 };
    pub(super) const HUNDREDTH: Self = Self { hundredths: 1, places: 2 };
}

/// A number rounded half up to a step.
pub(super) fn plain(value: &BigRational, step: Step) -> String {
    let size = BigRational::new(BigInt::from(step.hundredths), BigInt::from(100));
    let half = BigRational::new(BigInt::from(1), BigInt::from(2));
    let steps = (value / size + half).floor().to_integer();
    let hundredths = steps * BigInt::from(step.hundredths);
    let sign = if hundredths < BigInt::zero() { "-" } else { "" };
    let digits = format!("{:0>3}", hundredths.magnitude().to_string());
    let (units, part) = digits.split_at(digits.len() - 2);
    let part = &part[..step.places];
    if part.is_empty() { format!("{sign}{units}") } else { format!("{sign}{units}.{part}") }
}

/// Grams rounded by their size: by the first step whose bound they reach; what is not
/// above `least` is less than it.
pub(super) fn stepped(value: &BigRational, least: &str, steps: &[(&str, Step)]) -> String {
    if value.is_zero() {
        return "0 g".to_owned();
    }
    if *value <= decimal(least) {
        return format!("<{least} g");
    }
    let fits = |(bound, _): &&(&str, Step)| *value >= decimal(bound);
    let step = steps.iter().find(fits).map_or(Step::ONE, |(_, step)| *step);
    let text = plain(value, step);
    // Rounded up to the size of the next step, it is written as that step writes.
    format!("{} g", if text == "10.0" { "10" } else { &text })
}

/// A decimal that is written in this crate.
pub(super) fn decimal(text: &str) -> BigRational {
    match Ratio::parse_decimal(text, 6) {
        Ok(value) => value.to_big(),
        Err(_) => unreachable!("{text} is a decimal"),
    }
}
