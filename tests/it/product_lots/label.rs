//! A label that leaves something out stops packing until a person confirms another one.

use super::{divided, lot, posted, step};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

/// Fruit buns with golden raisins, which bring sulphites (8.5).
fn golden() -> Value {
    json!({"who": "Emil", "products": [{"product": "fruit-bun", "good": 42,
        "used": [{"item": "golden-raisins", "instead_of": "raisins",
                  "lots": [{"lot": "GR-1", "new": true}]}]}]})
}

#[test]
fn golden_raisins_stop_the_pack_step_until_somebody_confirms_the_labels() -> Result<()> {
    // Source: trade rules part 6: planned and actual set are both kept, a difference stops the
    // pack step until a person confirms new labels.
    let (server, load) = divided()?;
    let client = server.client();
    let baked = step(client, &load, "baked", &golden())?;
    ensure!(posted(&baked)?["notes"].to_string().contains("sulphites"), "said when it is used");
    let id = lot(client, "fruit-bun")?["id"].as_str().context("an id")?.to_owned();
    let path = format!("/v1/product-lots/{id}/labels");
    let check = client.get(&path)?.success()?;
    ensure!(
        check["stops"] == true && check["added"]["contains"] == json!(["sulphites"]),
        "{check}"
    );
    let pack = format!("/v1/loads/{}/packed", load["id"].as_str().context("an id")?);
    let refused = client.post(&pack, &json!({"who": "Fay"}))?;
    ensure!(refused.status == 409 && refused.is_problem("label-changed")?, "{}", refused.text());
    ensure!(refused.text().contains("contains sulphites"), "{}", refused.text());
    let sends = json!({"who": "Gus", "service_date": "2026-06-12"});
    let refused = client.post("/v1/sends", &sends)?;
    ensure!(refused.is_problem("label-changed")?, "nothing leaves either: {}", refused.text());
    let nobody = client.post(&path, &json!({"who": " "}))?;
    ensure!(nobody.status == 422, "a person has a name: {}", nobody.text());
    let confirmed = client.post(&path, &json!({"who": "Ines", "note": "label 14"}))?.success()?;
    ensure!(confirmed["stops"] == false && confirmed["confirmed_by"] == "Ines", "{confirmed}");
    step(client, &load, "packed", &json!({"who": "Fay"}))?;
    client.post("/v1/sends", &sends)?.success()?;
    // Other products of the load were never stopped.
    let other = lot(client, "sugar-bun")?["id"].as_str().context("an id")?.to_owned();
    let check = client.get(&format!("/v1/product-lots/{other}/labels"))?.success()?;
    ensure!(check["stops"] == false && check["confirmed_by"].is_null(), "{check}");
    Ok(())
}
