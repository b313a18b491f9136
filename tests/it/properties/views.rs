//! A bread's two views say the same: what is dissolved was put in.

use super::whole;
use anyhow::{Context, Result, ensure};
use jiff::civil::Date;
use num_bigint::BigInt;
use num_rational::BigRational;
use std::collections::BTreeMap;
use weighhouse_tests::{builders::Seed, house::House};

/// Random breads that are tried.
const BREADS: u64 = 300;

/// A bread as thought up: its overall lines, its preferments, and a house that makes it.
struct Bread {
    house: House,
    /// Hundredths of a part of each ingredient, overall.
    overall: BTreeMap<&'static str, i64>,
    /// Hundredths of a percent of the flour fermented ahead.
    prefermented: i64,
}

fn text(hundredths: i64) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// A bread of two flours with up to two preferments, none of which brings too much.
fn bread(random: &mut Seed) -> Result<Bread> {
    let rye = random.between(1_000, 4_000);
    let overall = BTreeMap::from([
        ("rye", rye),
        ("white", 10_000 - rye),
        ("water", random.between(6_500, 9_000)),
        ("salt", random.between(150, 220)),
        ("yeast", random.between(100, 300)),
    ]);
    let (mut house, mut prefermented) = (House::new()?, 0);
    let mut lines: Vec<String> = overall
        .iter()
        .map(|(item, hundredths)| {
            let flour = if matches!(*item, "rye" | "white") { " flour" } else { "" };
            format!("{item} {}{flour}", text(*hundredths))
        })
        .collect();
    if random.chance(70) {
        let water = format!("water {}", random.between(50, 120));
        let seed = format!("levain {} previous", random.between(5, 50));
        house = house.bread("levain", &["rye 100 flour", &water, &seed])?;
        let share = random.between(100, rye.min(2_500));
        lines.push(format!("levain {} prefermented", text(share)));
        prefermented += share;
    }
    if random.chance(70) {
        let water = format!("water {}", random.between(50, 120));
        let yeast = format!("yeast 0.{}", random.between(1, 9));
        house = house.bread("poolish", &["white 100 flour", &water, &yeast])?;
        let share = random.between(100, 3_000);
        lines.push(format!("poolish {} prefermented", text(share)));
        prefermented += share;
    }
    random.shuffle(&mut lines);
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let house = house.overall("dough", &lines)?.product("loaf", &[("dough", "800 g")])?;
    Ok(Bread { house, overall, prefermented })
}

#[test]
fn dissolving_the_final_mix_gives_the_overall_formula_back() -> Result<()> {
    let hundredths = |value: i64| BigRational::new(BigInt::from(value), BigInt::from(100));
    let mut preferments = 0;
    for seed in 0..BREADS {
        let Bread { house, overall, prefermented } = bread(&mut Seed::new(seed))?;
        let bakery = house.open().with_context(|| format!("seed {seed}"))?;
        let item = bakery.index().item("dough").context("the dough")?;
        let recipes = bakery.recipes(Date::constant(2026, 11, 26));
        let views = bakery.views(recipes, item).context("its views")?;
        let found: BTreeMap<&str, BigRational> = views
            .overall
            .iter()
            .map(|(item, parts)| (bakery.item(*item).code.as_str(), parts.clone()))
            .collect();
        let written: BTreeMap<&str, BigRational> =
            overall.iter().map(|(item, parts)| (*item, hundredths(*parts))).collect();
        ensure!(found == written, "seed {seed}: wrote {written:?}, found {found:?}");
        ensure!(views.flour_parts == whole(100), "seed {seed}: flour {}", views.flour_parts);
        let ahead = hundredths(prefermented);
        ensure!(views.prefermented == ahead, "seed {seed}: {} ahead", views.prefermented);
        let in_bowl: BigRational = views.final_mix.iter().map(|(_, parts)| parts).sum();
        let all: BigRational = written.values().sum();
        ensure!(in_bowl == all, "seed {seed}: {in_bowl} parts in the bowl, {all} overall");
        preferments += usize::from(prefermented > 0);
    }
    ensure!(preferments > 200, "only {preferments} breads had a preferment");
    Ok(())
}
