//! Mass in is mass out and the losses that are stated, exactly.

use super::{Tried, for_each_world, whole};
use anyhow::{Context, Result, ensure};
use domain::{
    bakery::{Bakery, Recipe, Recipes},
    expand::{expand, make_up},
    formula::{Base, Formula},
    plan::{Batch, Plan},
    quantity::Unit,
    ratio::Ratio,
    weigh,
};
use num_rational::BigRational;
use num_traits::{One, Zero};

/// What is left of one after the losses that a formula states, one after another.
fn kept(formula: &Formula) -> BigRational {
    formula.losses.iter().fold(BigRational::one(), |left, loss| {
        left * (BigRational::one() - loss.percent.to_big() / whole(100))
    })
}

/// Grams in one of what an item is expanded in: pieces if it is counted, else grams.
fn grams(bakery: &Bakery, item: u32) -> Result<BigRational> {
    let found = bakery.item(item);
    if found.base_unit != Unit::Each {
        return Ok(BigRational::one());
    }
    let grams = found.grams_per_base_unit();
    Ok(grams.with_context(|| format!("`{}` has no mass", found.code))?.to_big())
}

/// Grams of all lines of a load in its bowl, or beside it too.
fn load(bakery: &Bakery, recipes: &Recipes, recipe: &Recipe, factor: Ratio) -> Result<[Ratio; 2]> {
    let (mut in_bowl, mut all) = (Ratio::ZERO, Ratio::ZERO);
    for line in recipes.lines_of(recipe) {
        let mut mass = weigh::exact(line, factor)?;
        if line.flags.counted() {
            let each = bakery.item(line.item).grams_per_base_unit().context("a counted item")?;
            mass = mass.times(each)?;
        }
        all = all.plus(mass)?;
        if !line.flags.out_of_bowl() {
            in_bowl = in_bowl.plus(mass)?;
        }
    }
    Ok([in_bowl, all])
}

fn batch_keeps_its_mass(bakery: &Bakery, batch: &Batch, tried: &mut Tried) -> Result<()> {
    let recipes = bakery.recipes(batch.service_date);
    let recipe = &recipes.recipes[batch.recipe as usize];
    let formula = bakery.formula_of(recipe);
    let asked: BigRational = batch.asked.iter().map(|ask| ask.amount.to_big()).sum();
    ensure!(asked == batch.net.to_big(), "`{}`: the asks are not its net", formula.code);
    if batch.blocks.is_some() {
        ensure!(batch.gross.to_big() * kept(formula) == asked, "`{}`: losses", formula.code);
        return Ok(());
    }
    let (mut loads, mut lines) = (0, BigRational::zero());
    for group in &batch.groups {
        let [in_bowl, _] = load(bakery, recipes, recipe, group.factor)?;
        // The lines of a bread or filling are the load, its share of residue included.
        if matches!(formula.base, Base::PercentOfFlour(_) | Base::Parts) {
            ensure!(in_bowl == group.group.mass, "`{}`: lines are not the load", formula.code);
        }
        lines += group.group.mass.to_big() * whole(group.group.loads);
        loads += group.group.loads;
        tried.checks += 1;
    }
    ensure!(loads == batch.split.loads, "`{}`: loads", formula.code);
    let residue = batch.split.residue.to_big() * whole(loads);
    let out = lines - residue - batch.keep_back.to_big();
    match formula.base {
        Base::PercentOfFlour(_) | Base::Parts => {
            ensure!(out == batch.gross.to_big(), "`{}`: the bowls are not its gross", formula.code);
            ensure!(
                out * kept(formula) == asked,
                "`{}`: what is left after its losses is not what was asked",
                formula.code
            );
        }
        // Whole pans: what comes out covers what was asked, and one step less would not.
        Base::PerBatch { step, .. } => {
            let pans: i64 = batch
                .groups
                .iter()
                .map(|group| group.group.loads * group.group.steps.unwrap_or_default())
                .sum();
            let made = |pans: i64| whole(pans) * step.to_big() * kept(formula);
            ensure!(made(pans) >= asked, "`{}`: too few pans", formula.code);
            ensure!(made(pans - 1) < asked, "`{}`: a pan too many", formula.code);
        }
        _ => {}
    }
    Ok(())
}

#[test]
fn a_batch_gives_what_was_asked_and_loses_what_is_stated() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        plan.batches.iter().try_for_each(|batch| batch_keeps_its_mass(bakery, batch, tried))
    })?;
    ensure!(tried.checks > 1_000, "only {} loads were tried", tried.checks);
    Ok(())
}

/// Exact needs of the start pieces of a plan's first date.
fn first_date(bakery: &Bakery, plan: &Plan) -> Vec<BigRational> {
    let date = plan.dates[0];
    let lines = plan.demand.pieces.iter().filter(|line| line.service_date == date);
    let pieces: Vec<_> = lines.map(|line| (line.product, line.start, line.trays)).collect();
    make_up(bakery, bakery.recipes(date), &pieces)
}

#[test]
fn ingredients_weigh_what_is_asked_and_all_losses_together() -> Result<()> {
    let tried = for_each_world(|_, bakery, plan, tried| {
        let asked = first_date(bakery, plan);
        let recipes = bakery.recipes(plan.dates[0]);
        let required = expand(bakery, recipes, asked.clone());
        let (mut in_mass, mut out_mass, mut losses) =
            (BigRational::zero(), BigRational::zero(), BigRational::zero());
        for (item, (asked, gross)) in (0_u32..).zip(asked.iter().zip(&required.gross)) {
            if gross.is_zero() {
                continue;
            }
            out_mass += asked * grams(bakery, item)?;
            let Some(at) = recipes.of_item(item) else {
                in_mass += gross * grams(bakery, item)?;
                continue;
            };
            let recipe = &recipes.recipes[at];
            let formula = bakery.formula_of(recipe);
            losses += gross * (BigRational::one() - kept(formula));
            // The seed comes from a batch that was made before.
            let seed: i64 = recipes
                .lines_of(recipe)
                .iter()
                .filter(|line| line.flags.previous_batch())
                .map(|line| line.parts)
                .sum();
            in_mass += gross * whole(seed) / whole(recipe.parts_sum);
            // What a pan is said to make and what goes into it differ: steam, or a wrong guess.
            if let Base::PerBatch { makes: Some(makes), .. } = formula.base {
                let [_, filled] = load(bakery, recipes, recipe, Ratio::ONE)?;
                let makes = makes.ratio().to_big();
                losses += gross * (filled.to_big() - &makes) / makes;
            }
            tried.checks += 1;
        }
        ensure!(
            in_mass == &out_mass + &losses,
            "{in_mass} g go in, {out_mass} g come out, {losses} g are lost"
        );
        Ok(())
    })?;
    ensure!(tried.checks > 500, "only {} formulas were tried", tried.checks);
    Ok(())
}
