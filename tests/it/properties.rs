//! What must hold of every bakery, tried on seeded random ones.

mod allergens;
mod contents;
mod cuts;
mod doubling;
mod held;
mod kept;
mod mass;
mod money;
mod printed;
mod replan;
mod rows;
mod solver;
mod times;
mod views;

use anyhow::{Context, Result};
use domain::{
    bakery::Bakery,
    plan::{Plan, PlanInput, plan},
};
use num_bigint::BigInt;
use num_rational::BigRational;
use weighhouse_tests::builders::{World, world};

/// How many random bakeries each property is tried on.
const WORLDS: u64 = 120;

/// Tries a property on many random bakeries; a failure names the seed.
fn for_each_world(
    property: impl Fn(&World, &Bakery, &Plan, &mut Tried) -> Result<()>,
) -> Result<Tried> {
    let mut tried = Tried::default();
    for seed in 0..WORLDS {
        let world = world(seed);
        let bakery = open(&world).with_context(|| format!("seed {seed}"))?;
        let plan = planned(&bakery, &world).with_context(|| format!("seed {seed}"))?;
        property(&world, &bakery, &plan, &mut tried).with_context(|| format!("seed {seed}"))?;
    }
    Ok(tried)
}

/// What a property was really tried on, so that one over nothing cannot pass.
#[derive(Debug, Default)]
struct Tried {
    /// Things that the property was checked of.
    checks: usize,
}

fn open(world: &World) -> Result<Bakery> {
    Bakery::new(world.draft.clone()).map_err(|faults| {
        let texts: Vec<String> = faults.iter().map(ToString::to_string).collect();
        anyhow::anyhow!("{}", texts.join("; "))
    })
}

fn planned(bakery: &Bakery, world: &World) -> Result<Plan> {
    Ok(plan(bakery, &world.book, PlanInput { now: world.now, until: world.until })?)
}

fn whole(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}
