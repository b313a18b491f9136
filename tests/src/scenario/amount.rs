//! Amounts of a scenario ("2.5 kg", "3/8 lb", "48 h") as the wire writes them.

use crate::exact;
use anyhow::{Context, Result, bail};
use num_rational::BigRational;
use serde_json::{Value, json};

/// Digits after the point that an amount in its base unit may carry on the wire.
pub const AMOUNT_DECIMALS: usize = 6;
/// Digits after the point that a percentage or part may carry on the wire.
pub const PARTS_DECIMALS: usize = 6;

/// A number and what it counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Amount {
    /// How many.
    pub value: BigRational,
    /// `g`, `mL`, `each`, `batch` or `min`.
    pub unit: &'static str,
}

/// How much of a base unit one of another unit is.
///
/// # Source
/// International avoirdupois pound of 453.59237 g with 16 ounces, and the US liquid
/// gallon of 3785.411784 mL with 4 quarts (published reference values, units, row UN-07).
fn base(unit: &str) -> Result<(&'static str, &'static str)> {
    Ok(match unit {
        "mg" => ("g", "1/1000"),
        "g" => ("g", "1"),
        "kg" => ("g", "1000"),
        "lb" => ("g", "453.59237"),
        "oz" => ("g", "28.349523125"),
        "mL" | "ml" => ("mL", "1"),
        "L" | "l" => ("mL", "1000"),
        "gal" => ("mL", "3785.411784"),
        "qt" => ("mL", "946.352946"),
        "each" => ("each", "1"),
        "batch" | "batches" => ("batch", "1"),
        "min" => ("min", "1"),
        "h" => ("min", "60"),
        "d" => ("min", "1440"),
        other => bail!("unknown unit `{other}`"),
    })
}

/// Reads "number unit" into base units.
///
/// # Errors
/// Names the text that is none.
pub fn amount(text: &str) -> Result<Amount> {
    let wrong = || format!("`{text}` is not a number and a unit");
    let (number, unit) = text.trim().rsplit_once(' ').with_context(wrong)?;
    let (unit, factor) = base(unit).with_context(wrong)?;
    let value = exact::parse(number).with_context(wrong)? * exact::parse(factor)?;
    Ok(Amount { value, unit })
}

/// What could not be said exactly on the wire, by what was lost.
#[derive(Debug, Default)]
pub struct Rounded {
    /// Amounts rounded to the wire's smallest unit, as they stood in the scenario.
    pub texts: Vec<String>,
}

/// A quantity of a scenario as the wire writes it.
///
/// # Errors
/// The value is no quantity.
pub fn quantity(value: &Value, rounded: &mut Rounded) -> Result<Value> {
    let text = value.as_str().with_context(|| format!("{value} is not a quantity"))?;
    let Amount { value, unit } = amount(text)?;
    if unit == "min" {
        bail!("`{text}` is a time, not a quantity");
    }
    if !exact::ends_within(&value, AMOUNT_DECIMALS) {
        rounded.texts.push(text.to_owned());
    }
    Ok(json!({"amount": exact::decimal(&value, AMOUNT_DECIMALS), "unit": unit}))
}

/// A duration of a scenario as ISO 8601 writes it.
///
/// # Errors
/// The value is no time in whole minutes.
pub fn duration(value: &Value) -> Result<Value> {
    let text = value.as_str().with_context(|| format!("{value} is not a duration"))?;
    let Amount { value, unit } = amount(text)?;
    if unit != "min" || !value.is_integer() {
        bail!("`{text}` is not a duration in whole minutes");
    }
    let minutes = value.to_integer();
    let (hour, day) = (num_bigint::BigInt::from(60), num_bigint::BigInt::from(1440));
    let none = num_bigint::BigInt::from(0);
    Ok(Value::String(if &minutes % &day == none && minutes != none {
        format!("P{}D", minutes / day)
    } else if &minutes % &hour == none {
        format!("PT{}H", minutes / hour)
    } else {
        format!("PT{minutes}M")
    }))
}

/// A rate ("0.015") as the percentage of the wire ("1.5").
///
/// # Errors
/// The value is no rate.
pub fn percent(value: &Value, rounded: &mut Rounded) -> Result<String> {
    let rate = crate::row::number(value, "a rate")? * exact::whole(100);
    if !exact::ends_within(&rate, PARTS_DECIMALS) {
        rounded.texts.push(value.to_string());
    }
    Ok(exact::decimal(&rate, PARTS_DECIMALS))
}

/// A density such as "1.03 kg/L" in kilograms per litre.
///
/// # Errors
/// The value is no density.
pub fn density(value: &Value, rounded: &mut Rounded) -> Result<String> {
    let text = value.as_str().with_context(|| format!("{value} is not a density"))?;
    let wrong = || format!("`{text}` is not a density such as 1.03 kg/L");
    let (number, unit) = text.trim().rsplit_once(' ').with_context(wrong)?;
    let (above, below) = unit.split_once('/').with_context(wrong)?;
    let ((mass, mass_factor), (volume, volume_factor)) = (base(above)?, base(below)?);
    if (mass, volume) != ("g", "mL") {
        bail!(wrong());
    }
    // Grams in a millilitre are kilograms in a litre.
    let grams = exact::parse(number)? * exact::parse(mass_factor)?;
    let density = grams / exact::parse(volume_factor)?;
    if !exact::ends_within(&density, PARTS_DECIMALS) {
        rounded.texts.push(text.to_owned());
    }
    Ok(exact::decimal(&density, PARTS_DECIMALS))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_of_a_scenario_reaches_the_wire() {
        let mut rounded = Rounded::default();
        for (text, amount, unit) in [
            ("2.500 kg", "2500", "g"),
            ("40 mg", "0.04", "g"),
            ("2 lb", "907.18474", "g"),
            ("16 oz", "453.59237", "g"),
            ("5 L", "5000", "mL"),
            ("1 gal", "3785.411784", "mL"),
            ("4 qt", "3785.411784", "mL"),
            ("3/4 kg", "750", "g"),
            ("9 each", "9", "each"),
            ("0.5 batch", "0.5", "batch"),
        ] {
            let wire = quantity(&json!(text), &mut rounded).expect(text);
            assert_eq!(wire, json!({"amount": amount, "unit": unit}), "{text}");
        }
        assert!(rounded.texts.is_empty());
        quantity(&json!("1/3 kg"), &mut rounded).expect("a quantity");
        assert_eq!(rounded.texts, ["1/3 kg"], "what is lost is told");
        assert!(quantity(&json!("3 cups"), &mut rounded).is_err());
    }

    #[test]
    fn times_rates_and_densities_change_their_dress() {
        let mut rounded = Rounded::default();
        for (text, iso) in
            [("48 h", "P2D"), ("14 h", "PT14H"), ("60 d", "P60D"), ("90 min", "PT90M")]
        {
            assert_eq!(duration(&json!(text)).expect(text), json!(iso));
        }
        assert_eq!(percent(&json!("0.0510"), &mut rounded).expect("a rate"), "5.1");
        assert_eq!(percent(&json!("1/8"), &mut rounded).expect("a rate"), "12.5");
        assert_eq!(density(&json!("1.03 kg/L"), &mut rounded).expect("a density"), "1.03");
        assert_eq!(density(&json!("0.915 g/mL"), &mut rounded).expect("a density"), "0.915");
        assert!(rounded.texts.is_empty());
    }
}
