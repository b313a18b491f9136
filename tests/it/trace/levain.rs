//! A recall through two generations of levain, by hand.

use super::{grams, lot, past, reaches, row, trace, write_down};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo, server::Server};

/// Two builds of the past; the second is in the cold, and goes into Friday's first country.
///
/// By hand: build 1 is 8 000 g of flour OLD in 22 000 g, 4/11. Build 2 is 2 000 g of build 1 in
/// 22 000 g, 1/11 of that: 4/121. The country weighs 5 720 g of levain (alder-yard 8.9 B) in
/// 12 960 + 2 280 + 954 + 11 440 + 382 + 5 720 = 33 736 g: 4/121 x 5 720/33 736 = 260/46 387.
fn mixed() -> Result<Server> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let kept = json!({"item": "levain", "lot": "LEV-2", "received": "2026-06-10",
        "made_at": "2026-06-10T02:00:00+02:00", "quantity": grams(20_000)});
    client.post_receipt(&kept)?.success()?;
    write_down(
        client,
        &json!([
            past(
                "build 2",
                "levain",
                "2026-06-10T02:00:00+02:00",
                json!([
                    {"item": "strong-white", "lot": "NEW", "quantity": grams(10_000)},
                    {"item": "water", "quantity": grams(10_000)},
                    {"item": "levain", "load": "build 1", "quantity": grams(2_000)},
                ]),
                json!([{"lot": "LEV-2", "quantity": grams(22_000)}]),
            ),
            past(
                "build 1",
                "levain",
                "2026-06-09T02:00:00+02:00",
                json!([
                    {"item": "strong-white", "lot": "OLD", "quantity": grams(8_000)},
                    {"item": "wholemeal", "lot": "WM-0", "quantity": grams(2_000)},
                    {"item": "water", "quantity": grams(10_000)},
                    {"item": "levain", "lot": "LEV-0", "quantity": grams(2_000)},
                ]),
                json!([{"quantity": grams(22_000)}]),
            ),
        ]),
    )?;
    let load = client.post("/v1/loads/2026-06-12:country:1/release", &json!({"who": "Anna"}))?;
    let load = load.success()?;
    let lines = load["lines"].as_array().context("lines")?;
    let levain = lines.iter().find(|line| line["item"] == "levain").context("levain")?;
    let path = format!("/v1/loads/{}", load["id"].as_str().context("an id")?);
    let written = json!({"who": "Ben",
        "lines": [{"line": levain["number"], "lots": [{"lot": "LEV-2"}]}]});
    client.post(&format!("{path}/weighings"), &written)?.success()?;
    client.post(&format!("{path}/mixed"), &json!({"who": "Cem"}))?.success()?;
    Ok(server)
}

fn recall(client: &Client, item: &str, name: &str) -> Result<Value> {
    client.get(&format!("/v1/lots/{}/recall", lot(client, item, name)?))?.success()
}

#[test]
fn a_lot_two_levain_generations_deep_is_called_back_with_its_exact_share() -> Result<()> {
    let server = mixed()?;
    let client = server.client();
    let file = recall(client, "strong-white", "OLD")?;
    let steps = &file["went_into"]["steps"];
    reaches(row(steps, "name", "levain, past load build 1")?, 1, "4/11")?;
    reaches(row(steps, "name", "levain, past load build 2")?, 2, "4/121")?;
    let country = row(steps, "name", "country for 2026-06-12, load 1")?;
    reaches(country, 3, "260/46387")?;
    ensure!(country["share"]["percent"] == "0.560502", "{country}");
    ensure!(steps.as_array().map(Vec::len) == Some(3), "and nothing else: {steps}");
    let lots = &file["went_into"]["lots"];
    reaches(row(lots, "lot", "build 1")?, 1, "4/11")?;
    reaches(row(lots, "lot", "LEV-2")?, 2, "4/121")?;
    reaches(row(lots, "lot", "country 2026-06-12 no. 1")?, 3, "260/46387")?;
    // What is left of the levain and the dough is in the house.
    let left = row(&file["in_house"], "lot", "LEV-2")?;
    ensure!(left["quantity"]["amount"] == "14280", "{left}");
    row(&file["in_house"], "lot", "country 2026-06-12 no. 1")?;
    Ok(())
}

#[test]
fn the_dough_is_traced_back_to_every_lot_and_shares_with_water_make_one() -> Result<()> {
    let server = mixed()?;
    let client = server.client();
    let dough = lot(client, "country", "country 2026-06-12 no. 1")?;
    let back = trace(client, &dough, "back")?;
    let lots = &back["lots"];
    reaches(row(lots, "lot", "OLD")?, 3, "260/46387")?;
    // 10 000/22 000 of the second build.
    reaches(row(lots, "lot", "NEW")?, 2, "325/4217")?;
    reaches(row(lots, "lot", "LEV-0")?, 3, "65/46387")?;
    let salt = row(lots, "item", "fine-salt")?;
    reaches(salt, 1, "191/16868")?;
    ensure!(back["recipients"] == json!([]), "backwards nobody got anything: {back}");
    let all = lots.as_array().context("lots")?.iter();
    let sources = all
        .filter(|lot| lot["item"] != "levain" && lot["item"] != "country" || lot["lot"] == "LEV-0");
    let mut sum = num_rational::BigRational::from_integer(0.into());
    for lot in sources {
        sum += weighhouse_tests::exact::parse(lot["share"]["exact"].as_str().context("exact")?)?;
    }
    // Water by hand: 11 440 in the dough, and of the levain 10/22 and 1/11 x 10/22.
    let part = |text: &str| weighhouse_tests::exact::parse(text);
    let levain = part("5720/33736")?;
    let water = part("11440/33736")?
        + levain.clone() * part("10/22")?
        + levain * part("1/11")? * part("10/22")?;
    ensure!(sum + water == weighhouse_tests::exact::whole(1), "shares do not make one: {lots}");
    Ok(())
}

#[test]
fn the_file_is_also_paper_and_lines_that_no_spreadsheet_runs() -> Result<()> {
    let server = mixed()?;
    let client = server.client();
    let path = format!("/v1/lots/{}/recall", lot(client, "strong-white", "OLD")?);
    let paper = client.get_as(&path, "text/html")?.text();
    for words in [
        "Every link of the book is listed",
        "competent person under local law",
        "Country dough for Fri 12 Jun, load 1",
        "0.560502 %",
    ] {
        ensure!(paper.contains(words), "the sheet lacks `{words}`: {paper}");
    }
    ensure!(!paper.to_lowercase().contains("safe "), "never safe: {paper}");
    let german = client.get_as(&format!("{path}?language=de"), "text/html")?.text();
    for words in ["Rückrufakte Strong white flour OLD", "Country dough für Fr 12. Juni, Charge 1"]
    {
        ensure!(german.contains(words), "the sheet lacks `{words}`: {german}");
    }
    for code in [">strong-white<", ">levain<", "strong-white,", "country for", "lang=\"en\""] {
        ensure!(!german.contains(code), "hands read names, not `{code}`: {german}");
    }
    let json = client.get(&path)?.text();
    ensure!(json.contains("\"country for 2026-06-12, load 1\""), "JSON says codes: {json}");
    let csv = client.get(&format!("{path}.csv"))?;
    ensure!(csv.media_type.starts_with("text/csv"), "{}", csv.media_type);
    let text = csv.text();
    let lines: Vec<&str> = text.split("\r\n").collect();
    ensure!(lines.first().is_some_and(|head| head.starts_with("part,generation,")), "{text}");
    let fields = |line: &str| line.split(',').count();
    let head = lines.first().map(|head| fields(head));
    ensure!(
        lines.iter().any(|line| line.starts_with("went-into-step,3,0.560502,booked,load,country"))
    );
    ensure!(
        lines
            .iter()
            .filter(|line| !line.contains('"') && !line.is_empty())
            .all(|line| Some(fields(line)) == head),
        "{text}"
    );
    Ok(())
}
