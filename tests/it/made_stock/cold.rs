//! The pull list: what thaws or tempers, where it lies, and what can no longer be.

use super::{BEFORE, FRIDAY, Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

/// # Source
/// Trade.md 2.8 and 3: pull = step start less thaw and temper. Slices are made Friday 04:00:
/// 16 h of thawing put the sheets on Thursday's list, by 12:00; 1 h of tempering puts the
/// butter on Friday's, by 03:00.
#[test]
fn frozen_things_stand_on_the_list_of_the_day_before() -> Result<()> {
    let yard = Yard::open("2026-06-10T09:30:00+02:00", &bakery())?;
    yard.order("slice", 10)?;
    yard.lot("puff-sheet", "PS", "5000", &json!({"use_by": "2026-07-01"}))?;
    yard.lot("butter", "BU", "5000", &json!({}))?;
    let thursday = yard.sheet("2026-06-11", "pick-list")?;
    let pull = thursday["pull"].as_array().context("pull")?;
    ensure!(pull.len() == 1, "{thursday}");
    let line = &pull[0];
    ensure!(line["item"] == "puff-sheet" && line["by"] == "2026-06-11T12:00:00+02:00", "{line}");
    ensure!(line["needed_at"] == "2026-06-12T04:00:00+02:00", "{line}");
    ensure!((&line["thaw_minutes"], &line["place"]) == (&json!(960), &json!("freezer")), "{line}");
    ensure!(line["lots"][0]["lot"] == "PS" && line["fetch"] == "1 kg", "{line}");
    ensure!(line["lots"][0]["best_before"] == "2026-07-01", "{line}");
    let friday = yard.sheet(FRIDAY, "pick-list")?;
    let line = &friday["pull"][0];
    ensure!(line["item"] == "butter" && line["by"] == "2026-06-12T03:00:00+02:00", "{friday}");
    ensure!(line["temper_minutes"] == 60 && line["thaw_minutes"].is_null(), "{line}");
    ensure!(friday["pull"].as_array().context("pull")?.len() == 1, "{friday}");
    let page = yard.page("2026-06-11", "pick-list")?;
    ensure!(page.contains("No second freezing"), "{page}");
    Ok(())
}

/// # Source
/// Trade.md 7, case 30: thaw takes 16 h, the order comes 10 h before: "cannot", the next
/// possible time is said, and no line asks tonight for what had to be out before.
#[test]
fn case_30_what_had_to_be_out_yesterday_is_not_pulled_tonight() -> Result<()> {
    let yard = Yard::open("2026-06-11T18:00:00+02:00", &bakery())?;
    yard.order("slice", 10)?;
    yard.lot("puff-sheet", "PS", "5000", &json!({}))?;
    for date in ["2026-06-11", FRIDAY] {
        let list = yard.sheet(date, "pick-list")?;
        let pull = list["pull"].as_array().context("pull")?;
        let sheets: Vec<_> = pull.iter().filter(|line| line["item"] == "puff-sheet").collect();
        ensure!(sheets.iter().all(|line| line["lots"] == json!([])), "{list}");
        let line = &list["cannot"][0];
        ensure!(
            line["stop"]
                == "STOP, cannot: thaw 16 h, had to be out Thu 12:00; next possible Fri 10:00",
            "{list}"
        );
        Yard::is(&line["amount"], "1000")?;
        ensure!(yard.page(date, "pick-list")?.contains("next possible Fri 10:00"));
    }
    // The clerk sees it as well: frozen is not usable at 04:00.
    ensure!(yard.short("puff-sheet")? == "1000", "{}", yard.short("puff-sheet")?);
    Ok(())
}

/// The edge: taken out exactly 16 h before is in time, a second later is not.
#[test]
fn the_last_second_to_take_it_out_is_in_time() -> Result<()> {
    for (now, cannot) in [("2026-06-11T12:00:00+02:00", false), ("2026-06-11T12:00:01+02:00", true)]
    {
        let yard = Yard::open(now, &bakery())?;
        yard.order("slice", 10)?;
        yard.lot("puff-sheet", "PS", "5000", &json!({}))?;
        let list = yard.sheet("2026-06-11", "pick-list")?;
        ensure!(list["cannot"].as_array().is_some_and(|rows| rows.is_empty() != cannot), "{list}");
    }
    Ok(())
}

fn carry(yard: &Yard, lot: &Value, to: &str, at: &str, grams: Option<&str>) -> Result<Value> {
    let mut body = json!({"lot": lot["id"], "to": to, "moved_at": at});
    if let Some(grams) = grams {
        body["quantity"] = json!({"amount": grams, "unit": "g"});
    }
    yard.client().post("/v1/moves", &body)?.json()
}

/// # Source
/// Trade.md 4: a part that is taken out thaws, keeps its dates, and a second freeze is refused.
#[test]
fn what_was_taken_out_thaws_and_is_never_frozen_again() -> Result<()> {
    let yard = Yard::open("2026-06-11T18:00:00+02:00", &bakery())?;
    yard.order("slice", 10)?;
    let more = json!({"use_by": "2026-07-01"});
    let lot = yard.lot("puff-sheet", "PS", "5000", &more)?;
    let moved = carry(&yard, &lot, "chiller", "2026-06-11T11:59:00+02:00", Some("1000"))?;
    let out = &moved["lot"];
    Yard::is(&out["quantity"], "1000")?;
    ensure!(out["lot"] == "PS" && out["use_by"] == "2026-07-01", "{moved}");
    ensure!(out["thaw_started"] == "2026-06-11T11:59:00+02:00", "{moved}");
    let lots = yard.client().get("/v1/lots?item=puff-sheet")?.success()?;
    Yard::is(&lots["rows"][0]["quantity"], "4000")?;
    ensure!(yard.short("puff-sheet")? == "0");
    // Out in time: it covers Friday 04:00, from the chiller, with nothing left to thaw.
    let list = yard.sheet(FRIDAY, "pick-list")?;
    ensure!(list["cannot"] == json!([]), "{list}");
    let line = list["pull"].as_array().context("pull")?;
    let line = line.iter().find(|line| line["item"] == "puff-sheet").context("the sheets")?;
    ensure!(line["place"] == "chiller" && line["by"] == "2026-06-12T04:00:00+02:00", "{line}");
    let again = carry(&yard, out, "freezer", "2026-06-11T17:00:00+02:00", None)?;
    ensure!(again.to_string().contains("no second freezing"), "{again}");
    let beyond = carry(&yard, &lot, "chiller", "2026-06-11T17:00:00+02:00", Some("4000.1"))?;
    ensure!(beyond["type"] == "/problems/out-of-range", "{beyond}");
    Ok(())
}

fn open_pack(yard: &Yard, lot: &Value, place: Option<&str>) -> Result<Value> {
    let mut body = json!({"quantity": {"amount": "1000", "unit": "g"},
        "at": "2026-06-11T11:59:00+02:00", "who": "Ben"});
    if let Some(place) = place {
        body["place"] = json!(place);
    }
    let id = lot["id"].as_str().context("an id")?;
    yard.client().post(&format!("/v1/lots/{id}/open"), &body)?.json()
}

/// # Source
/// Trade.md 4: usable until = the first of printed date, opened + opened life, thaw start +
/// thawed life; a second freeze is refused. By hand: thawed for 2 days from 11 June 11:59.
#[test]
fn a_frozen_pack_that_is_opened_in_the_warm_thaws_from_that_moment() -> Result<()> {
    let mut bakery = bakery();
    let items = bakery["items"].as_array_mut().context("items")?;
    let sheets = items.iter_mut().find(|item| item["code"] == "puff-sheet").context("sheets")?;
    sheets["thawed_life"] = json!("P2D");
    let yard = Yard::open("2026-06-11T18:00:00+02:00", &bakery)?;
    yard.order("slice", 10)?;
    let end = json!({"until": "2026-06-13T11:59:00+02:00", "because": "thawed"});
    // What came frozen, and what the house froze itself.
    for (name, more, state) in [
        ("CAME", json!({"use_by": "2026-07-01"}), "open"),
        ("OWN", json!({"state": "frozen", "best_before": "2026-07-01"}), "thawing"),
    ] {
        let lot = yard.lot("puff-sheet", name, "5000", &more)?;
        let pack = open_pack(&yard, &lot, Some("chiller"))?;
        Yard::is(&pack["quantity"], "1000")?;
        ensure!(pack["thaw_started"] == "2026-06-11T11:59:00+02:00", "{pack}");
        // Here the house wrote down its own freezing after the opening, which hides that.
        let opened = pack["opened_at"] == "2026-06-11T11:59:00+02:00";
        ensure!(opened || name == "OWN", "{pack}");
        ensure!(pack["state"] == state && pack["use_until"] == end, "{pack}");
        let id = lot["id"].as_str().context("an id")?;
        let rest = yard.client().get(&format!("/v1/lots/{id}"))?.success()?;
        Yard::is(&rest["quantity"], "4000")?;
        ensure!(rest["thaw_started"].is_null() && rest["opened_at"].is_null(), "{rest}");
        let back = open_pack(&yard, &pack, Some("freezer"))?;
        ensure!(back["errors"][0]["pointer"] == "/place", "{back}");
        ensure!(back.to_string().contains("no second freezing"), "{back}");
    }
    // Out in time: both packs are thawed by Friday 04:00.
    ensure!(yard.sheet(FRIDAY, "pick-list")?["cannot"] == json!([]));
    // Opened where it lies it does not thaw, and what the house froze is thawed first.
    let lot = yard.lot("puff-sheet", "IN", "5000", &json!({"use_by": "2026-07-01"}))?;
    let pack = open_pack(&yard, &lot, None)?;
    ensure!(pack["state"] == "open" && pack["thaw_started"].is_null(), "{pack}");
    let own = json!({"state": "frozen", "best_before": "2026-07-01"});
    let pack = open_pack(&yard, &yard.lot("puff-sheet", "STILL", "5000", &own)?, None)?;
    ensure!(pack["type"] == "/problems/wrong-state", "{pack}");
    Ok(())
}

/// Frozen finished pieces cover an order only if they thaw before its drop.
///
/// # Source
/// Trade.md 2.2.3: finished and frozen finished pieces come off what is made.
#[test]
fn frozen_pieces_cover_an_order_only_if_they_thaw_before_its_drop() -> Result<()> {
    let mut bakery = bakery();
    bakery["products"][0]["thaw"] = json!("PT3H");
    for (now, covered) in [("2026-06-12T04:00:00+02:00", 20), ("2026-06-12T04:00:01+02:00", 0)] {
        let yard = Yard::open(BEFORE, &bakery)?;
        yard.order_for(FRIDAY, "07:00", "roll", 20)?;
        let yard = yard.at(now)?;
        let pieces = json!({"quantity": {"amount": "30", "unit": "each"}, "place": "freezer",
            "baked": "2026-06-01", "use_by": "2026-07-01"});
        yard.lot("roll", "FR", "0", &pieces)?;
        let needs = yard.client().requirements(FRIDAY)?;
        ensure!(needs["pieces"][0]["from_stock"] == covered, "{now}: {needs}");
        let list = yard.sheet(FRIDAY, "pick-list")?;
        if covered > 0 {
            let line = &list["pull"][0];
            ensure!(line["item"] == "roll" && line["printed"]["amount"] == "20", "{list}");
            ensure!(line["by"] == "2026-06-12T04:00:00+02:00", "{line}");
        } else {
            ensure!(list["pull"] == json!([]), "{list}");
            let stop = &list["cannot"][0]["stop"];
            ensure!(stop.as_str().is_some_and(|text| text.contains("thaw 3 h")), "{list}");
        }
    }
    Ok(())
}
