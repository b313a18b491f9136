//! What a product says of itself: allergens, contents, list of ingredients, nutrition.

use crate::{
    allergens::{Allergens, Swaps, allergens},
    bakery::{Bakery, Recipes},
    contents::Contents,
    expand::{contents, item_contents},
    label::{Label, label},
    nutrition::{Declared, nutrition},
    regulation::{NutritionStyle, Regulation},
};
use num_rational::BigRational;
use num_traits::One;

/// A nutrition declaration for two amounts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Declaration {
    /// For 100 g of the finished product; none if nobody knows what a piece weighs.
    pub per_100g: Option<Vec<Declared>>,
    /// For one piece.
    pub per_piece: Vec<Declared>,
    /// For 100 g as it is mixed and filled, before the oven.
    pub per_100g_before_baking: Vec<Declared>,
}

/// All that a product says of itself by one regulation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    /// The union over everything that touches it.
    pub allergens: Allergens,
    /// What is in a piece.
    pub contents: Contents,
    /// Its list of ingredients.
    pub label: Label,
    /// What it nourishes.
    pub nutrition: Declaration,
}

/// States a product by the formulas of a time and one regulation.
#[must_use]
pub fn statement(
    bakery: &Bakery,
    recipes: &Recipes,
    product: u32,
    regulation: &Regulation,
) -> Statement {
    let found = contents(bakery, recipes, product);
    let named = bakery.product(product).label.quantities.iter();
    let quantities: Vec<u32> =
        named.filter_map(|code| bakery.index().item(code.as_str())).collect();
    Statement {
        allergens: allergens(bakery, recipes, product, &Swaps::new()),
        label: label(bakery, regulation, &found, &quantities),
        nutrition: declare(bakery, &found, regulation.nutrition),
        contents: found,
    }
}

/// Declares 100 g of what a formula makes, by the version in `recipes`: to lay two
/// versions of a formula side by side.
#[must_use]
pub fn formula_nutrition(
    bakery: &Bakery,
    recipes: &Recipes,
    item: u32,
    style: NutritionStyle,
) -> Vec<Declared> {
    let found = item_contents(bakery, recipes, item, hundred());
    nutrition(bakery, &found.leaves(), &found.unweighed, &BigRational::one(), style)
}

/// Declares what is in a piece.
#[must_use]
pub fn declare(bakery: &Bakery, found: &Contents, style: NutritionStyle) -> Declaration {
    let leaves = found.leaves();
    let per =
        |hundreds: &BigRational| nutrition(bakery, &leaves, &found.unweighed, hundreds, style);
    Declaration {
        per_100g: found.finished.as_ref().map(|grams| per(&(grams / hundred()))),
        per_piece: per(&BigRational::one()),
        per_100g_before_baking: per(&(found.used() / hundred())),
    }
}

fn hundred() -> BigRational {
    BigRational::from_integer(100.into())
}
