//! Friction learnt from the temperatures that hands wrote back, and accepted by a person.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{client::Client, demo};

const MIXER: &str = "/v1/mixers/bun-spiral/friction";

/// Takes a draft through release and weighing into the bowl, with its temperatures.
fn mix(client: &Client, draft: &str, temperatures: &Value) -> Result<()> {
    let release = client.post(&format!("/v1/loads/{draft}/release"), &json!({"who": "Anna"}))?;
    let load = release.success().with_context(|| format!("release of {draft}"))?;
    let id = load["id"].as_str().context("an id")?.to_owned();
    let weighed = client.post(&format!("/v1/loads/{id}/weighings"), &json!({"who": "Ben"}))?;
    weighed.success().with_context(|| format!("weighing of {draft}"))?;
    let mut body = temperatures.clone();
    body["who"] = json!("Cem");
    let mixed = client.post(&format!("/v1/loads/{id}/mixed"), &body)?;
    mixed.success().with_context(|| format!("mixing of {draft}"))?;
    Ok(())
}

fn written(dough: &str, water: &str) -> Value {
    json!({"dough_temperature": dough, "water_temperature": water,
           "flour_temperature": "18", "room_temperature": "22"})
}

#[test]
fn three_doughs_suggest_a_friction_and_a_person_sets_it() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let before = client.get("/v1/mixers/bun-spiral")?.success()?["friction"].clone();
    // Source: check-values.md section 2: FF = n*T_actual - (sum of temps incl. water), n = 3:
    // 3 × 26 - (18 + 22 + 26) = 12, then 13.5 and 12.6; their mean is 12.7.
    mix(client, "2026-06-12:bun:1", &written("26", "26"))?;
    mix(client, "2026-06-12:bun:2", &written("26.5", "26"))?;
    let two = client.get(MIXER)?.success()?;
    ensure!(two["all"]["doughs"] == 2 && two["all"]["suggested"].is_null(), "{two}");
    mix(client, "2026-06-13:bun:1", &written("26.2", "26"))?;
    // A dough of which a temperature was not written teaches nothing, and is counted.
    mix(client, "2026-06-13:bun:2", &json!({"dough_temperature": "40"}))?;
    let learnt = client.get(MIXER)?.success()?;
    for lesson in [&learnt["all"], &learnt["formulas"][0]] {
        ensure!(lesson["doughs"] == 3 && lesson["incomplete"] == 1, "{lesson}");
        ensure!(lesson["mean"] == "12.7" && lesson["suggested"] == "12.5", "{lesson}");
        ensure!(lesson["least"] == "12" && lesson["most"] == "13.5", "{lesson}");
    }
    ensure!(learnt["formulas"][0]["formula"] == "bun", "{learnt}");
    // Suggested is not set: the mixer is as it was.
    ensure!(learnt["friction"] == before, "{learnt}");
    let held = client.get("/v1/mixers/bun-spiral")?.success()?;
    ensure!(held["friction"] == before, "{held}");
    let accepted =
        client.post(MIXER, &json!({"friction": "12.5", "who": "Dora", "note": "June"}))?;
    ensure!(accepted.success()?["friction"] == "12.5", "it is not set");
    let held = client.get("/v1/mixers/bun-spiral")?.success()?;
    ensure!(held["friction"] == "12.5", "{held}");
    let revisions = client.get("/v1/revisions")?.success()?;
    let cause = &revisions["rows"][0]["cause"];
    ensure!(cause == "friction of bun-spiral set to 12.5 by Dora: June", "{cause}");
    Ok(())
}

#[test]
fn who_accepts_a_friction_says_so_and_a_dough_with_levain_needs_its_temperature() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    for (body, pointer) in [
        (json!({"friction": "12.5", "who": " "}), "/who"),
        (json!({"friction": "warm", "who": "Dora"}), "/friction"),
        (json!({"friction": "500", "who": "Dora"}), "/friction"),
    ] {
        let reply = client.post(MIXER, &body)?;
        ensure!(reply.status == 422 || reply.status == 400, "{body}: {}", reply.status);
        ensure!(reply.json()?["errors"][0]["pointer"] == pointer, "{}", reply.text());
    }
    let unknown = client.get("/v1/mixers/no-such-mixer/friction")?;
    ensure!(unknown.status == 404, "{}", unknown.status);
    let floor = "/v1/mixers/floor-spiral/friction";
    mix(client, "2026-06-12:country:1", &written("25", "26"))?;
    let found = client.get(floor)?.success()?;
    ensure!(found["all"]["doughs"] == 0 && found["all"]["incomplete"] == 1, "{found}");
    // Source: check-values.md section 2, n = 4 with a preferment:
    // 4 × 25 - (18 + 22 + 22 + 26) = 12.
    let mut with = written("25", "26");
    with["preferment_temperature"] = json!("22");
    mix(client, "2026-06-12:country:2", &with)?;
    let found = client.get(floor)?.success()?;
    ensure!(found["all"]["doughs"] == 1 && found["all"]["mean"] == "12", "{found}");
    Ok(())
}
