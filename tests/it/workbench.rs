//! The formula workbench: versions compared, drafts, other sizes.

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use weighhouse_tests::{
    client::Client,
    demo,
    exact::{parse, whole},
};

fn last(bench: &Value) -> Result<&Value> {
    bench["versions"].as_array().and_then(|all| all.last()).context("a version")
}

fn kinds(version: &Value) -> Vec<String> {
    let all = version["warnings"].as_array().into_iter().flatten();
    all.map(|one| one["kind"].as_str().unwrap_or_default().to_owned()).collect()
}

fn bench(client: &Client, path: &str) -> Result<Value> {
    client.get(path)?.success().with_context(|| path.to_owned())
}

/// A formula of the demo with some lines at other parts.
fn draft(client: &Client, code: &str, parts: &[(&str, &str)]) -> Result<Value> {
    let mut formula = client.get(&format!("/v1/formulas/{code}"))?.success()?;
    for (item, part) in parts {
        let lines = formula["lines"].as_array_mut().context("lines")?;
        let line = lines.iter_mut().find(|line| line["item"] == *item).context("a line")?;
        line["parts"] = json!(part);
    }
    Ok(formula)
}

#[test]
fn the_figures_of_the_doughs_are_as_printed() -> Result<()> {
    // Source: Alder Yard 8.2: overall checks.
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    for (code, sum, water, salt, prefermented) in [
        ("country", "177", "75", "2", "15"),
        ("baguette", "171", "68", "1.9", "30"),
        ("seed", "219.1", "66", "2.1", "10"),
    ] {
        let found = bench(client, &format!("/v1/formulas/{code}/workbench?on=2026-06-12"))?;
        let version = last(&found)?;
        ensure!(version["sum"] == sum && version["hydration"] == water, "{version}");
        ensure!(version["salt"] == salt && version["prefermented"] == prefermented, "{version}");
        ensure!(kinds(version).is_empty() && version["in_force"] == true, "{version}");
    }
    let seed = bench(client, "/v1/formulas/seed/workbench?on=2026-06-12")?;
    ensure!(last(&seed)?["bound_water"] == "22.5", "8.2: + 22.5 bound: {seed}");
    // Milk 40 x 88 %, egg 15 x 75 %, butter 18 x 16 % and 8 water (common practice, 2.1).
    let bun = bench(client, "/v1/formulas/bun/workbench?on=2026-06-12")?;
    ensure!(last(&bun)?["hydration"] == "8" && last(&bun)?["hydration_wet"] == "57.33", "{bun}");
    let paper = client.get_as("/v1/formulas/country/workbench", "text/html")?.text();
    let tree = &bench(client, "/v1/formulas/country/workbench?on=2026-06-12")?["tree"];
    let levain = tree["branches"].as_array().and_then(|all| all.last()).context("a levain")?;
    ensure!(levain["item"] == "levain" && levain["parts"] == "30", "{tree}");
    let seed = levain["branches"].as_array().and_then(|all| all.last()).context("a seed")?;
    ensure!(seed["kind"] == "previous-batch" && seed["parts"] == "20", "8.3: {levain}");
    ensure!(paper.matches("<svg").count() == 3 && paper.contains("Versions compared"), "{paper}");
    Ok(())
}

#[test]
fn a_draft_is_compared_and_warned_of_and_kept_nowhere() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let before = client.get("/v1/bakery")?;
    let path = "/v1/formulas/bun/workbench?on=2026-06-12";
    let salty = draft(client, "bun", &[("fine-salt", "2.5"), ("fresh-yeast", "6.5")])?;
    let found = client.post(path, &json!({"draft": salty}))?.success()?;
    let version = last(&found)?;
    ensure!(version["draft"] == true && kinds(version) == ["salt", "fresh-yeast"], "{version}");
    ensure!(found["versions"].as_array().map(Vec::len) == Some(2), "{found}");
    let cost = |version: &Value| parse(version["cost"]["minor_units_exact"].as_str().unwrap_or(""));
    ensure!(cost(version)? != cost(&found["versions"][0])?, "{found}");
    // Almonds instead of sugar: the allergens say so.
    let mut nutty = draft(client, "bun", &[])?;
    let lines = nutty["lines"].as_array_mut().context("lines")?;
    let sugar = lines.iter_mut().find(|line| line["item"] == "caster-sugar").context("sugar")?;
    sugar["item"] = json!("ground-almond");
    let found = client.post(path, &json!({"draft": nutty}))?.success()?;
    ensure!(last(&found)?["allergens"]["contains"].to_string().contains("almond"), "{found}");
    // A band of its own, and flours that make no hundred.
    let mut wet = draft(client, "country", &[("water", "70")])?;
    wet["hydration"] = json!({"least": "70", "most": "80"});
    let path = "/v1/formulas/country/workbench";
    let found = client.post(path, &json!({"draft": wet}))?.success()?;
    ensure!(kinds(last(&found)?) == ["hydration"], "85 % of 70 to 80: {found}");
    let short = draft(client, "country", &[("rye", "4")])?;
    let refused = client.post(path, &json!({"draft": short}))?;
    ensure!(refused.status == 422 && refused.text().contains("flour"), "{}", refused.text());
    let after = client.get("/v1/bakery")?;
    ensure!(after.etag == before.etag && after.body == before.body, "nothing is kept");
    Ok(())
}

#[test]
fn another_form_of_yeast_is_held_against_what_stands_for_it() -> Result<()> {
    // Source: trade rules 2.1: fresh 1 : active dry 0.4-0.5 : instant 0.33-0.4.
    let mut bakery = demo::document("bakery")?;
    let items = bakery["items"].as_array_mut().context("items")?;
    items.push(json!({"code": "instant-yeast", "kind": "bought", "base_unit": "g",
        "yeast": "instant", "allergens_known": true}));
    let server = demo::serve(&bakery)?;
    let client = server.client();
    for (parts, warned) in [("1.1", false), ("1.5", true), ("0.8", true)] {
        let mut formula = draft(client, "bun", &[])?;
        let lines = formula["lines"].as_array_mut().context("lines")?;
        let yeast = lines.iter_mut().find(|line| line["item"] == "fresh-yeast").context("yeast")?;
        (yeast["item"], yeast["parts"]) = (json!("instant-yeast"), json!(parts));
        let found =
            client.post("/v1/formulas/bun/workbench", &json!({"draft": formula}))?.success()?;
        ensure!(kinds(last(&found)?).contains(&"yeast-form".to_owned()) == warned, "{found}");
    }
    Ok(())
}

#[test]
fn a_formula_is_scaled_to_pieces_mass_and_flour_in_whole_divisions() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    // Source: check-values BP-04's rule, on the demo's bun: flour is 100 of 198.
    let found = bench(client, "/v1/formulas/bun/workbench?on=2026-06-12&grams=9900")?;
    let load = &found["scaled"]["batches"][0]["loads"][0];
    let flour = &load["lines"][0];
    ensure!(flour["exact"]["amount"] == "5000" && flour["weigh"]["amount"] == "5000", "{load}");
    let found = bench(client, "/v1/formulas/country/workbench?on=2026-06-12&flour_grams=10000")?;
    let batches = found["scaled"]["batches"].as_array().context("batches")?;
    // 17.7 kg in the bowl hold 10 kg of flour overall; the levain is 30 of 177.
    ensure!(batches[0]["loads"][0]["mass"]["amount"] == "17700", "{found}");
    ensure!(batches.iter().any(|batch| batch["formula"] == "levain"), "{found}");
    // 8.9 A: Friday's buns by pieces of one product: 73 sugar buns of 80 g, losses on top.
    let path = "/v1/formulas/bun/workbench?on=2026-06-12&product=sugar-bun&pieces=73";
    let mass = &bench(client, path)?["scaled"]["batches"][0]["loads"][0]["mass"]["amount"];
    let mass = parse(mass.as_str().context("a mass")?)?;
    let by_hand = whole(5_840) * whole(1_000_000) / whole(980_075) + whole(100);
    let off = mass - by_hand;
    ensure!(off < parse("0.000001")? && off > parse("-0.000001")?, "{off}");
    let two = client.get("/v1/formulas/bun/workbench?grams=1&largest=true")?;
    ensure!(two.status == 422 && two.is_problem("field-mismatch")?, "{}", two.text());
    let croissant = client.get("/v1/formulas/bun/workbench?pieces=3&product=croissant")?;
    ensure!(croissant.is_problem("not-found")?, "{}", croissant.text());
    Ok(())
}

#[test]
fn the_largest_takes_no_gram_that_is_not_there_and_one_more_would() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let found = bench(client, "/v1/formulas/bun/workbench?on=2026-06-12&largest=true")?;
    let scaled = &found["scaled"];
    let ends = scaled["ends_first"][0].as_str().context("what ends first")?;
    let usable = |item: &str| -> Result<BigRational> {
        let rows = demo::list(&bench(client, &format!("/v1/lots?item={item}"))?, "rows")?;
        rows.iter().map(|row| parse(row["quantity"]["amount"].as_str().unwrap_or(""))).sum()
    };
    for draw in scaled["draws"].as_array().context("draws")? {
        let item = draw["item"].as_str().context("an item")?;
        let amount = parse(draw["quantity"]["amount"].as_str().unwrap_or(""))?;
        ensure!(amount <= usable(item)?, "{item}: {draw}");
    }
    // A gram more in the bowl takes more of it than there is.
    let loads = scaled["batches"][0]["loads"].as_array().context("loads")?;
    let grams: BigRational = loads
        .iter()
        .map(|load| {
            let each = parse(load["mass"]["amount"].as_str().unwrap_or(""))?;
            Ok(each * whole(load["loads"].as_i64().unwrap_or(0)))
        })
        .sum::<Result<_>>()?;
    let more = (grams + whole(1)).to_integer();
    let more = bench(client, &format!("/v1/formulas/bun/workbench?on=2026-06-12&grams={more}"))?;
    let draws = more["scaled"]["draws"].as_array().context("draws")?;
    let of_it = draws.iter().find(|draw| draw["item"] == ends).context("it is drawn")?;
    let taken = parse(of_it["quantity"]["amount"].as_str().unwrap_or(""))?;
    ensure!(taken > usable(ends)?, "{of_it} of {ends}");
    Ok(())
}

#[test]
fn versions_are_compared_by_what_they_nourish() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let fat = |version: &Value| -> Result<BigRational> {
        let lines = version["nutrition"].as_array().context("lines")?;
        let line = lines.iter().find(|line| line["nutrient"] == "fat").context("fat")?;
        parse(line["exact"].as_str().context("exact")?)
    };
    // By hand: SR28 per 100 g: egg 9.51, milk 3.25, butter 81.11, fresh yeast 1.90; bread flour
    // 1.66; parts of 198 (8.2). More butter takes the place of sugar.
    let richer = draft(client, "bun", &[("butter", "24"), ("caster-sugar", "6")])?;
    let path = "/v1/formulas/bun/workbench?on=2026-06-12";
    let found = client.post(path, &json!({"draft": richer}))?.success()?;
    let versions = found["versions"].as_array().context("versions")?;
    ensure!(found["regulation"] == "eu" && versions.len() == 2, "{found}");
    let more = fat(&versions[1])? - fat(&versions[0])?;
    // Six parts of 198 of butter more; sugar has none. Losses cancel out.
    let by_hand = whole(6) * parse("81.11")? / whole(198);
    let off = &more - by_hand;
    ensure!(off < parse("0.05")? && off > parse("-0.05")?, "{more}");
    let us = bench(client, "/v1/formulas/bun/workbench?on=2026-06-12&regulation=us")?;
    ensure!(us["regulation"] == "us", "{us}");
    let paper = client.get_as(path, "text/html")?.text();
    ensure!(paper.contains("Nutrition of 100 g"), "{paper}");
    Ok(())
}
