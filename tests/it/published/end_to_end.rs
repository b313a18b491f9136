//! One day's two orders, from pieces to packs.
//!
//! # Source
//! Section 15 of the published check values: an end-to-end case from published formulas
//! (rows BP-20 and BP-40), in exact rationals shown to three decimals.

use super::near;
use anyhow::{Context, Result};
use domain::{
    allergens::{Swaps, allergens},
    expand::{expand, make_up},
    net::{NetInput, NetLot, NetNeed, net},
    purchase::whole_packs,
    quantity::MICRO,
    ratio::Ratio,
    share::largest_remainder,
};
use num_rational::BigRational;
use num_traits::Zero;
use weighhouse_tests::{
    exact,
    house::House,
    kitchen::{Kitchen, SERVICE_DATE},
};

const BRIOCHE: [&str; 7] =
    ["flour 100 flour", "milk 20", "yeast 5", "egg 50", "sugar 5", "salt 2", "butter 70"];

fn house() -> Result<House> {
    House::new()?
        .containing("flour", &["wheat"])?
        .containing("milk", &["milk"])?
        .containing("egg", &["egg"])?
        .containing("butter", &["milk"])?
        .bread("brioche", &BRIOCHE)?
        .losing(&[("make-up", "2")])?
        .parts("egg-wash", &["egg 80", "milk 20"])?
        .losing(&[("use", "25")])?
        .parts("biga", &["flour 100 flour", "water 60", "yeast 0.1"])?
        .overall(
            "ciabatta",
            &["flour 100 flour", "water 76", "salt 2", "yeast 1.2", "biga 30 prefermented"],
        )?
        .losing(&[("ferment", "1.5")])?
        .product("brioche-roll", &[("brioche", "60 g"), ("egg-wash", "2.5 g")])?
        .product("ciabatta-loaf", &[("ciabatta", "570 g")])
}

fn kitchen() -> Result<Kitchen> {
    Kitchen::order(house()?, &[("brioche-roll", 120), ("ciabatta-loaf", 40)])
}

/// Exact grams of every item for so many times the day's orders, by name.
fn totals(kitchen: &Kitchen, times: i64) -> Result<Vec<(String, BigRational)>> {
    let recipes = kitchen.bakery.recipes(SERVICE_DATE);
    let product = |name: &str| kitchen.bakery.index().product(name).context("a product");
    let pieces = [
        (product("brioche-roll")?, 120 * times, None),
        (product("ciabatta-loaf")?, 40 * times, None),
    ];
    let net = make_up(&kitchen.bakery, recipes, &pieces);
    let gross = expand(&kitchen.bakery, recipes, net).gross;
    let items = &kitchen.bakery.lists().items;
    Ok(items.iter().map(|item| item.code.to_string()).zip(gross).collect())
}

const DOUGHS: [(&str, &[(&str, &str)]); 4] = [
    (
        "brioche",
        &[
            ("flour", "2915.452"),
            ("milk", "583.090"),
            ("yeast", "145.773"),
            ("egg", "1457.726"),
            ("sugar", "145.773"),
            ("salt", "58.309"),
            ("butter", "2040.816"),
        ],
    ),
    ("egg-wash", &[("egg", "320"), ("milk", "80")]),
    (
        "ciabatta",
        &[
            ("flour", "9041.878"),
            ("water", "7491.842"),
            ("salt", "258.339"),
            ("yeast", "151.129"),
            ("biga", "6204.020"),
        ],
    ),
    ("biga", &[("flour", "3875.091"), ("water", "2325.054"), ("yeast", "3.875")]),
];

#[test]
fn orders_become_doughs_and_lines() -> Result<()> {
    let day = kitchen()?;
    for (dough, grams) in [
        ("brioche", "7346.939"),
        ("egg-wash", "400"),
        ("ciabatta", "23147.208"),
        ("biga", "6204.020"),
    ] {
        near(&format!("section 15 {dough}"), &day.gross(dough)?, grams, "0.001");
    }
    for (dough, lines) in DOUGHS {
        let mut sum = BigRational::zero();
        for (item, grams) in lines {
            let found = day.exact(dough, item)?;
            near(&format!("section 15 {dough} {item}"), &found, grams, "0.001");
            sum += found;
        }
        assert_eq!(sum, day.gross(dough)?, "the lines of {dough} sum to its mass");
    }
    Ok(())
}

#[test]
fn ingredients_sum_over_both_orders() -> Result<()> {
    let day = kitchen()?;
    let totals = totals(&day, 1)?;
    let total = |name: &str| {
        let found = totals.iter().find(|(item, _)| item == name).map(|(_, grams)| grams.clone());
        found.context("a total")
    };
    let mut sum = BigRational::zero();
    for (item, grams) in [
        ("flour", "15832.421"),
        ("water", "9816.896"),
        ("butter", "2040.816"),
        ("egg", "1777.726"),
        ("milk", "663.090"),
        ("salt", "316.648"),
        ("yeast", "300.776"),
        ("sugar", "145.773"),
    ] {
        near(&format!("section 15 total {item}"), &total(item)?, grams, "0.001");
        sum += total(item)?;
    }
    near("section 15 grand sum", &sum, "30894.147", "0.001");
    // 7346.939 + 400 + 23147.208: what goes in is what comes out of the bowls.
    assert_eq!(sum, day.gross("brioche")? + day.gross("egg-wash")? + day.gross("ciabatta")?);
    // 36 large eggs of 50 g (35.555); or in shell, 12 % of it shell.
    let eggs = total("egg")? / exact::whole(50);
    near("section 15 eggs", &eggs, "35.555", "0.001");
    assert_eq!(eggs.ceil(), exact::whole(36));
    near("section 15 in shell", &(total("egg")? / exact::parse("0.88")?), "2020.143", "0.001");
    near("section 15 milk", &(total("milk")? / exact::parse("1.0313")?), "642.966", "0.001");
    // Doubling both orders doubles every exact amount.
    for ((item, once), (_, twice)) in totals.iter().zip(self::totals(&day, 2)?) {
        assert_eq!(once * exact::whole(2), twice, "section 15, {item} for twice the orders");
    }
    // The biga is made, not bought.
    let bought = day.plan.needs.iter().map(|need| day.bakery.item(need.item).code.as_str());
    let bought: Vec<&str> = bought.collect();
    assert!(bought.contains(&"flour") && !bought.contains(&"biga"), "{bought:?}");
    Ok(())
}

/// What is short of a total after its lots, in millionths of a gram.
fn short(grams: &BigRational, lots: &[(&str, i64, &str)]) -> Result<(Vec<(usize, i64)>, i64)> {
    let micro = (grams * exact::whole(MICRO)).round().to_integer();
    let need = NetNeed { at: "2026-11-26T05:00:00Z".parse()?, micro: micro.to_string().parse()? };
    let mut shelf = Vec::new();
    for (name, grams, date) in lots {
        shelf.push(NetLot {
            name: (*name).to_owned(),
            received: "2026-11-20".parse()?,
            micro: grams * MICRO,
            from: None,
            until: Some(format!("{date}T23:59:59Z").parse()?),
            opened: None,
        });
    }
    let netting = net(NetInput {
        needs: &[need],
        lots: &shelf,
        as_of: "2026-11-25T09:00:00Z".parse()?,
        end: None,
        opened_life_minutes: None,
        inner_micro: None,
    })?;
    let from = netting.allocations.first().context("an allocation")?.from.clone();
    Ok((from, netting.short_micro))
}

#[test]
fn what_is_short_is_bought_in_whole_packs() -> Result<()> {
    let totals = totals(&kitchen()?, 1)?;
    let total = |name: &str| {
        totals.iter().find(|(item, _)| item == name).map(|(_, grams)| grams).context("a total")
    };
    let lots = [("F2", 5000, "2026-11-28"), ("F1", 6000, "2026-12-10")];
    let (from, flour) = short(total("flour")?, &lots)?;
    assert_eq!(from, [(0, 5000 * MICRO), (1, 6000 * MICRO)], "section 15 flour lots");
    let grams = |micro: i64| exact::whole(micro) / exact::whole(MICRO);
    near("section 15 flour short", &grams(flour), "4832.421", "0.001");
    assert_eq!(whole_packs(flour, Ratio::whole(25_000 * i128::from(MICRO)))?, 1);
    let lots = [("B1", 1250, "2026-12-05"), ("B2", 500, "2026-11-28")];
    let (_, butter) = short(total("butter")?, &lots)?;
    near("section 15 butter short", &grams(butter), "290.816", "0.001");
    assert_eq!(whole_packs(butter, Ratio::whole(250 * i128::from(MICRO)))?, 2, "blocks of 250 g");
    assert_eq!(whole_packs(butter, Ratio::whole(5_000 * i128::from(MICRO)))?, 1, "case of 20");
    Ok(())
}

#[test]
fn the_brioche_is_weighed_on_a_scale_of_five_grams() -> Result<()> {
    // Source: row LR-05: 7345 g in 1469 units keep their sum by largest remainder; line
    // by line they make 7350 g, for the egg goes up to 1460.
    let units = largest_remainder(1469, &[100, 20, 5, 50, 5, 2, 70])?;
    let grams: Vec<i64> = units.iter().map(|units| units * 5).collect();
    assert_eq!(grams, [2915, 585, 145, 1455, 145, 60, 2040], "LR-05");
    let house = house()?.scale("platform", "30 kg", "5 g", "100 g")?;
    let kitchen = Kitchen::order(house, &[("brioche-roll", 120)])?;
    let mut sum = BigRational::zero();
    for item in ["flour", "milk", "yeast", "egg", "sugar", "salt", "butter"] {
        sum += kitchen.weighed("brioche", item)?;
    }
    near("LR-05 naive", &sum, "7350", "0");
    near("LR-05 egg", &kitchen.weighed("brioche", "egg")?, "1460", "0");
    Ok(())
}

fn contains(house: House, product: &str) -> Result<Vec<String>> {
    let bakery = house.open()?;
    let position = bakery.index().product(product).context("a product")?;
    let found = allergens(&bakery, bakery.recipes(SERVICE_DATE), position, &Swaps::new());
    assert!(found.unknown.is_empty(), "{:?}", found.unknown);
    Ok(found.contains.into_iter().collect())
}

#[test]
fn allergens_are_the_union_over_everything_that_touches() -> Result<()> {
    // Source: section 15: wheat, milk and egg of both lists.
    assert_eq!(contains(house()?, "brioche-roll")?, ["egg", "milk", "wheat"]);
    // Source: row AL-08 (constructed): with egg wash and an almond filling; without the
    // wash egg stays, for it is in the brioche as well.
    let filled = |wash: bool| -> Result<House> {
        let mut make_up = vec![("brioche", "60 g"), ("almond-filling", "20 g")];
        if wash {
            make_up.push(("egg-wash", "2.5 g"));
        }
        house()?
            .containing("ground-almond", &["almond"])?
            .parts("almond-filling", &["ground-almond 100", "sugar 100"])?
            .product("almond-roll", &make_up)
    };
    for wash in [true, false] {
        let found = contains(filled(wash)?, "almond-roll")?;
        assert_eq!(found, ["almond", "egg", "milk", "wheat"], "AL-08, wash {wash}");
    }
    // Source: row AL-16 (Regulation (EU) 1169/2011, Annex VII part E 2): however little a
    // compound ingredient is, its allergens are not left out.
    let traced = house()?
        .containing("chocolate", &["soya"])?
        .parts("crumb", &["brioche 981", "chocolate 19"])?
        .product("crumb-roll", &[("crumb", "60 g")])?;
    assert!(contains(traced, "crumb-roll")?.contains(&"soya".to_owned()), "AL-16");
    Ok(())
}
