//! Substitutes: shown before they are used, signed for, in the plan, taken back.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{demo, server::Server};

const FAT: &str = "/v1/service-dates/2026-06-12/substitutes/baking-fat-for-butter";
const SIGN: &str = "/v1/service-dates/2026-06-12/sign-offs";

fn serve() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

fn signed() -> Value {
    json!({"substitute": "baking-fat-for-butter", "accepts": {"contains": ["soya"]},
        "excludes": ["hill-school"], "who": "Anna", "note": "the dairy cut our butter"})
}

/// Lines of the bun dough that Wednesday weighs, by item.
fn bun_lines(server: &Server) -> Result<Vec<Value>> {
    let sheet = server.client().weigh_out("2026-06-10")?;
    let blocks = sheet["blocks"].as_array().context("blocks")?;
    let bun = blocks.iter().find(|block| block["formula"] == "bun").context("bun")?;
    Ok(bun["pages"][0]["lines"].as_array().context("lines")?.clone())
}

fn ordered(server: &Server, product: &str) -> Result<Value> {
    let answer = server.client().requirements("2026-06-12")?;
    let rows = answer["pieces"].as_array().context("pieces")?;
    let row = rows.iter().find(|row| row["product"] == product);
    Ok(row.map_or(json!(0), |row| row["ordered"].clone()))
}

#[test]
fn what_it_brings_in_and_whom_it_excludes_is_shown_first() -> Result<()> {
    let server = serve()?;
    let view = server.client().get(FAT)?.success()?;
    // Source: alder-yard.md 8.5, "butter -> baking-fat 1.00 in bun only (adds soya; sign-off)".
    assert_eq!(view["used_in"], json!(["bun"]));
    assert_eq!(view["adds"], json!({"contains": ["soya"], "may_contain": [], "not_known": []}));
    assert_eq!(view["label_change"], true);
    let products = view["products"].as_array().context("products")?;
    let names: Vec<&str> = products.iter().filter_map(|one| one["product"].as_str()).collect();
    assert_eq!(names, ["sugar-bun", "fruit-bun", "custard-bun", "lemon-knot"]);
    let excluded = view["excluded"].as_array().context("excluded")?;
    assert_eq!(excluded.len(), 1);
    assert_eq!(
        (&excluded[0]["name"], &excluded[0]["product"]),
        (&json!("Hill School"), &json!("fruit-bun"))
    );
    // 8.9 A: two loads of 928 g.
    let fat = view["items"].as_array().context("items")?;
    let fat = fat.iter().find(|one| one["item"] == "baking-fat").context("baking-fat")?;
    assert_eq!(fat["needed"]["amount"], "0");
    let paper = server.client().get_as(FAT, "text/html")?.text();
    ensure!(paper.contains("BRINGS IN soya") && paper.contains("Hill School"), "{paper}");
    ensure!(!bun_lines(&server)?.iter().any(|line| line["item"] == "baking-fat"), "not used yet");
    Ok(())
}

#[test]
fn nobody_signs_for_what_they_did_not_read() -> Result<()> {
    let server = serve()?;
    for (key, value) in [("accepts", json!({})), ("excludes", json!([]))] {
        let mut body = signed();
        body[key] = value;
        let reply = server.client().post(SIGN, &body)?;
        ensure!(reply.is_problem("sign-off-unread")?, "{}", reply.text());
        ensure!(
            reply.text().contains("soya") && reply.text().contains("hill-school"),
            "what it is"
        );
    }
    let list = server.client().get(SIGN)?.success()?;
    assert_eq!(list, json!([]));
    Ok(())
}

#[test]
fn once_signed_the_plan_uses_it_and_taken_back_it_does_not() -> Result<()> {
    let server = serve()?;
    let client = server.client();
    let butter = bun_lines(&server)?;
    let butter = butter.iter().find(|line| line["item"] == "butter").context("butter")?.clone();
    assert_eq!(ordered(&server, "fruit-bun")?, json!(84));
    let held = client.post(SIGN, &signed())?.success()?;
    assert_eq!(held["excludes"], json!([["hill-school", "fruit-bun"]]));
    let lines = bun_lines(&server)?;
    ensure!(!lines.iter().any(|line| line["item"] == "butter"), "butter is replaced");
    let fat = lines.iter().find(|line| line["item"] == "baking-fat").context("baking-fat")?;
    ensure!(fat["remarks"].to_string().contains("instead of"), "{fat}");
    ensure!(fat["short"].is_object(), "none is in stock: {fat}");
    // Hill School's 60 are not sent: 84 - 60.
    assert_eq!(ordered(&server, "fruit-bun")?, json!(24));
    let short = client.shortages("2026-06-13")?.to_string();
    ensure!(short.contains("baking-fat") && short.contains("Anna: the dairy cut"), "{short}");
    let fresh = json!({"item": "baking-fat", "lot": "BF-1", "received": "2026-06-10",
        "quantity": {"amount": "10", "unit": "kg"}, "best_before": "2026-09-01"});
    client.post_receipt(&fresh)?.success()?;
    let lines = bun_lines(&server)?;
    let fat = lines.iter().find(|line| line["item"] == "baking-fat").context("baking-fat")?;
    assert_eq!(fat["lots"][0]["lot"], "BF-1");
    let sheet = client.weigh_out("2026-06-10")?;
    let blocks = sheet["blocks"].as_array().context("blocks")?;
    let bun = blocks.iter().find(|block| block["formula"] == "bun").context("bun")?;
    ensure!(bun["allergens"]["contains"].to_string().contains("soya"), "{}", bun["allergens"]);
    // What it replaced may still be in a load or tub: it stays in the union.
    ensure!(bun["allergens"]["contains"].to_string().contains("milk"), "{}", bun["allergens"]);

    let path = format!("/v1/sign-offs/{}/take-back", held["id"].as_str().context("id")?);
    let back = json!({"who": "Ben", "note": "butter came after all"});
    assert_eq!(client.post(&path, &back)?.success()?["taken_back"], back);
    let lines = bun_lines(&server)?;
    let again = lines.iter().find(|line| line["item"] == "butter").context("butter")?;
    assert_eq!(again["weigh"], butter["weigh"]);
    assert_eq!(ordered(&server, "fruit-bun")?, json!(84));
    Ok(())
}

#[test]
fn a_share_covers_what_is_short_without_a_new_allergen() -> Result<()> {
    // Source: alder-yard.md 8.9 D: 2.376 kg wholemeal 1:1, 592 g of 2 968 g rye remain.
    let server = serve()?.at("2026-06-10T12:10:00+02:00")?;
    let client = server.client();
    let path = "/v1/service-dates/2026-06-13/sign-offs";
    let sign = json!({"substitute": "wholemeal-for-rye", "share": "80.1", "accepts": {},
        "who": "Anna", "note": "the mill's cutoff is gone"});
    let held = client.post(path, &sign)?.success()?;
    assert_eq!(held["adds"], json!({"contains": [], "may_contain": [], "not_known": []}));
    let cuts = client.get("/v1/service-dates/2026-06-13/cuts")?.success()?;
    let scarce = cuts["scarce"].as_array().context("scarce")?;
    ensure!(!scarce.iter().any(|one| one["item"] == "rye"), "rye is enough: {scarce:?}");
    Ok(())
}

#[test]
fn what_is_not_approved_or_not_allowed_is_refused() -> Result<()> {
    let server = serve()?;
    for (path, word) in [
        ("/v1/service-dates/2026-06-12/substitutes/rye-for-wholemeal", "not approved"),
        (
            "/v1/service-dates/2026-06-12/substitutes/baking-fat-for-butter?used_in=detrempe",
            "not allowed",
        ),
        ("/v1/service-dates/2026-06-12/substitutes/baking-fat-for-butter?share=101", "at most"),
        ("/v1/service-dates/2026-06-12/substitutes/wholemeal-for-rye?used_in=bun", "takes no"),
    ] {
        let reply = server.client().get(path)?;
        ensure!(reply.is_problem("substitute-impossible")?, "{path}: {}", reply.text());
        ensure!(reply.text().contains(word), "{path}: {}", reply.text());
    }
    let unknown =
        server.client().get("/v1/service-dates/2026-06-12/substitutes/gold-for-butter")?;
    ensure!(unknown.status == 404, "{}", unknown.text());
    Ok(())
}

#[test]
fn why_a_sign_off_lapsed_is_said_in_the_language_of_the_sheet() -> Result<()> {
    let server = serve()?;
    let client = server.client();
    client.post(SIGN, &signed())?.success()?;
    let mut bakery = demo::document("bakery")?;
    let substitutes = bakery["substitutes"].as_array_mut().context("substitutes")?;
    let fat = substitutes.iter_mut().find(|one| one["code"] == "baking-fat-for-butter");
    fat.context("the fat")?["approved"] = json!(false);
    client.put_bakery(&bakery)?.success()?;
    let notes = client.requirements("2026-06-12")?["notes"].to_string();
    let json = "CANNOT be used any more: substitute `baking-fat-for-butter` is not approved";
    ensure!(notes.contains(json), "{notes}");
    for (language, said) in [
        ("de", "Baking fat statt Butter wurde für Fr 12. Juni unterschrieben"),
        ("de", "der Ersatz Baking fat statt Butter ist nicht freigegeben"),
        ("fr", "le remplacement Baking fat au lieu de Butter n’est pas approuvé"),
        ("en", "substitute Baking fat for Butter is not approved"),
    ] {
        let path = format!("/v1/work-dates/2026-06-10/weigh-out?language={language}");
        let paper = client.get_as(&path, "text/html")?.text();
        ensure!(paper.contains(said), "{language}: `{said}` is not in\n{paper}");
    }
    Ok(())
}

#[test]
fn a_released_load_keeps_what_it_was_released_with() -> Result<()> {
    let server = serve()?;
    let client = server.client();
    let held = client.post(SIGN, &signed())?.success()?;
    let release = json!({"who": "Ben"});
    client.post("/v1/loads/2026-06-12:bun:1/release", &release)?.success()?;
    let path = format!("/v1/sign-offs/{}/take-back", held["id"].as_str().context("id")?);
    let reply = client.post(&path, &json!({"who": "Ben", "note": "butter came"}))?;
    ensure!(reply.is_problem("substitute-impossible")?, "{}", reply.text());
    ensure!(reply.text().contains("keeps it"), "{}", reply.text());
    Ok(())
}
