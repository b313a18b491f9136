//! What is in a piece is what the formula views and the expansion say of it.

use super::{Tried, WORLDS, open};
use anyhow::{Context, Result, ensure};
use domain::{
    bakery::Driver,
    expand::{contents, item_contents},
};
use jiff::civil::Date;
use num_rational::BigRational;
use num_traits::One;
use std::collections::BTreeMap;
use weighhouse_tests::builders::world;

const ON: Date = Date::constant(2026, 3, 27);

#[test]
fn a_gram_of_a_formula_holds_what_its_overall_view_says() -> Result<()> {
    let mut tried = Tried::default();
    for seed in 0..WORLDS {
        let bakery = open(&world(seed)).with_context(|| format!("seed {seed}"))?;
        let recipes = bakery.recipes(ON);
        let boils = |stage: &str| ["cook", "bake", "cool"].contains(&stage);
        let formulas = &bakery.lists().formulas;
        if formulas.iter().flat_map(|one| &one.losses).any(|loss| boils(&loss.stage)) {
            continue;
        }
        // A batch that is said to give less than goes in has boiled down: more is in a gram.
        let weighed = |driver| matches!(driver, Driver::Batch { mass_ug: Some(_), .. });
        if recipes.recipes.iter().any(|recipe| weighed(recipe.driver)) {
            continue;
        }
        for recipe in &recipes.recipes {
            let Some(views) = bakery.views(recipes, recipe.item) else { continue };
            let found = item_contents(&bakery, recipes, recipe.item, BigRational::one());
            if !found.unweighed.is_empty() || !found.dusted.is_empty() {
                continue;
            }
            let all: BigRational = views.overall.iter().map(|(_, parts)| parts).sum();
            let shares: BTreeMap<u32, BigRational> =
                views.overall.iter().map(|(item, parts)| (*item, parts / &all)).collect();
            let leaves = found.leaves();
            let sum: BigRational = leaves.values().sum();
            let leaves: BTreeMap<u32, BigRational> =
                leaves.into_iter().map(|(item, grams)| (item, grams / &sum)).collect();
            ensure!(shares == leaves, "seed {seed}, item {}", recipe.item);
            tried.checks += 1;
        }
    }
    ensure!(tried.checks > 100, "{tried:?}");
    Ok(())
}

#[test]
fn nothing_appears_and_nothing_is_lost_between_the_levels() -> Result<()> {
    let mut tried = Tried::default();
    for seed in 0..WORLDS {
        let bakery = open(&world(seed)).with_context(|| format!("seed {seed}"))?;
        let recipes = bakery.recipes(ON);
        for product in 0..u32::try_from(bakery.lists().products.len())? {
            let found = contents(&bakery, recipes, product);
            let leaves: BigRational = found.leaves().values().sum();
            ensure!(leaves == found.ingoing(), "seed {seed}, product {product}");
            ensure!(found.used() <= found.ingoing(), "seed {seed}, product {product}");
            tried.checks += 1;
        }
    }
    ensure!(tried.checks > 100, "{tried:?}");
    Ok(())
}
