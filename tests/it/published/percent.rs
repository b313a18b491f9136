//! Baker's percentage, preferments and enriched doughs.

use super::near;
use anyhow::Result;
use domain::share::largest_remainder;
use weighhouse_tests::{exact, house::House, kitchen::Kitchen};

/// Checks each line of one mix in grams.
fn lines(row: &str, kitchen: &Kitchen, formula: &str, lines: &[(&str, &str)], tolerance: &str) {
    for (item, grams) in lines {
        let found = kitchen.exact(formula, item).expect("a line of the formula");
        near(&format!("{row} {item}"), &found, grams, tolerance);
    }
}

const BP_01: [&str; 6] = [
    "white 50 flour",
    "wholewheat 20 flour",
    "semolina 30 flour",
    "water 70",
    "yeast 1.5",
    "salt 2",
];

#[test]
fn a_dough_is_divided_by_its_percentages() -> Result<()> {
    // Source: row BP-01, Wild Yeast blog, Baker's Percentage Tutorial, exercise 3.
    let kitchen = Kitchen::mix(House::new()?.bread("dough", &BP_01)?, "dough", "1400 g")?;
    near("BP-01 total", &kitchen.formula_sum("dough")?, "173.5", "0");
    lines(
        "BP-01",
        &kitchen,
        "dough",
        &[
            ("white", "403.46"),
            ("wholewheat", "161.38"),
            ("semolina", "242.07"),
            ("water", "564.84"),
            ("yeast", "12.10"),
            ("salt", "16.14"),
        ],
        "0.01",
    );
    Ok(())
}

#[test]
fn lines_rounded_one_by_one_need_not_sum_to_the_dough() -> Result<()> {
    // Source: row BP-02, the lines of BP-01 on a scale of 1 g: naive rounding loses 1 g,
    // and the difference of 0.07 % is within what a load may be off.
    let house = House::new()?.scale("bench", "15 kg", "1 g", "1 g")?.bread("dough", &BP_01)?;
    let kitchen = Kitchen::mix(house, "dough", "1400 g")?;
    let mut sum = exact::whole(0);
    for item in ["white", "wholewheat", "semolina", "water", "yeast", "salt"] {
        sum += kitchen.weighed("dough", item)?;
    }
    near("BP-02 naive", &sum, "1399", "0");
    // The largest-remainder method gives the missing gram to the white flour.
    let shared = largest_remainder(1400, &[500, 200, 300, 700, 15, 20])?;
    assert_eq!(shared, [404, 161, 242, 565, 12, 16], "BP-02");
    Ok(())
}

#[test]
fn flour_is_not_rounded_before_the_other_lines() -> Result<()> {
    // Source: rows BP-04 and BP-05, worksheet of 73 baguettes of 390 g: truncating the
    // flour first would print 11220.49 g of water.
    let house = House::new()?
        .bread("dough", &["flour 100 flour", "water 67", "salt 2", "yeast 1"])?
        .product("baguette", &[("dough", "390 g")])?;
    let kitchen = Kitchen::order(house, &[("baguette", 73)])?;
    near("BP-04 dough", &kitchen.gross("dough")?, "28470", "0");
    let wanted =
        [("flour", "16747.06"), ("water", "11220.53"), ("salt", "334.94"), ("yeast", "167.47")];
    lines("BP-04", &kitchen, "dough", &wanted, "0.01");
    Ok(())
}

#[test]
fn ounces_of_a_pizza_dough_come_out_in_grams() -> Result<()> {
    // Source: row BP-07, "dough doctor" columns: flour 40 lb, in all 162.125 % of it.
    let dough = ["flour 100 flour", "salt 1.75", "sugar 2", "instant-yeast 0.375", "water 58"];
    // 40 lb x 1.62125 = 64.85 lb = 29415.465195 g by the pound of row UN-07.
    let kitchen = Kitchen::mix(House::new()?.bread("dough", &dough)?, "dough", "29415.465195 g")?;
    near("BP-07 total", &kitchen.formula_sum("dough")?, "162.125", "0");
    let ounce = exact::parse("28.349523125")?;
    for (item, ounces) in [
        ("flour", "640"),
        ("salt", "11.2"),
        ("sugar", "12.8"),
        ("instant-yeast", "2.4"),
        ("water", "371.2"),
    ] {
        near(&format!("BP-07 {item}"), &(kitchen.exact("dough", item)? / &ounce), ounces, "0.01");
    }
    Ok(())
}

#[test]
fn masses_are_read_back_as_percentages() -> Result<()> {
    // Source: row BP-08, "dough doctor" columns, ounces.
    let dough = [
        "flour 640 flour",
        "salt 11.2",
        "sugar 12.8",
        "compressed-yeast 9.6",
        "olive-oil 19.2",
        "water 371.2",
    ];
    let kitchen = Kitchen::mix(House::new()?.parts("dough", &dough)?, "dough", "1000 g")?;
    for (item, percent) in [
        ("flour", "100"),
        ("salt", "1.75"),
        ("sugar", "2"),
        ("compressed-yeast", "1.5"),
        ("olive-oil", "3"),
        ("water", "58"),
    ] {
        near(
            &format!("BP-08 {item}"),
            &kitchen.overall_percent("dough", item)?,
            percent,
            "0.000000001",
        );
    }
    // Source: row BP-10, a worked page on percentages: 169 %, and 3 lb of dough.
    let dough = ["flour 5 flour", "water 3.25", "salt 0.1", "yeast 0.1"];
    let kitchen = Kitchen::mix(House::new()?.parts("dough", &dough)?, "dough", "1360.77711 g")?;
    let pound = exact::parse("453.59237")?;
    near("BP-10 flour", &(kitchen.exact("dough", "flour")? / &pound), "1.7751", "0.001");
    near("BP-10 water", &(kitchen.exact("dough", "water")? / &pound), "1.1538", "0.001");
    for (item, percent) in [("water", "65"), ("salt", "2"), ("yeast", "2")] {
        near(&format!("BP-10 {item}"), &kitchen.overall_percent("dough", item)?, percent, "0");
    }
    Ok(())
}

fn ciabatta() -> Result<House> {
    House::new()?.parts("biga", &["flour 100 flour", "water 60", "yeast 0.1"])?.overall(
        "ciabatta",
        &["flour 100 flour", "water 76", "salt 2", "yeast 1.2", "biga 30 prefermented"],
    )
}

#[test]
fn the_final_mix_is_the_overall_formula_without_its_biga() -> Result<()> {
    // Source: row BP-20, King Arthur Flour, professional formulas, ciabatta.
    let kitchen = Kitchen::mix(ciabatta()?, "ciabatta", "17920 g")?;
    let wanted =
        [("flour", "7000"), ("water", "5800"), ("salt", "200"), ("yeast", "117"), ("biga", "4803")];
    lines("BP-20", &kitchen, "ciabatta", &wanted, "0");
    lines(
        "BP-20 biga",
        &kitchen,
        "biga",
        &[("flour", "3000"), ("water", "1800"), ("yeast", "3")],
        "0",
    );
    near("BP-20 total", &kitchen.formula_sum("ciabatta")?, "179.2", "0");
    near("BP-20 biga total", &kitchen.formula_sum("biga")?, "160.1", "0");
    Ok(())
}

#[test]
fn a_poolish_is_dissolved_into_flour_and_water() -> Result<()> {
    // Source: row BP-22, Bake magazine, French bread with poolish: the article prints
    // 20 and 220 where yeast is 0.2121 % and the sum 200.2121 %.
    let poolish = ["flour 100 flour", "water 100", "yeast 0.2121"];
    let kitchen = Kitchen::mix(House::new()?.parts("poolish", &poolish)?, "poolish", "1000 g")?;
    near("BP-22", &kitchen.formula_sum("poolish")?, "200.2121", "0.0001");
    // Source: row BP-23, Wild Yeast blog, part 4. The printed 936 g of poolish are its
    // flour and water.
    let house = House::new()?
        .parts("poolish", &["flour 468 flour", "water 468"])?
        .parts("dough", &["flour 900 flour", "water 468", "yeast 9", "salt 27", "poolish 936"])?;
    let kitchen = Kitchen::mix(house, "dough", "2340 g")?;
    near("BP-23 dough", &kitchen.formula_sum("dough")?, "2340", "0");
    lines("BP-23", &kitchen, "dough", &[("flour", "900"), ("poolish", "936")], "0");
    near("BP-23 hydration", &kitchen.overall_percent("dough", "water")?, "68.42", "0.01");
    near("BP-23 salt", &kitchen.overall_percent("dough", "salt")?, "1.974", "0.01");
    near("BP-23 prefermented", &kitchen.prefermented_percent("dough")?, "34.21", "0.01");
    Ok(())
}

#[test]
fn pounds_of_poolish_and_biga_come_out_in_whole_percents() -> Result<()> {
    // Source: row BP-25, King Arthur bakery formula sheet.
    let house =
        House::new()?.parts("poolish", &["flour 6.60 flour", "water 6.60", "yeast 0.01"])?.parts(
            "dough",
            &["flour 13.40 flour", "water 6.60", "salt 0.40", "yeast 0.21", "poolish 13.21"],
        )?;
    let kitchen = Kitchen::mix(house, "dough", "1000 g")?;
    near("BP-25 total", &kitchen.formula_sum("dough")?, "33.82", "0.01");
    for (item, percent) in [("flour", "100"), ("water", "66"), ("salt", "2"), ("yeast", "1.10")] {
        near(&format!("BP-25 {item}"), &kitchen.overall_percent("dough", item)?, percent, "0.01");
    }
    // Source: row BP-26, the same sheet with a biga.
    let house = House::new()?.parts("biga", &["flour 4.00 flour", "water 2.40"])?.parts(
        "dough",
        &["flour 16 flour", "water 12.20", "salt 0.40", "yeast 0.24", "biga 6.40"],
    )?;
    let kitchen = Kitchen::mix(house, "dough", "1000 g")?;
    near("BP-26 total", &kitchen.formula_sum("dough")?, "35.24", "0.01");
    for (item, percent) in [("water", "73"), ("salt", "2"), ("yeast", "1.2")] {
        near(&format!("BP-26 {item}"), &kitchen.overall_percent("dough", item)?, percent, "0");
    }
    Ok(())
}

#[test]
fn a_misprint_of_kilograms_shows_in_the_formula_sum() -> Result<()> {
    // Source: row BP-28, King Arthur Flour, slow rise baguettes: 0.75 kg of yeast is
    // printed where 0.75 % is meant; the printed total of 172.75 % tells.
    for (yeast, sum) in [("0.75", "172.75"), ("7.5", "179.5")] {
        let yeast = format!("fresh-yeast {yeast}");
        let dough = ["flour 100 flour", "water 70", "salt 2", yeast.as_str()];
        let kitchen = Kitchen::mix(House::new()?.bread("dough", &dough)?, "dough", "1000 g")?;
        near("BP-28", &kitchen.formula_sum("dough")?, sum, "0");
    }
    // Source: row BP-46, a sponge bread whose total is printed as 184.4.
    let house = House::new()?.parts("sponge", &["flour 60 flour", "yeast 1.2", "milk 64"])?.parts(
        "dough",
        &["sponge 125.2", "flour 40 flour", "salt 2", "sugar 8", "egg-yolk 3.5", "butter 10.7"],
    )?;
    let kitchen = Kitchen::mix(house, "dough", "1000 g")?;
    near("BP-46", &kitchen.formula_sum("dough")?, "189.4", "0");
    Ok(())
}

#[test]
fn a_seed_is_a_tenth_of_its_levain_flour() -> Result<()> {
    // Source: row BP-29, a page on the Guild's layout standard: seed 3 % of total flour
    // with 30 % prefermented is 10 % of the preferment's flour. The seed there is a
    // starter of its own and not counted as flour.
    let house =
        House::new()?.parts("levain", &["flour 100 flour", "water 100", "starter 10"])?.overall(
            "dough",
            &["flour 100 flour", "water 75", "starter 3", "levain 30 prefermented"],
        )?;
    let kitchen = Kitchen::mix(house, "dough", "1000 g")?;
    near("BP-29", &kitchen.overall_percent("dough", "starter")?, "3", "0");
    near("BP-29 flour ahead", &kitchen.prefermented_percent("dough")?, "30", "0");
    Ok(())
}

#[test]
fn nuts_in_a_fixed_dough_take_from_every_line() -> Result<()> {
    // Source: row BP-31, a discussion of fixed dough weights: 50 g of nuts in 800 g.
    let plain = ["flour 100 flour", "water 70", "salt 2"];
    let without = Kitchen::mix(House::new()?.parts("dough", &plain)?, "dough", "800 g")?;
    let house =
        House::new()?.parts("dough", &plain)?.parts("nut-dough", &["dough 750", "nuts 50"])?;
    let with = Kitchen::mix(house, "nut-dough", "800 g")?;
    for item in ["flour", "water", "salt"] {
        let left = with.exact("dough", item)? / without.exact("dough", item)?;
        near(&format!("BP-31 {item}"), &left, "0.9375", "0");
    }
    Ok(())
}

/// Gisslen's brioche, its sponge flour on a line of its own.
const BRIOCHE: [&str; 8] = [
    "milk 20",
    "fresh-yeast 5",
    "sponge-flour 20 flour",
    "flour 80 flour",
    "egg 50",
    "sugar 5",
    "salt 2",
    "butter 70",
];

#[test]
fn a_brioche_is_two_and_a_half_times_its_flour() -> Result<()> {
    // Source: row BP-40, Gisslen, Professional Baking, brioche at 300 g of flour; the
    // book prints 760 g for the sum of 756 g.
    let kitchen = Kitchen::mix(House::new()?.bread("brioche", &BRIOCHE)?, "brioche", "756 g")?;
    near("BP-40 total", &kitchen.formula_sum("brioche")?, "252", "0");
    let wanted = [
        ("milk", "60"),
        ("fresh-yeast", "15"),
        ("sponge-flour", "60"),
        ("flour", "240"),
        ("egg", "150"),
        ("sugar", "15"),
        ("salt", "6"),
        ("butter", "210"),
    ];
    lines("BP-40", &kitchen, "brioche", &wanted, "0");
    // Source: row BP-41, the same formula for 10 kg.
    let kitchen = Kitchen::mix(House::new()?.bread("brioche", &BRIOCHE)?, "brioche", "10 kg")?;
    let wanted = [
        ("milk", "793.65"),
        ("fresh-yeast", "198.41"),
        ("egg", "1984.13"),
        ("sugar", "198.41"),
        ("salt", "79.37"),
        ("butter", "2777.78"),
    ];
    lines("BP-41", &kitchen, "brioche", &wanted, "0.01");
    let flour = kitchen.exact("brioche", "flour")? + kitchen.exact("brioche", "sponge-flour")?;
    near("BP-41 flour", &flour, "3968.25", "0.01");
    Ok(())
}

#[test]
fn a_card_in_ounces_gives_two_hundred_rolls() -> Result<()> {
    // Source: rows BP-43 and BP-44, US Armed Forces Recipe Service, card D-036, ounces:
    // 100 portions of 2 rolls from 318 oz.
    let card = [
        "active-dry-yeast 8",
        "warm-water 24",
        "cold-water 36",
        "sugar 28",
        "salt 3",
        "shortening 26",
        "egg 28",
        "bread-flour 160 flour",
        "dry-milk 5",
    ];
    let house = House::new()?.parts("sweet-dough", &card)?;
    // 318 oz / 200 = 1.59 oz = 45.07574176875 g, rounded to the microgram.
    let house = house.product("roll", &[("sweet-dough", "45.075742 g")])?;
    let kitchen = Kitchen::order(house, &[("roll", 200)])?;
    near("BP-43 sum", &kitchen.formula_sum("sweet-dough")?, "318", "0");
    near("BP-43 kilograms", &kitchen.gross("sweet-dough")?, "9015", "0.5");
    let rolls = kitchen.gross("sweet-dough")? / exact::parse("28.349523125")? / exact::whole(200);
    near("BP-44", &rolls, "1.59", "0.01");
    for (item, percent) in [
        ("active-dry-yeast", "5"),
        ("sugar", "17.5"),
        ("salt", "1.875"),
        ("shortening", "16.25"),
        ("egg", "17.5"),
        ("dry-milk", "3.125"),
    ] {
        near(
            &format!("BP-43 {item}"),
            &kitchen.overall_percent("sweet-dough", item)?,
            percent,
            "0.001",
        );
    }
    let water = kitchen.overall_percent("sweet-dough", "warm-water")?
        + kitchen.overall_percent("sweet-dough", "cold-water")?;
    near("BP-43 water", &water, "37.5", "0.001");
    let total = kitchen.formula_sum("sweet-dough")? * exact::whole(100) / exact::whole(160);
    near("BP-43 total", &total, "198.75", "0.001");
    Ok(())
}
