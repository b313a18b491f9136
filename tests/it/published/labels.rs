//! Lists of ingredients and allergens: section 8 of the check values.

use anyhow::{Context, Result};
use domain::{
    allergens::{Swaps, allergens},
    bakery::Bakery,
    labelling::{CompoundKind, Finished, LabelPart},
    plan::statement::{Statement, statement},
    ratio::big_decimal,
    regulation::Regulation,
};
use jiff::civil::Date;
use weighhouse::document::BakeryBody;
use weighhouse_tests::{
    demo,
    house::{House, code, quantity, ratio},
};

const ON: Date = Date::constant(2026, 11, 26);

/// A regulation that every bakery knows.
fn regulation(code: &str) -> Result<Regulation> {
    let body: BakeryBody = serde_json::from_value(demo::document("bakery")?)?;
    let bakery = body.compile().map_err(|faults| anyhow::anyhow!("{faults:?}"))?;
    let mut known = bakery.lists().regulations.iter();
    known.find(|one| one.code.as_str() == code).cloned().context("a known regulation")
}

/// The statement of the house's first product.
fn stated(house: House, law: &str) -> Result<(Bakery, Statement)> {
    let bakery = house.open()?;
    let found = statement(&bakery, bakery.recipes(ON), 0, &regulation(law)?);
    Ok((bakery, found))
}

fn text(found: &Statement) -> String {
    found.label.segments().iter().map(|segment| segment.text.as_str()).collect()
}

/// BP-40, per 100 of flour.
fn brioche() -> Result<House> {
    let house = House::new()?
        .containing("flour", &["wheat"])?
        .containing("milk", &["milk"])?
        .containing("egg", &["egg"])?
        .containing("butter", &["milk"])?;
    let lines = ["milk 20", "yeast 5", "flour 100", "egg 50", "sugar 5", "salt 2", "butter 70"];
    house.parts("brioche", &lines)
}

fn losing(house: House, percent: &str) -> Result<House> {
    let loss = Finished::Loss(ratio(percent)?);
    house.whose(|product| product.label.finished = Some(loss))
}

#[test]
fn the_union_over_sub_recipes_keeps_what_any_of_them_has() -> Result<()> {
    // Source: AL-08: wheat, milk, egg, almond; without the egg wash egg stays, by the brioche.
    let filled = |wash: bool| -> Result<Vec<String>> {
        let house = brioche()?
            .containing("almond", &["almond"])?
            .parts("wash", &["egg 80", "milk 20"])?
            .parts("filling", &["almond 50", "sugar 50"])?;
        let mut make_up = vec![("brioche", "60 g"), ("filling", "20 g")];
        if wash {
            make_up.push(("wash", "2 g"));
        }
        let bakery = house.product("bun", &make_up)?.open()?;
        let found = allergens(&bakery, bakery.recipes(ON), 0, &Swaps::new());
        Ok(found.contains.into_iter().collect())
    };
    assert_eq!(filled(true)?, ["almond", "egg", "milk", "wheat"], "AL-08");
    assert_eq!(filled(false)?, ["almond", "egg", "milk", "wheat"], "AL-08 without the wash");
    Ok(())
}

#[test]
fn ingredients_stand_in_order_of_ingoing_weight_with_allergens_set_off() -> Result<()> {
    // Source: AL-10: flour, butter, egg, milk, then yeast, sugar, salt.
    let (_, found) = stated(brioche()?.product("bun", &[("brioche", "252 g")])?, "eu")?;
    assert_eq!(
        text(&found),
        "flour (WHEAT), butter (MILK), EGG, MILK, yeast, sugar, salt",
        "AL-10"
    );
    let bold: Vec<String> = found
        .label
        .segments()
        .into_iter()
        .filter(|segment| segment.allergen)
        .map(|segment| segment.text)
        .collect();
    assert_eq!(bold, ["WHEAT", "MILK", "EGG", "MILK"], "bold and capitals, never colour alone");
    Ok(())
}

#[test]
fn two_percent_is_of_the_finished_product() -> Result<()> {
    // Source: AL-11: 5/252 = 1.98 % of the dough, 5/(252 × 0.89) = 2.23 % of the finished.
    let percent = |loss| -> Result<(String, bool)> {
        let house = brioche()?.product("bun", &[("brioche", "252 g")])?;
        let (_, found) = stated(losing(house, loss)?, "eu")?;
        let yeast = found.label.entries.iter().find(|entry| entry.name[0].text == "yeast");
        let yeast = yeast.context("yeast")?;
        let shown = yeast.percent.as_ref().map(|percent| big_decimal(percent, 2));
        Ok((shown.context("a percentage")?, yeast.any_order))
    };
    assert_eq!(percent("0")?, ("1.98".to_owned(), true), "AL-11 unbaked");
    assert_eq!(percent("11")?, ("2.23".to_owned(), false), "AL-11 baked");
    Ok(())
}

#[test]
fn water_that_the_oven_took_is_not_listed() -> Result<()> {
    // Source: AL-13: finished 191.84 of 218, others 210: no water is left.
    let cookie = || -> Result<House> {
        let lines = ["flour 100", "sugar 60", "butter 50", "water 8"];
        House::new()?.parts("dough", &lines)?.product("cookie", &[("dough", "218 g")])
    };
    let (_, found) = stated(losing(cookie()?, "12")?, "eu")?;
    assert_eq!(
        found.contents.finished.as_ref().map(|grams| big_decimal(grams, 2)),
        Some("191.84".to_owned())
    );
    assert_eq!(text(&found), "flour, sugar, butter", "AL-13");
    // Nobody said what it weighs: the water stands as it went in.
    let (_, found) = stated(cookie()?, "eu")?;
    assert_eq!(text(&found), "flour, sugar, butter, water");
    // Source: Annex VII part A point 1, from memory: water above 5 % of the finished product
    // is listed by what is left of it: 100 + 60 + 50 + 40 less 8 leave 32 of 242.
    let lines = ["flour 100", "sugar 60", "butter 35", "water 55"];
    let wet = House::new()?.parts("dough", &lines)?.product("cake", &[("dough", "250 g")])?;
    let (_, found) = stated(losing(wet, "12")?, "eu")?;
    assert_eq!(text(&found), "flour, sugar, butter, water", "25 g of water are left of 55");
    Ok(())
}

#[test]
fn quantities_are_of_the_finished_product() -> Result<()> {
    // Source: AL-14: butter 50 of 168 g after baking is 29.8 %, not 25.0 %.
    let stated_of = |named: &[&str]| -> Result<Vec<(String, bool)>> {
        let lines = ["flour 100", "sugar 40", "butter 50", "egg 10"];
        let house =
            House::new()?.parts("dough", &lines)?.product("biscuit", &[("dough", "200 g")])?;
        let named: Result<Vec<_>> = named.iter().map(|name| code(name)).collect();
        let named = named?;
        let house = losing(house, "16")?.whose(|product| product.label.quantities = named)?;
        let (_, found) = stated(house, "eu")?;
        let shown = found.label.quantities.iter().map(|one| {
            let per_100g = one.per_100g.as_ref().map(|grams| big_decimal(grams, 1));
            (per_100g.unwrap_or_default(), one.as_mass)
        });
        Ok(shown.collect())
    };
    assert_eq!(stated_of(&["butter"])?, [("29.8".to_owned(), false)], "AL-14");
    // Source: Annex VIII point 4 (a): above 100 % the mass used for 100 g is stated.
    let all = stated_of(&["flour", "sugar", "butter"])?;
    assert_eq!(all[0], ("59.5".to_owned(), true));
    assert!(all.iter().all(|(_, as_mass)| *as_mass), "59.5 + 23.8 + 29.8 exceed 100");
    Ok(())
}

#[test]
fn a_little_of_a_compound_may_stand_without_its_list_but_not_its_allergens() -> Result<()> {
    // Source: AL-16 (chocolate 1.9 %) and AL-17 (mixed spices 1.9 % and 2.0 %).
    let with = |kind: CompoundKind, grams: &str, law: &str| -> Result<String> {
        let part = |name: &str, words: &[&str]| LabelPart {
            name: name.to_owned(),
            contains: words.iter().map(|word| (*word).to_owned()).collect(),
        };
        let house = House::new()?.containing("flour", &["wheat"])?.item("mix", |item| {
            item.allergens.contains = ["soya".to_owned()].into();
            item.label.kind = kind;
            item.label.parts = vec![part("one", &[]), part("lecithin", &["soya"])];
        })?;
        let house = house.product("bread", &[("flour", "98 g"), ("mix", grams)])?;
        let finished = Some(Finished::Mass(quantity("100 g")?));
        let house = house.whose(|product| product.label.finished = finished)?;
        Ok(text(&stated(house, law)?.1))
    };
    let left_out = "flour (WHEAT), mix (SOYA)";
    let listed = "flour (WHEAT), mix (one, lecithin (SOYA))";
    assert_eq!(with(CompoundKind::FixedByLaw, "1.9 g", "eu")?, left_out, "AL-16");
    assert_eq!(with(CompoundKind::Plain, "1.9 g", "eu")?, listed);
    assert_eq!(with(CompoundKind::Spices, "1.9 g", "eu")?, left_out, "AL-17 below");
    assert_eq!(with(CompoundKind::Spices, "2.0 g", "eu")?, listed, "AL-17 at the bound");
    Ok(())
}

#[test]
fn the_us_form_groups_what_is_little_and_states_all_allergens_beside() -> Result<()> {
    // Source: AL-19, a "Contains:" statement naming all; 21 CFR 101.4(a)(2), 2 % or less.
    let house = losing(brioche()?.product("bun", &[("brioche", "252 g")])?, "0")?;
    let (_, found) = stated(house, "us")?;
    let listed =
        "flour (WHEAT), butter (MILK), EGG, MILK. Contains 2% or less of: yeast, sugar, salt";
    assert_eq!(text(&found), listed);
    let (heading, names) = found.label.contains.context("a statement beside the list")?;
    assert_eq!((heading.as_str(), names.join(", ").as_str()), ("Contains:", "milk, egg, wheat"));
    Ok(())
}
