//! The declaration of the European Union.
//!
//! # Source
//! Regulation (EU) No 1169/2011, Annex XIV (factors) and XV (order), from memory;
//! Commission guidance of December 2012 on tolerances, table of roundings.

use super::{
    Line, Nutrient, Nutrients,
    round::{Step, plain, stepped},
    symbol, value, weighted, whole,
};
use crate::nutrients::NutrientUnit::{Gram, Kilocalorie};
use num_bigint::BigInt;
use num_rational::BigRational;

/// The lines in the order of the law.
pub(super) const LINES: [Line; 9] = [
    Line { word: "energy_kj", of_which: false, unit: "kJ", per_100g: kilojoules, round: energy_kj },
    Line {
        word: "energy_kcal",
        of_which: false,
        unit: symbol(Kilocalorie),
        per_100g: kilocalories,
        round: energy_kcal,
    },
    gram("fat", false, |n| value(n, Nutrient::Fat), macro_nutrient),
    gram("saturates", true, |n| value(n, Nutrient::Saturates), saturates),
    gram("carbohydrate", false, carbohydrate, macro_nutrient),
    gram("sugars", true, |n| value(n, Nutrient::Sugars), macro_nutrient),
    gram("fibre", false, |n| value(n, Nutrient::Fibre), macro_nutrient),
    gram("protein", false, |n| value(n, Nutrient::Protein), macro_nutrient),
    gram("salt", false, salt, rounded_salt),
];

const fn gram(
    word: &'static str,
    of_which: bool,
    per_100g: fn(&Nutrients) -> Option<BigRational>,
    round: fn(&BigRational) -> String,
) -> Line {
    Line { word, of_which, unit: symbol(Gram), per_100g, round }
}

/// Carbohydrate without fibre: tables by difference count fibre in.
fn carbohydrate(nutrients: &Nutrients) -> Option<BigRational> {
    let all = value(nutrients, Nutrient::Carbohydrate)?;
    Some(all - value(nutrients, Nutrient::Fibre)?)
}

fn kilojoules(nutrients: &Nutrients) -> Option<BigRational> {
    energy(nutrients, [37, 17, 17, 8, 10, 29].map(whole))
}

fn kilocalories(nutrients: &Nutrients) -> Option<BigRational> {
    let polyols = BigRational::new(BigInt::from(24), BigInt::from(10));
    energy(nutrients, [whole(9), whole(4), whole(4), whole(2), polyols, whole(7)])
}

/// Energy by the factors of fat, carbohydrate, protein, fibre, polyols and alcohol.
fn energy(nutrients: &Nutrients, factors: [BigRational; 6]) -> Option<BigRational> {
    let [fat, carbohydrate_factor, protein, fibre, polyols, alcohol] = factors;
    // Polyols are counted among carbohydrates; they have a factor of their own.
    let polyols = polyols - &carbohydrate_factor;
    let rest = weighted(
        nutrients,
        &[
            (Nutrient::Fat, fat),
            (Nutrient::Protein, protein),
            (Nutrient::Fibre, fibre),
            (Nutrient::Polyols, polyols),
            (Nutrient::Alcohol, alcohol),
        ],
    )?;
    Some(rest + carbohydrate(nutrients)? * carbohydrate_factor)
}

/// Salt is sodium times 2.5.
fn salt(nutrients: &Nutrients) -> Option<BigRational> {
    Some(value(nutrients, Nutrient::Sodium)? * whole(25) / whole(10_000))
}

fn energy_kj(value: &BigRational) -> String {
    format!("{} kJ", plain(value, Step::ONE))
}

fn energy_kcal(value: &BigRational) -> String {
    format!("{} kcal", plain(value, Step::ONE))
}

/// To 1 g from 10 g on, to 0.1 g above 0.5 g.
fn macro_nutrient(value: &BigRational) -> String {
    stepped(value, "0.5", &[("10", Step::ONE), ("0", Step::TENTH)])
}

/// To 1 g from 10 g on, to 0.1 g above 0.1 g.
fn saturates(value: &BigRational) -> String {
    stepped(value, "0.1", &[("10", Step::ONE), ("0", Step::TENTH)])
}

/// To 0.1 g from 1 g on, to 0.01 g above 0.0125 g; below that it is less than 0.01 g.
fn rounded_salt(value: &BigRational) -> String {
    let little = stepped(value, "0.0125", &[("1", Step::TENTH), ("0", Step::HUNDREDTH)]);
    if little == "<0.0125 g" { "<0.01 g".to_owned() } else { little }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ratio::Ratio;

    fn number(text: &str) -> BigRational {
        Ratio::parse_decimal(text, 6).expect("a decimal").to_big()
    }

    #[test]
    fn figures_are_rounded_by_their_size() {
        // Source: check-values.md NU-11; Commission guidance of December 2012.
        for (value, printed) in [
            ("28.508", "29 g"),
            ("34.328", "34 g"),
            ("8.875", "8.9 g"),
            ("9.96", "10 g"),
            ("0.51", "0.5 g"),
            ("0.5", "<0.5 g"),
            ("0", "0 g"),
        ] {
            assert_eq!(macro_nutrient(&number(value)), printed, "{value}");
        }
        for (value, printed) in
            [("0.965", "0.97 g"), ("1.25", "1.3 g"), ("0.0126", "0.01 g"), ("0.0125", "<0.01 g")]
        {
            assert_eq!(rounded_salt(&number(value)), printed, "{value}");
        }
        assert_eq!(saturates(&number("0.11")), "0.1 g");
        assert_eq!(saturates(&number("0.1")), "<0.1 g");
        assert_eq!(energy_kj(&number("1799.24")), "1799 kJ");
    }
}
