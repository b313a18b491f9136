//! Nutrition: section 12 of the check values, from the shipped table.

use super::near;
use anyhow::{Context, Result, ensure};
use domain::{
    bakery::Bakery,
    labelling::Finished,
    nutrients::{Nutrient, Nutrients},
    nutrition::Declared,
    plan::statement::declare,
    regulation::NutritionStyle,
};
use jiff::civil::Date;
use num_rational::BigRational;
use weighhouse::nutrients::{columns, find, rows};
use weighhouse_tests::{
    exact::{parse, whole},
    house::{House, quantity, ratio},
};

const ON: Date = Date::constant(2026, 11, 26);

/// A cell of the table; an empty one is nothing.
fn cell(food: &str, column: &str) -> Result<Option<BigRational>> {
    let at = columns().iter().position(|name| *name == column).context("a column")?;
    let row = rows().find(|cells| cells[0] == food).with_context(|| food.to_owned())?;
    if row[at].is_empty() { Ok(None) } else { Ok(Some(parse(row[at])?)) }
}

fn number(food: &str, column: &str) -> Result<BigRational> {
    Ok(cell(food, column)?.unwrap_or_else(|| whole(0)))
}

/// Energy by the specific factors of a food.
fn atwater(food: &str) -> Result<BigRational> {
    let mut energy = whole(0);
    for nutrient in ["protein", "fat", "carbohydrate"] {
        energy += number(food, nutrient)? * number(food, &format!("atwater_{nutrient}"))?;
    }
    Ok(energy)
}

#[test]
fn the_table_holds_the_published_rows() -> Result<()> {
    // Source: check-values.md section 12, SR28: kcal, protein, fat, carbohydrate, fibre,
    // sugars, saturates, sodium, water.
    for (food, values) in [
        ("sr28-01145", ["717", "0.85", "81.11", "0.06", "0", "0.06", "50.489", "11", "17.94"]),
        ("sr28-01001", ["717", "0.85", "81.11", "0.06", "0", "0.06", "51.368", "643", "15.87"]),
        ("sr28-01123", ["143", "12.56", "9.51", "0.72", "0", "0.37", "3.126", "142", "76.15"]),
        ("sr28-20083", ["361", "11.98", "1.66", "72.53", "2.4", "0.31", "0.244", "2", "13.36"]),
        ("sr28-20080", ["340", "13.21", "2.50", "71.97", "10.7", "0.41", "0.430", "2", "10.74"]),
        ("sr28-01077", ["61", "3.15", "3.25", "4.80", "0", "5.05", "1.865", "43", "88.13"]),
        ("sr28-01053", ["340", "2.84", "36.08", "2.74", "0", "2.92", "23.032", "27", "57.81"]),
        ("sr28-19335", ["387", "0", "0", "99.98", "0", "99.80", "0", "1", "0.02"]),
        ("sr28-02047", ["0", "0", "0", "0", "0", "0", "0", "38758", "0.20"]),
        ("sr28-18374", ["105", "8.40", "1.90", "18.10", "8.1", "0", "0.243", "30", "69.00"]),
        ("sr28-12061", ["579", "21.15", "49.93", "21.55", "12.5", "4.35", "3.802", "1", "4.41"]),
    ] {
        let names = [
            "energy",
            "protein",
            "fat",
            "carbohydrate",
            "fibre",
            "sugars",
            "saturates",
            "sodium",
            "water",
        ];
        for (name, value) in names.into_iter().zip(values) {
            ensure!(cell(food, name)? == Some(parse(value)?), "{food} {name} is not {value}");
        }
    }
    Ok(())
}

#[test]
fn the_specific_factors_give_the_published_energy() -> Result<()> {
    // Source: NU-01, and NU-02 for the row that does not recompute.
    for (row, food, energy) in [
        ("NU-01 butter", "sr28-01145", "716.82"),
        ("NU-01 egg", "sr28-01123", "143.19"),
        ("NU-01 milk", "sr28-01077", "60.59"),
        ("NU-01 cream", "sr28-01053", "339.87"),
        ("NU-01 bread flour", "sr28-20083", "361.24"),
        ("NU-01 sugar", "sr28-19335", "386.92"),
        ("NU-01 honey", "sr28-19296", "304.24"),
        ("NU-01 dry yeast", "sr28-18375", "325.39"),
        ("NU-01 almonds", "sr28-12061", "579.01"),
        ("NU-02 fresh yeast", "sr28-18374", "102.70"),
    ] {
        near(row, &atwater(food)?, energy, "0.01");
    }
    // Source: NU-05: water, protein, fat, carbohydrate and ash make 100.
    for food in ["sr28-20083", "sr28-01123"] {
        let mut all = whole(0);
        for part in ["water", "protein", "fat", "carbohydrate", "ash"] {
            all += number(food, part)?;
        }
        near("NU-05", &all, "100.00", "0.02");
    }
    Ok(())
}

/// A house whose items hold what the table says.
fn house(foods: &[(&str, &str)]) -> Result<House> {
    let mut house = House::new()?;
    for (name, food) in foods {
        let nutrients = find(food).with_context(|| (*food).to_owned())?;
        house = house.item(name, |item| item.nutrients = nutrients)?;
    }
    Ok(house)
}

/// BP-40 by the rows of the table, pieces of 252 g that lose so much.
fn brioche(loss: &str) -> Result<Bakery> {
    let foods = [
        ("milk", "sr28-01077"),
        ("yeast", "sr28-18374"),
        ("flour", "sr28-20083"),
        ("egg", "sr28-01123"),
        ("sugar", "sr28-19335"),
        ("salt", "sr28-02047"),
        ("butter", "sr28-01145"),
    ];
    let lines = ["milk 20", "yeast 5", "flour 100", "egg 50", "sugar 5", "salt 2", "butter 70"];
    let loss = Finished::Loss(ratio(loss)?);
    house(&foods)?
        .parts("brioche", &lines)?
        .product("bun", &[("brioche", "252 g")])?
        .whose(|product| product.label.finished = Some(loss))?
        .open()
}

fn per_100g(bakery: &Bakery, style: NutritionStyle) -> Result<Vec<Declared>> {
    let found = domain::expand::contents(bakery, bakery.recipes(ON), 0);
    declare(bakery, &found, style).per_100g.context("a finished mass")
}

fn line<'a>(lines: &'a [Declared], word: &str) -> Result<&'a Declared> {
    lines.iter().find(|line| line.word == word).with_context(|| word.to_owned())
}

#[test]
fn eu_factors_take_fibre_from_carbohydrate_first() -> Result<()> {
    // Source: NU-03 and NU-04.
    let bakery = house(&[("flour", "sr28-20083")])?
        .product("bag", &[("flour", "100 g")])?
        .whose(|product| product.label.finished = Some(Finished::Loss(domain::ratio::Ratio::ZERO)))?
        .open()?;
    let lines = per_100g(&bakery, NutritionStyle::Eu)?;
    let kcal = &line(&lines, "energy_kcal")?.sum.amount;
    near("NU-03 kcal", kcal, "348.18", "0.01");
    near("NU-03 kJ", &line(&lines, "energy_kj")?.sum.amount, "1476.49", "0.01");
    let trap = kcal + number("sr28-20083", "fibre")? * whole(4);
    near("NU-04, the trap", &trap, "357.78", "0.01");
    Ok(())
}

#[test]
fn a_brioche_before_and_after_the_oven() -> Result<()> {
    // Source: NU-09 per 100 g of dough, NU-10 after a loss of 11 % water.
    for (row, loss, rows) in [
        (
            "NU-09",
            "0",
            [
                ("calories", "385.40"),
                ("protein", "7.899"),
                ("fat", "25.372"),
                ("carbohydrate", "31.665"),
                ("fibre", "1.113"),
                ("sodium", "343.66"),
            ],
        ),
        (
            "NU-10",
            "11",
            [
                ("calories", "433.03"),
                ("protein", "8.875"),
                ("fat", "28.508"),
                ("carbohydrate", "35.579"),
                ("fibre", "1.251"),
                ("sodium", "386.13"),
            ],
        ),
    ] {
        let lines = per_100g(&brioche(loss)?, NutritionStyle::Us)?;
        for (word, value) in rows {
            near(&format!("{row} {word}"), &line(&lines, word)?.sum.amount, value, "0.01");
        }
    }
    for (row, loss, kcal, kj, salt) in [
        ("NU-09", "0", "384.38", "1601.33", "0.859"),
        ("NU-10", "11", "431.88", "1799.24", "0.965"),
    ] {
        let lines = per_100g(&brioche(loss)?, NutritionStyle::Eu)?;
        near(&format!("{row} EU kcal"), &line(&lines, "energy_kcal")?.sum.amount, kcal, "0.01");
        near(&format!("{row} EU kJ"), &line(&lines, "energy_kj")?.sum.amount, kj, "0.01");
        near(&format!("{row} salt"), &line(&lines, "salt")?.sum.amount, salt, "0.001");
    }
    Ok(())
}

#[test]
fn the_eu_declaration_is_rounded_by_the_guidance() -> Result<()> {
    // Source: NU-11.
    let lines = per_100g(&brioche("11")?, NutritionStyle::Eu)?;
    for (word, printed) in [
        ("energy_kj", "1799 kJ"),
        ("energy_kcal", "432 kcal"),
        ("fat", "29 g"),
        ("carbohydrate", "34 g"),
        ("protein", "8.9 g"),
        ("salt", "0.97 g"),
        ("fibre", "1.3 g"),
    ] {
        assert_eq!(line(&lines, word)?.printed.as_deref(), Some(printed), "NU-11 {word}");
    }
    Ok(())
}

#[test]
fn a_sum_with_a_missing_part_is_at_least_and_never_a_figure() -> Result<()> {
    let flour = find("sr28-20083").context("bread flour")?;
    let mut seeds = flour.clone();
    seeds.per_100g[Nutrient::Sugars as usize] = None;
    let bakery = House::new()?
        .item("flour", |item| item.nutrients = flour)?
        .item("seeds", |item| item.nutrients = seeds)?
        .item("dust", |item| item.nutrients = Nutrients::default())?
        .product("bread", &[("flour", "100 g"), ("seeds", "100 g")])?
        .whose(|product| product.label.finished = quantity("200 g").ok().map(Finished::Mass))?
        .open()?;
    let lines = per_100g(&bakery, NutritionStyle::Eu)?;
    let sugars = line(&lines, "sugars")?;
    assert_eq!((sugars.printed.as_deref(), sugars.sum.missing.len()), (None, 1));
    assert_eq!(sugars.sum.at_least(), "0.15", "half of 0.31, cut down");
    assert_eq!(line(&lines, "protein")?.printed.as_deref(), Some("12 g"));
    Ok(())
}
