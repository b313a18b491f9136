//! Answers that the API gives.

use super::{Morning, batch, is, row, shows, sum, whole};
use anyhow::{Context, Result};
use serde_json::{Value, json};
use weighhouse_tests::{demo, exact};

#[test]
fn orders_become_start_pieces() -> Result<()> {
    // Source: 8.4, pieces ordered, start on Friday, start on Saturday.
    let morning = Morning::new()?;
    for (product, friday, saturday) in [
        ("country-large", (50, 51), (80, 81)),
        ("country-small", (40, 41), (60, 61)),
        ("baguette-350", (120, 123), (190, 194)),
        ("crusty-roll", (240, 245), (180, 184)),
        ("oil-flatbread", (20, 21), (30, 31)),
        ("seed-tin", (48, 49), (54, 55)),
        ("sugar-bun", (72, 73), (102, 104)),
        ("fruit-bun", (84, 85), (36, 37)),
        ("custard-bun", (48, 49), (70, 71)),
        ("lemon-knot", (60, 61), (88, 89)),
        ("croissant", (180, 224), (270, 279)),
        ("choc-roll", (120, 124), (170, 176)),
        ("raisin-spiral", (72, 75), (96, 99)),
        ("almond-croissant", (24, 25), (36, 37)),
    ] {
        for (answer, (ordered, start)) in [(&morning.friday, friday), (&morning.saturday, saturday)]
        {
            let found = row(answer, "pieces", "product", product)?;
            let found = (whole(&found["ordered"]), whole(&found["start"]));
            assert_eq!(found, (Some(ordered), Some(start)), "8.4 {product}");
        }
    }
    // Saturday's almond croissants take 37 of Friday's bake; Friday's, 25 from stock.
    let croissant = row(&morning.friday, "pieces", "product", "croissant")?;
    assert_eq!(whole(&croissant["day_after"]), Some(37), "8.4 croissants for the day after");
    let draw = row(&morning.friday, "day_old_draws", "product", "croissant")?;
    assert_eq!((whole(&draw["pieces"]), &draw["baked"]), (Some(25), &json!("2026-06-11")));
    Ok(())
}

#[test]
fn doughs_are_grossed_and_split() -> Result<()> {
    // Source: 8.8: dough, net, gross, loads, each; grams.
    let morning = Morning::new()?;
    for (answer, dough, net, gross, loads, each) in [
        (&morning.friday, "country", "65780", "67115.60", 2, "33757.80"),
        (&morning.friday, "baguette", "69825", "71242.73", 2, "35821.37"),
        (&morning.friday, "seed", "42140", "42779.55", 1, "42979.55"),
        (&morning.friday, "bun", "19795", "20197.43", 2, "10198.72"),
        (&morning.saturday, "country", "102580", "104662.79", 2, "52531.39"),
        (&morning.saturday, "baguette", "94100", "96010.61", 2, "48205.31"),
        (&morning.saturday, "seed", "47300", "48017.87", 1, "48217.87"),
        (&morning.saturday, "bun", "22555", "23013.54", 2, "11606.77"),
    ] {
        let found = batch(answer, dough)?;
        is(&format!("8.8 {dough} net"), &found["net"], net);
        shows(&format!("8.8 {dough} gross"), &found["gross"], gross);
        assert_eq!(whole(&found["loads"]), Some(loads), "8.8 {dough} loads");
        shows(&format!("8.8 {dough} each"), &found["load_groups"][0]["mix_mass"], each);
    }
    for (answer, net, gross, blocks, detrempe) in [
        (&morning.friday, "33970", "36319.90", 8, "28771.43"),
        (&morning.saturday, "44430", "47503.47", 11, "39485.71"),
    ] {
        let found = batch(answer, "laminated")?;
        is("8.8 laminated net", &found["net"], net);
        shows("8.8 laminated gross", &found["gross"], gross);
        assert_eq!(whole(&found["blocks"]), Some(blocks), "8.8 blocks");
        let base = batch(answer, "detrempe")?;
        assert_eq!(whole(&base["loads"]), Some(1), "8.8 detrempe loads");
        shows("8.8 detrempe each", &base["load_groups"][0]["mix_mass"], detrempe);
    }
    Ok(())
}

#[test]
fn a_the_buns_of_friday_are_weighed_out() -> Result<()> {
    // Source: 8.9 A: item, exact, scale, weigh, issue of both loads; grams.
    let morning = Morning::new()?;
    let bun = batch(&morning.friday, "bun")?;
    let load = &bun["load_groups"][0];
    for (item, exact, scale, weigh, issue) in [
        ("strong-white", "5150.87", "floor", "5160", "10320"),
        ("whole-milk", "2060.35", "floor", "2060", "4120"),
        ("caster-sugar", "618.10", "bench", "618", "1236"),
        ("butter", "927.16", "bench", "928", "1856"),
        ("liquid-egg", "772.63", "bench", "772", "1544"),
        ("water", "412.07", "bench", "412", "824"),
        ("fresh-yeast", "154.53", "micro", "154.5", "309.0"),
        ("fine-salt", "92.72", "micro", "92.7", "185.4"),
        ("lemon-zest", "10.30", "micro", "10.3", "20.6"),
    ] {
        let line = row(load, "lines", "item", item)?;
        shows(&format!("A {item} exact"), &line["exact"], exact);
        is(&format!("A {item} weigh"), &line["weigh"], weigh);
        assert_eq!(line["scale"], scale, "A {item}");
        let total = row(bun, "issue_totals", "item", item)?;
        is(&format!("A {item} issue"), &total["issue"], issue);
    }
    is("A sum", &load["weighed"], "10207.5");
    assert_eq!(load["within_quarter_percent"], true, "A: + 0.09 % is accepted");
    let issues = bun["issue_totals"].as_array().context("issue totals")?;
    assert_eq!(sum(issues.iter().map(|row| &row["issue"]))?, exact::parse("20415.0")?, "A");
    for (number, pieces, mass) in [(0, [37, 42, 25, 30], "9900"), (1, [36, 43, 24, 31], "9895")] {
        let found = &bun["pieces_per_load"][number];
        is("A mass of pieces", &found["mass"], mass);
        for (product, pieces) in
            ["sugar-bun", "fruit-bun", "custard-bun", "lemon-knot"].into_iter().zip(pieces)
        {
            let row = row(found, "pieces", "product", product)?;
            assert_eq!(whole(&row["pieces"]), Some(pieces), "A {product} in load {}", number + 1);
        }
    }
    Ok(())
}

#[test]
fn a_eggs_by_count_are_cracked_whole() -> Result<()> {
    // Source: 8.9 A, if egg is by count: 1 544 / 50 = 30.88, crack 31.
    let mut bakery = demo::document("bakery")?;
    let formulas = bakery["formulas"].as_array_mut().context("formulas")?;
    let bun = formulas.iter_mut().find(|formula| formula["code"] == "bun").context("bun")?;
    let lines = bun["lines"].as_array_mut().context("lines")?;
    let egg = lines.iter_mut().find(|line| line["item"] == "liquid-egg").context("egg")?;
    egg["item"] = json!("shell-egg");
    let morning = Morning::of(&bakery)?;
    let total = row(batch(&morning.friday, "bun")?, "issue_totals", "item", "shell-egg")?;
    is("A egg", &total["issue"], "1544");
    assert_eq!(whole(&total["count"]), Some(31), "A: crack 31");
    Ok(())
}

#[test]
fn b_the_levain_chain_keeps_the_seed_of_the_next_build() -> Result<()> {
    // Source: 8.9 B; grams.
    let morning = Morning::new()?;
    let friday = batch(&morning.friday, "levain")?;
    for (dough, issue) in [("country", "11440"), ("seed", "3920")] {
        let row = row(friday, "asked", "by", dough)?;
        is(&format!("B {dough}"), &row["amount"], issue);
    }
    is("B Friday's demand", &friday["net"], "15360");
    shows("B Friday's keep-back", &friday["keep_back"], "2104.82");
    shows("B Friday's build", &friday["mix_mass"], "17778.29");
    let load = &friday["load_groups"][0];
    for (item, exact, weigh) in [
        ("levain", "1616.21", "1616"),
        ("strong-white", "6464.83", "6460"),
        ("wholemeal", "1616.21", "1616"),
        ("water", "8081.04", "8080"),
    ] {
        let line = row(load, "lines", "item", item)?;
        shows(&format!("B {item} exact"), &line["exact"], exact);
        is(&format!("B {item} weigh"), &line["weigh"], weigh);
    }
    is("B sum", &load["weighed"], "17772");
    let saturday = batch(&morning.saturday, "levain")?;
    for (dough, issue) in [("country", "17800"), ("seed", "4400")] {
        let row = row(saturday, "asked", "by", dough)?;
        is(&format!("B {dough}"), &row["amount"], issue);
    }
    is("B Saturday's demand", &saturday["net"], "22200");
    is("B Saturday's maintenance", &saturday["keep_back"], "500");
    shows("B Saturday's build", &saturday["mix_mass"], "23153.06");
    Ok(())
}

#[test]
fn c_lemons_give_zest_and_juice_at_once() -> Result<()> {
    // Source: 8.9 C.
    let morning = Morning::new()?;
    let syrup = batch(&morning.friday, "lemon-syrup")?;
    is("C syrup net", &syrup["net"], "1503");
    shows("C syrup in", &syrup["gross"], "1719.68");
    let load = &syrup["load_groups"][0];
    for (item, exact, weigh) in [("lemon-zest", "33.72", "33.7"), ("lemon-juice", "337.19", "338")]
    {
        let line = row(load, "lines", "item", item)?;
        shows(&format!("C {item} exact"), &line["exact"], exact);
        is(&format!("C {item} weigh"), &line["weigh"], weigh);
    }
    let lemons = row(&morning.friday, "fruit", "fruit", "lemons")?;
    for (item, amount, fruit) in [("lemon-zest", "54.3", 11), ("lemon-juice", "338", 9)] {
        let need = row(lemons, "needs", "item", item)?;
        is(&format!("C {item}"), &need["amount"], amount);
        assert_eq!(whole(&need["fruit"]), Some(fruit), "C fruit for {item}");
    }
    assert_eq!(whole(&lemons["fruit_count"]), Some(11), "C: 11, not 11 + 9");
    assert_eq!(whole(&lemons["fruit_count_if_surplus_not_kept"]), Some(12), "C: 5 and 7");
    is("C spare juice", &row(lemons, "spare", "item", "lemon-juice")?["amount"], "102");
    Ok(())
}

/// Sum of the needs of an item on a local day over both service dates.
fn needed(morning: &Morning, item: &str, day: &str) -> Result<String> {
    let mut amounts = Vec::new();
    for answer in [&morning.friday, &morning.saturday] {
        for need in answer["needs"].as_array().context("needs")? {
            let on_day = need["at"].as_str().is_some_and(|at| at.starts_with(day));
            if need["item"] == item && on_day {
                amounts.push(&need["amount"]);
            }
        }
    }
    Ok(exact::decimal(&sum(amounts.into_iter())?, 6))
}

#[test]
fn d_milk_sheets_and_rye_are_needed_when_they_are_weighed() -> Result<()> {
    // Source: 8.9 D; grams, sheets.
    let morning = Morning::new()?;
    for (item, day, amount) in [
        ("whole-milk", "2026-06-10", "8060"),
        ("whole-milk", "2026-06-11", "12740"),
        ("whole-milk", "2026-06-12", "3972"),
        ("whole-milk", "2026-06-13", "418"),
        ("butter-sheet", "2026-06-11", "8"),
        ("butter-sheet", "2026-06-12", "11"),
        ("rye", "2026-06-11", "1908"),
        ("rye", "2026-06-12", "2968"),
    ] {
        assert_eq!(needed(&morning, item, day)?, amount, "D {item} on {day}");
    }
    Ok(())
}

#[test]
fn h_allergens_are_stated_product_by_product() -> Result<()> {
    // Source: 8.9 H.
    let morning = Morning::new()?;
    let client = morning.server.client();
    for (product, contains, may_contain) in [
        ("baguette-350", vec!["barley", "wheat"], vec![]),
        ("country-large", vec!["rye", "wheat"], vec![]),
        ("country-small", vec!["rye", "wheat"], vec![]),
        ("seed-tin", vec!["sesame", "wheat"], vec!["rye", "soya"]),
        ("sugar-bun", vec!["egg", "milk", "wheat"], vec![]),
        ("croissant", vec!["barley", "egg", "milk", "wheat"], vec![]),
        ("choc-roll", vec!["barley", "egg", "milk", "soya", "wheat"], vec![]),
        ("almond-croissant", vec!["almond", "barley", "egg", "milk", "wheat"], vec!["other nuts"]),
    ] {
        let answer = client.allergens(product, &[])?;
        assert_eq!(answer["contains"], json!(contains), "H {product}");
        assert_eq!(answer["may_contain"], json!(may_contain), "H {product}");
        assert_eq!(answer["unknown"], json!([]), "H {product}");
    }
    let swapped = client.allergens("fruit-bun", &[("raisins", "golden-raisins")])?;
    assert_eq!(swapped["contains"], json!(["egg", "milk", "sulphites", "wheat"]), "H fruit-bun");
    Ok(())
}

#[test]
fn too_little_salt_is_marked_and_a_load_without_flour_is_not_nudged() -> Result<()> {
    // Source: the two closing consequences of the scenario.
    let morning = Morning::new()?;
    let friday = &batch(&morning.friday, "egg-wash")?["load_groups"][0];
    let salt = row(friday, "lines", "item", "fine-salt")?;
    is("wash salt", &salt["weigh"], "8.3");
    assert_eq!(salt["state"], "premix", "8.3 g are below 10 g");
    let saturday = &batch(&morning.saturday, "egg-wash")?["load_groups"][0];
    is("wash sum", &saturday["weighed"], "2508.4");
    shows("wash mass", &saturday["mix_mass"], "2515.56");
    assert_eq!(saturday["within_quarter_percent"], Value::Bool(false), "- 0.28 %");
    assert_eq!(whole(&saturday["nudges"]), Some(0), "no flour line to move");
    Ok(())
}
