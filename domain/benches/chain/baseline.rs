//! What a user's script would do: recursion over hash maps with text keys.
#![expect(
    clippy::float_arithmetic,
    clippy::disallowed_types,
    reason = "the baseline is a script as people write it"
)]

use domain::{
    bakery::BakeryDraft,
    demand::Demand,
    formula::LineAmount,
    product::{MakeUp, MakeUpAmount},
    ratio::Ratio,
};
use std::collections::HashMap;

/// A formula in the script: what is left after losses, and parts by name.
struct Recipe {
    remaining: f64,
    parts: Vec<(String, f64)>,
    sum: f64,
}

/// The script's tables.
pub struct Script {
    recipes: HashMap<String, Recipe>,
    pieces: HashMap<String, Vec<(String, f64)>>,
}

fn float(ratio: Ratio) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a script does not care")]
    let (above, below) = (ratio.numerator() as f64, ratio.denominator() as f64);
    above / below
}

impl Script {
    /// Fills the tables.
    pub fn new(draft: &BakeryDraft) -> Self {
        let mut recipes = HashMap::new();
        for formula in &draft.formulas {
            let mut parts = Vec::new();
            for line in &formula.lines {
                if let LineAmount::Parts(amount) = line.amount {
                    parts.push((line.item.to_string(), float(amount)));
                }
            }
            let remaining =
                formula.losses.iter().map(|loss| 1.0 - float(loss.percent) / 100.0).product();
            let sum = parts.iter().map(|(_, part)| part).sum();
            recipes.insert(formula.code.to_string(), Recipe { remaining, parts, sum });
        }
        let mut pieces = HashMap::new();
        for product in &draft.products {
            let mut make_up = Vec::new();
            for line in &product.make_up {
                if let MakeUp::Item { item, amount: MakeUpAmount::Amount(amount), .. } = line {
                    make_up.push((item.to_string(), float(amount.ratio()) / 1e6));
                }
            }
            pieces.insert(product.code.to_string(), make_up);
        }
        Self { recipes, pieces }
    }

    /// Expands all start pieces, product by product and date by date.
    pub fn expand(
        &self,
        demand: &Demand,
        draft: &BakeryDraft,
    ) -> HashMap<String, HashMap<String, f64>> {
        let mut needs: HashMap<String, HashMap<String, f64>> = HashMap::new();
        for line in &demand.pieces {
            let product = draft.products[line.product as usize].code.to_string();
            let of_date = needs.entry(line.service_date.to_string()).or_default();
            for (item, grams) in &self.pieces[&product] {
                #[expect(clippy::cast_precision_loss, reason = "a script does not care")]
                let pieces = line.start as f64;
                self.add(item, grams * pieces, of_date);
            }
        }
        needs
    }

    fn add(&self, item: &str, grams: f64, needs: &mut HashMap<String, f64>) {
        *needs.entry(item.to_owned()).or_default() += grams;
        if let Some(recipe) = self.recipes.get(item) {
            let made = grams / recipe.remaining;
            for (used, part) in &recipe.parts {
                self.add(used, made * part / recipe.sum, needs);
            }
        }
    }
}
