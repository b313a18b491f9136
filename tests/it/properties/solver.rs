//! A general-purpose sparse solver finds the same needs as `expand`.
//!
//! With A the grams of each item in a gram of what is made of it, losses included,
//! the needs x of a demand d obey x = A x + d. The solver knows nothing of levels or
//! of formulas: it factorises I − A and works in binary fractions.
//!
//! # Source
//! The identity is Leontief's; the factorisation is sparse LU as in T. A. Davis,
//! "Direct Methods for Sparse Linear Systems" (2006), which the crate follows.

use anyhow::{Context, Result, ensure};
use domain::{
    bakery::Bakery,
    expand::expand,
    formula::{Formula, LineAmount},
    ratio::Ratio,
};
use jiff::civil::Date;
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{ToPrimitive, Zero};
use rsparse::data::Trpl;
use std::collections::BTreeMap;
use weighhouse_tests::{builders::Seed, house::House};

/// Random graphs that are tried.
const GRAPHS: u64 = 60;

/// What both answers may differ by, as a share of the larger.
const TOLERANCE: f64 = 1e-10;

/// Formulas by parts that use each other at random, never upwards.
fn graph(random: &mut Seed) -> Result<House> {
    let mut house = House::new()?;
    let (bought, made) = (random.between(4, 12), random.between(5, 39));
    for number in 0..made {
        let mut lines = Vec::new();
        // A few ingredients, and any formulas that are there already.
        for _ in 0..random.between(1, 4) {
            let item = random.between(1, bought);
            lines.push(format!("bought-{item} {}.{}", random.between(1, 90), random.between(0, 9)));
        }
        let mut below: Vec<i64> = (0..number).collect();
        random.shuffle(&mut below);
        let uses = usize::try_from(random.between(0, 4))?;
        for used in below.into_iter().take(uses) {
            lines.push(format!("made-{used} {}.{}", random.between(1, 60), random.between(0, 9)));
        }
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        house = house.parts(&format!("made-{number}"), &lines)?;
        let losses: Vec<String> =
            (0..random.between(0, 2)).map(|_| format!("0.{}", random.between(0, 99))).collect();
        let losses: Vec<(&str, &str)> = losses.iter().map(|loss| ("pot", loss.as_str())).collect();
        house = house.losing(&losses)?;
    }
    Ok(house)
}

/// A row, a column and a number of I − A, from the formulas as they are written.
fn entries(bakery: &Bakery, formula: &Formula) -> Result<Vec<(usize, usize, BigRational)>> {
    let position = |code: &str| -> Result<usize> {
        let item = bakery.index().item(code).with_context(|| format!("no `{code}`"))?;
        Ok(usize::try_from(item)?)
    };
    let mut parts = Vec::new();
    let mut sum = BigRational::zero();
    for line in &formula.lines {
        let LineAmount::Parts(amount) = line.amount else { anyhow::bail!("a line by parts") };
        sum += amount.to_big();
        parts.push((position(line.item.as_str())?, amount.to_big()));
    }
    let hundred = Ratio::whole(100).to_big();
    for loss in &formula.losses {
        sum = sum * (&hundred - loss.percent.to_big()) / &hundred;
    }
    let column = position(formula.code.as_str())?;
    Ok(parts.into_iter().map(|(row, amount)| (row, column, -amount / &sum)).collect())
}

/// Needs of all items by the sparse solver.
fn solved(bakery: &Bakery, demand: &[BigRational]) -> Result<Vec<f64>> {
    let count = demand.len();
    let mut summed: BTreeMap<(usize, usize), BigRational> =
        (0..count).map(|item| ((item, item), BigRational::from_integer(BigInt::from(1)))).collect();
    for formula in &bakery.lists().formulas {
        for (row, column, value) in entries(bakery, formula)? {
            *summed.entry((row, column)).or_default() += value;
        }
    }
    let mut matrix = Trpl::new();
    for ((row, column), value) in summed {
        matrix.append(row, column, value.to_f64().context("a number")?);
    }
    let mut needs = Vec::with_capacity(count);
    for amount in demand {
        needs.push(amount.to_f64().context("a number")?);
    }
    let solved = rsparse::lusol(&matrix.to_sprs(), &mut needs, 1, 1e-6);
    solved.map_err(|error| anyhow::anyhow!("the solver gave up: {error:?}"))?;
    Ok(needs)
}

#[expect(clippy::float_arithmetic, reason = "the other solver works in binary fractions")]
fn differ(exact: &BigRational, solved: f64) -> Result<f64> {
    let exact = exact.to_f64().context("a number")?;
    let larger = exact.abs().max(solved.abs());
    Ok(if larger > 0.0 { (exact - solved).abs() / larger } else { 0.0 })
}

#[test]
fn a_sparse_solver_finds_the_same_needs_as_expand() -> Result<()> {
    let (mut checks, mut depth) = (0, 0);
    for seed in 0..GRAPHS {
        let mut random = Seed::new(seed);
        let bakery = graph(&mut random)?.open().with_context(|| format!("seed {seed}"))?;
        let items = bakery.lists().items.len();
        let mut demand = vec![BigRational::zero(); items];
        for amount in &mut demand {
            if random.chance(40) {
                *amount = BigRational::from_integer(BigInt::from(random.between(1, 90_000)));
            }
        }
        let recipes = bakery.recipes(Date::constant(2026, 11, 26));
        depth = recipes.recipes.iter().map(|recipe| recipe.level).max().unwrap_or(0).max(depth);
        let required = expand(&bakery, recipes, demand.clone());
        let solved = solved(&bakery, &demand)?;
        for (item, (exact, solved)) in (0_u32..).zip(required.net.iter().zip(&solved)) {
            let off = differ(exact, *solved)?;
            let code = &bakery.item(item).code;
            ensure!(off <= TOLERANCE, "seed {seed}: `{code}` is {exact}, solved as {solved}");
            checks += usize::from(!exact.is_zero());
        }
    }
    ensure!(checks > 1_000 && depth >= 8, "only {checks} needs, {depth} levels were tried");
    Ok(())
}
