//! Laminated dough as a load: base dough and butter sheets, folded in whole blocks.

use super::{amount, batch, demo_server, left, order, page, release, step};
use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};

/// Friday's laminated dough: eight blocks, folded on Thursday at 08:00.
///
/// # Source
/// Alder-yard 8.2, 8.7, 8.8: one 1 kg sheet and 3 571.43 g of detrempe a block.
#[test]
fn blocks_are_released_weighed_and_folded_and_later_plans_hold_them() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let draft = page(client, "2026-06-11", "laminated", 1)?;
    ensure!(draft["id"] == "2026-06-12:laminated:1" && draft["units"] == 8, "{draft}");
    let load = release(client, "2026-06-12:laminated:1")?;
    ensure!(load["state"] == "released", "{load}");
    let sheet = page(client, "2026-06-11", "laminated", 1)?;
    ensure!(sheet["state"] == "released" && sheet["units"] == 8, "{sheet}");
    ensure!(sheet["lines"] == draft["lines"], "the page says what it said:\n{sheet}\n{draft}");
    let found = batch(client, "laminated")?;
    ensure!(found["blocks"] == 0, "nothing is left to fold: {found}");
    // Its base dough is asked as before: eight blocks of it.
    let base = batch(client, "detrempe")?;
    ensure!(near(&base["net"], &exact("200000/7"))?, "28 571.43 g: {base}");

    // More croissants are one block more, and the released eight do not move.
    client.post_order(&order(1, "croissant", 40))?.success()?;
    let found = batch(client, "laminated")?;
    let more = found["blocks"].as_i64().context("blocks")?;
    ensure!(more >= 1, "{found}");
    let second = page(client, "2026-06-11", "laminated", 2)?;
    ensure!(second["state"] == "draft" && second["units"] == more, "{second}");
    let still = page(client, "2026-06-11", "laminated", 1)?;
    ensure!(still["lines"] == sheet["lines"], "{still}");
    let base = batch(client, "detrempe")?;
    let blocks = BigRational::from_integer((8 + more).into());
    ensure!(near(&base["net"], &(exact("25000/7") * blocks))?, "{base}");

    // The hand takes eight of nine sheets, and folds.
    let at = server.at("2026-06-11T08:00:00+02:00")?;
    let client = at.client();
    step(client, &load, "weighings", &json!({"who": "Anna"}))?;
    ensure!(left(client, "butter-sheet", "BS-1")? == exact("1"), "one sheet is left");
    let mixed = step(client, &load, "mixed", &json!({"who": "Anna"}))?;
    ensure!(mixed["state"] == "mixed", "{mixed}");
    let divided = step(client, &load, "divided", &json!({"who": "Anna"}))?;
    ensure!(divided["state"] == "divided", "{divided}");
    ensure!(batch(client, "laminated")?["blocks"] == more, "it still covers its eight blocks");
    // The sheet shows it as done, in blocks, and no mix sheet asks for a bowl.
    let html = client.get_as("/v1/work-dates/2026-06-11/weigh-out", "text/html")?.text();
    ensure!(html.contains("8 blocks"), "{html}");
    let mixes = client.get("/v1/work-dates/2026-06-11/mix-sheet")?.success()?;
    ensure!(!mixes.to_string().contains("laminated"), "{mixes}");
    Ok(())
}

/// Whether an answer with six places is an exact amount.
fn near(found: &Value, exactly: &BigRational) -> Result<bool> {
    let apart = amount(found)? - exactly;
    let micro = exact("1/1000000");
    Ok(apart < micro && apart > -micro)
}

fn exact(text: &str) -> BigRational {
    text.parse().unwrap_or_else(|_| unreachable!("{text} is a fraction"))
}

#[test]
fn a_second_load_gives_the_pieces_that_the_first_does_not() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let first = release(client, "2026-06-12:laminated:1")?;
    let of = |load: &Value| -> Option<i64> {
        let pieces = load["pieces"].as_array()?.iter();
        pieces.filter(|one| one["product"] == "croissant").find_map(|one| one["pieces"].as_i64())
    };
    let before = of(&first).context("croissants of the first")?;
    client.post_order(&order(1, "croissant", 40))?.success()?;
    let second = release(client, "2026-06-12:laminated:2")?;
    let more = of(&second).context("croissants of the second")?;
    let requirements = client.requirements("2026-06-12")?;
    let pieces = requirements["pieces"].as_array().context("pieces")?;
    let line = pieces.iter().find(|line| line["product"] == "croissant").context("croissants")?;
    ensure!(Some(before + more) == line["start"].as_i64(), "{before} + {more}: {line}");
    // Taken back, its blocks are to be folded again.
    step(client, &first, "cancelled", &json!({"who": "Anna"}))?;
    ensure!(batch(client, "laminated")?["blocks"] == 8, "{}", batch(client, "laminated")?);
    Ok(())
}
