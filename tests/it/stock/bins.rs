//! Bins hold a set of lots until they are emptied.

use anyhow::{Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{
    client::Client,
    stockroom::{check, id, open, receive, refused},
};

fn fill(client: &Client, lot: &str, kilograms: &str) -> Result<String> {
    let quantity = json!({"amount": kilograms, "unit": "kg"});
    id(&receive(client, &json!({"lot": lot, "place": "flour-bin", "quantity": quantity}))?)
}

fn names(bin: &Value) -> Vec<String> {
    let lots = bin["lots"].as_array().cloned().unwrap_or_default();
    lots.iter().filter_map(|lot| lot["lot"]["lot"].as_str().map(str::to_owned)).collect()
}

#[test]
fn a_draw_names_every_lot_that_was_filled_in_since_it_was_empty() -> Result<()> {
    // Source: trade.md 4, places: topped up before empty, a bin carries a set of lots.
    let server = open()?;
    let client = server.client();
    fill(client, "A", "10")?;
    fill(client, "B", "30")?;
    let draw = json!({"quantity": {"amount": "4", "unit": "kg"}, "who": "Imre", "load": "l-1"});
    let drawn = client.post("/v1/bins/flour-bin/draws", &draw)?.success()?;
    ensure!(names(&drawn["bin"]) == ["A", "B"], "{drawn}");
    // By hand: a quarter and three quarters of 4 kg.
    ensure!(drawn["bin"]["lots"][0]["there"]["amount"] == "9000", "{drawn}");
    ensure!(drawn["bin"]["lots"][1]["there"]["amount"] == "27000", "{drawn}");
    let all = json!({"quantity": {"amount": "36", "unit": "kg"}});
    let drawn = client.post("/v1/bins/flour-bin/draws", &all)?.success()?;
    ensure!(names(&drawn["bin"]) == ["A", "B"], "empty by the book is not emptied: {drawn}");
    let more = client.post("/v1/bins/flour-bin/draws", &draw)?.success()?;
    ensure!(more["movements"].as_array().map(Vec::len) == Some(2), "no lot is dropped: {more}");
    let emptied = client.post("/v1/bins/flour-bin/emptied", &json!({"who": "Imre"}))?.success()?;
    ensure!(names(&emptied).is_empty(), "{emptied}");
    refused(client, "/v1/bins/flour-bin/draws", &draw, "out-of-range")?;
    fill(client, "C", "5")?;
    let bin = client.get("/v1/bins/flour-bin")?.success()?;
    ensure!(names(&bin) == ["C"], "{bin}");
    ensure!(client.get("/v1/bins/chiller")?.status == 404, "the chiller is no bin");
    check(client)?;
    Ok(())
}

#[test]
fn a_pack_that_is_opened_into_a_bin_lies_there_with_the_others() -> Result<()> {
    // Source: trade.md 4, places: a bin carries a set of lots until it is emptied.
    let server = open()?;
    let client = server.client();
    fill(client, "A", "10")?;
    let sack =
        json!({"lot": "B", "place": "dry-store", "quantity": {"amount": "50", "unit": "kg"}});
    let sack = id(&receive(client, &sack)?)?;
    let opening = json!({"place": "flour-bin", "quantity": {"amount": "25", "unit": "kg"}});
    let opened = client.post(&format!("/v1/lots/{sack}/open"), &opening)?.success()?;
    ensure!(opened["place"] == "flour-bin", "{opened}");
    let bin = client.get("/v1/bins/flour-bin")?.success()?;
    let mut there = names(&bin);
    there.sort_unstable();
    ensure!(there == ["A", "B"], "{bin}");
    check(client)?;
    Ok(())
}

#[test]
fn a_hold_on_one_lot_of_a_bin_takes_the_whole_bin_out_of_every_projection() -> Result<()> {
    // Source: trade.md 4: a bin carries a set of lots until it is emptied, and a hold removes
    // a lot from projections at once: nobody can tell which flour of the bin is which.
    let server = open()?;
    let client = server.client();
    let a = fill(client, "A", "40")?;
    fill(client, "B", "40")?;
    let sack =
        json!({"lot": "C", "place": "dry-store", "quantity": {"amount": "40", "unit": "kg"}});
    receive(client, &sack)?;
    let order = json!({"order_ref": "t-1", "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-12", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "country-large", "quantity": 300}]});
    client.post_order(&order)?.success()?;
    // About 8 kg of rye are needed.
    let picked = || -> Result<Vec<String>> {
        let list = client.get("/v1/work-dates/2026-06-11/pick-list")?.success()?;
        let all = ["pull", "stores"].iter().filter_map(|part| list[part].as_array()).flatten();
        let rye = all.filter(|line| line["item"] == "rye");
        let lots = rye.flat_map(|line| line["lots"].as_array().into_iter().flatten());
        Ok(lots.filter_map(|lot| lot["lot"].as_str().map(str::to_owned)).collect())
    };
    ensure!(picked()? == ["A"], "first in, first out: {:?}", picked()?);
    let body = json!({"reason": "supplier calls", "who": "Imre"});
    let held = client.post(&format!("/v1/lots/{a}/hold"), &body)?.success()?;
    let said = held["reach"]["notes"].to_string();
    ensure!(said.contains("it lies in flour-bin, together with B"), "{held}");
    ensure!(picked()? == ["C"], "only the sack is left: {:?}", picked()?);
    // Emptied, the bin has none of it; what is left of B was emptied with it.
    client.post("/v1/bins/flour-bin/emptied", &json!({"who": "Imre"}))?.success()?;
    fill(client, "D", "40")?;
    client.post(&format!("/v1/lots/{a}/release"), &json!({"reason": "clean"}))?.success()?;
    let bin = client.get("/v1/bins/flour-bin")?.success()?;
    ensure!(names(&bin) == ["D"], "{bin}");
    check(client)?;
    Ok(())
}

#[test]
fn what_is_on_hold_is_neither_opened_nor_frozen_nor_thawed() -> Result<()> {
    let server = open()?;
    let client = server.client();
    let sealed = id(&receive(client, &json!({"item": "butter", "lot": "B-1"}))?)?;
    let frozen = id(&receive(client, &json!({"item": "butter", "lot": "B-2"}))?)?;
    client.post(&format!("/v1/lots/{frozen}/freeze"), &json!({}))?.success()?;
    for (lot, acts) in [(&sealed, vec!["open", "freeze"]), (&frozen, vec!["open", "thaw"])] {
        let hold = json!({"reason": "supplier calls"});
        client.post(&format!("/v1/lots/{lot}/hold"), &hold)?.success()?;
        for act in acts {
            let path = format!("/v1/lots/{lot}/{act}");
            let said = refused(client, &path, &json!({}), "wrong-state")?;
            ensure!(said.contains("on hold (supplier calls)"), "{act}: {said}");
        }
        let still = client.get(&format!("/v1/lots/{lot}"))?.success()?;
        ensure!(still["state"] == "hold", "{still}");
    }
    let release = json!({"reason": "looked at"});
    let free = client.post(&format!("/v1/lots/{frozen}/release"), &release)?.success()?;
    ensure!(free["state"] == "frozen", "it lay in the freezer all the time: {free}");
    Ok(())
}
