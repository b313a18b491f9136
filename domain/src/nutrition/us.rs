//! The declaration of the United States.
//!
//! # Source
//! 21 CFR 101.9(c); roundings as in the FDA's Food Labeling Guide, appendix H; those of
//! vitamin D, calcium, iron and potassium from memory of the rule of 2016.

use super::{
    Line, Nutrient, Nutrients,
    round::{Step, decimal, plain},
    symbol, value, weighted, whole,
};
use crate::nutrients::NutrientUnit::{Gram, Kilocalorie, Microgram, Milligram};
use num_rational::BigRational;
use num_traits::Zero;

/// The lines in the order of the law.
pub(super) const LINES: [Line; 15] = [
    Line {
        word: "calories",
        of_which: false,
        unit: symbol(Kilocalorie),
        per_100g: energy,
        round: calories,
    },
    gram("fat", false, |n| value(n, Nutrient::Fat), fat),
    gram("saturates", true, |n| value(n, Nutrient::Saturates), fat),
    gram("trans", true, |n| value(n, Nutrient::Trans), fat),
    milligram("cholesterol", |n| value(n, Nutrient::Cholesterol), cholesterol),
    milligram("sodium", |n| value(n, Nutrient::Sodium), sodium),
    gram("carbohydrate", false, |n| value(n, Nutrient::Carbohydrate), whole_grams),
    gram("fibre", true, |n| value(n, Nutrient::Fibre), whole_grams),
    gram("sugars", true, |n| value(n, Nutrient::Sugars), whole_grams),
    gram("added_sugars", true, |n| value(n, Nutrient::AddedSugars), whole_grams),
    gram("protein", false, |n| value(n, Nutrient::Protein), whole_grams),
    Line {
        word: "vitamin_d",
        of_which: false,
        unit: symbol(Microgram),
        per_100g: |n| value(n, Nutrient::VitaminD),
        round: vitamin_d,
    },
    milligram("calcium", |n| value(n, Nutrient::Calcium), tens),
    milligram("iron", |n| value(n, Nutrient::Iron), tenths),
    milligram("potassium", |n| value(n, Nutrient::Potassium), tens),
];

const fn gram(
    word: &'static str,
    of_which: bool,
    per_100g: fn(&Nutrients) -> Option<BigRational>,
    round: fn(&BigRational) -> String,
) -> Line {
    Line { word, of_which, unit: symbol(Gram), per_100g, round }
}

const fn milligram(
    word: &'static str,
    per_100g: fn(&Nutrients) -> Option<BigRational>,
    round: fn(&BigRational) -> String,
) -> Line {
    Line { word, of_which: false, unit: symbol(Milligram), per_100g, round }
}

/// The food's own specific factors where its table states energy, else 4, 4 and 9.
///
/// # Source
/// 21 CFR 101.9(c)(1)(i)(A) and (B).
fn energy(nutrients: &Nutrients) -> Option<BigRational> {
    let general = [
        (Nutrient::Protein, whole(4)),
        (Nutrient::Carbohydrate, whole(4)),
        (Nutrient::Fat, whole(9)),
        (Nutrient::Alcohol, whole(7)),
    ];
    value(nutrients, Nutrient::Energy).or_else(|| weighted(nutrients, &general))
}

/// Below 5 none; to 5 up to 50; to 10 above.
fn calories(value: &BigRational) -> String {
    let step = if *value <= whole(50) { Step::FIVE } else { Step::TEN };
    if *value < whole(5) { "0".to_owned() } else { plain(value, step) }
}

/// Below 0.5 g none; to 0.5 g below 5 g; to 1 g from there.
fn fat(value: &BigRational) -> String {
    if *value < decimal("0.5") {
        return "0 g".to_owned();
    }
    let step = if *value < whole(5) { Step::HALF } else { Step::ONE };
    let text = plain(value, step);
    format!("{} g", text.strip_suffix(".0").unwrap_or(&text))
}

/// Below 2 mg none; up to 5 mg "less than 5 mg"; to 5 mg above.
fn cholesterol(value: &BigRational) -> String {
    if *value < whole(2) {
        "0 mg".to_owned()
    } else if *value <= whole(5) {
        "less than 5 mg".to_owned()
    } else {
        format!("{} mg", plain(value, Step::FIVE))
    }
}

/// Below 5 mg none; to 5 mg up to 140 mg; to 10 mg above.
fn sodium(value: &BigRational) -> String {
    let step = if *value <= whole(140) { Step::FIVE } else { Step::TEN };
    if *value < whole(5) { "0 mg".to_owned() } else { format!("{} mg", plain(value, step)) }
}

/// Below 0.5 g none; below 1 g "less than 1 g"; to 1 g from there.
fn whole_grams(value: &BigRational) -> String {
    if *value < decimal("0.5") {
        "0 g".to_owned()
    } else if *value < whole(1) {
        "less than 1 g".to_owned()
    } else {
        format!("{} g", plain(value, Step::ONE))
    }
}

fn vitamin_d(value: &BigRational) -> String {
    if value.is_zero() { "0 µg".to_owned() } else { format!("{} µg", plain(value, Step::TENTH)) }
}

fn tens(value: &BigRational) -> String {
    format!("{} mg", plain(value, Step::TEN))
}

fn tenths(value: &BigRational) -> String {
    format!("{} mg", plain(value, Step::TENTH))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_rounded_by_their_size() {
        // Source: FDA Food Labeling Guide, appendix H (October 2009).
        let each = |round: fn(&BigRational) -> String, rows: &[(&str, &str)]| {
            for (value, printed) in rows {
                assert_eq!(round(&decimal(value)), *printed, "{value}");
            }
        };
        each(calories, &[("4.9", "0"), ("5", "5"), ("47.6", "50"), ("52", "50"), ("55", "60")]);
        each(
            fat,
            &[("0.49", "0 g"), ("0.5", "0.5 g"), ("4.3", "4.5 g"), ("4.8", "5 g"), ("5.5", "6 g")],
        );
        each(
            cholesterol,
            &[("1.9", "0 mg"), ("2", "less than 5 mg"), ("5.1", "5 mg"), ("8", "10 mg")],
        );
        each(sodium, &[("4.9", "0 mg"), ("138", "140 mg"), ("145", "150 mg"), ("144", "140 mg")]);
        each(whole_grams, &[("0.4", "0 g"), ("0.99", "less than 1 g"), ("1.5", "2 g")]);
    }
}
