//! The change slip: what differs from the print, and nothing else.

use super::{WORK_DATE, demo_server, order, release, step};
use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use weighhouse_tests::{builders::Seed, client::Client, exact::whole};

/// What each line of each load says, by its place: read off the sheet here, by hand.
fn facts(sheet: &Value) -> Result<BTreeMap<String, Value>> {
    let mut facts = BTreeMap::new();
    for block in sheet["blocks"].as_array().context("blocks")? {
        let of = format!("{}/{}", block["service_date"], block["formula"]).replace('"', "");
        for page in block["pages"].as_array().context("pages")? {
            let load = format!("load/{of}/{}", page["load"]);
            facts.insert(load.clone(), page["weighed"].clone());
            for line in page["lines"].as_array().context("lines")? {
                let item = line["item"].as_str().context("an item")?;
                facts.insert(format!("{load}/line/{item}"), line["weigh"].clone());
            }
        }
    }
    Ok(facts)
}

fn slip(client: &Client, since: &Value) -> Result<Value> {
    let path = format!("/v1/work-dates/{WORK_DATE}/changes?since={since}&sheet=weigh-out");
    client.get(&path)?.success().with_context(|| path)
}

/// Differences of amounts on a slip, by place.
fn slipped(slip: &Value) -> Result<BTreeMap<String, Value>> {
    let rows = slip["sheets"][0]["rows"].as_array().context("rows")?;
    let mut found = BTreeMap::new();
    for row in rows {
        let key = row["key"].as_str().context("a key")?;
        let parts = key.split('/').count();
        let is_fact =
            key.starts_with("load/") && (parts == 4 || (parts == 6 && key.contains("/line/")));
        if is_fact {
            found.insert(key.to_owned(), row.clone());
        }
    }
    Ok(found)
}

fn number(value: Option<&Value>) -> Result<Option<BigRational>> {
    value.map(super::amount).transpose()
}

/// The slip's rows against the two sheets: each difference is there, and no other.
fn check(before: &Value, after: &Value, slip: &Value) -> Result<usize> {
    let (was, now, rows) = (facts(before)?, facts(after)?, slipped(slip)?);
    let mut differing = 0;
    let keys: std::collections::BTreeSet<&String> = was.keys().chain(now.keys()).collect();
    for key in keys {
        let (old, new) = (was.get(key), now.get(key));
        let row = rows.get(key);
        if old == new {
            ensure!(row.is_none(), "{key} did not change: {row:?}");
            continue;
        }
        differing += 1;
        let row = row.with_context(|| format!("{key} changed and is not on the slip"))?;
        let word = match (old, new) {
            (None, _) => "added",
            (_, None) => "gone",
            _ => "changed",
        };
        ensure!(row["change"] == word, "{row}");
        if let (Some(old), Some(new)) = (number(old)?, number(new)?) {
            ensure!(super::amount(&row["difference"])? == new - old, "{row}");
        }
    }
    for key in rows.keys() {
        ensure!(was.contains_key(key) || now.contains_key(key), "{key} is on no sheet");
    }
    Ok(differing)
}

#[test]
fn the_slip_is_the_difference_of_the_two_sheets() -> Result<()> {
    let mut differing = 0;
    for seed in 0..3 {
        let server = demo_server()?;
        let client = server.client();
        let mut seed = Seed::new(seed);
        let before = client.weigh_out(WORK_DATE)?;
        let (mut version, mut loads) = (0, vec![1, 2]);
        for _ in 0..6 {
            match seed.below(3) {
                0 if !loads.is_empty() => {
                    let load = release(client, &format!("2026-06-12:bun:{}", loads.remove(0)));
                    // A load that a change made too small, or took away, is not released.
                    if let Ok(load) = load {
                        step(client, &load, "weighings", &json!({"who": "Ben"}))?;
                    }
                }
                _ => {
                    version += 1;
                    let product = seed.pick(&["sugar-bun", "fruit-bun", "croissant", "choc-roll"]);
                    let order = order(version, product, seed.between(0, 90));
                    client.post_order(&order)?.success()?;
                }
            }
            let slip = slip(client, &before["plan_revision"])?;
            let after = client.weigh_out(WORK_DATE)?;
            differing += check(&before, &after, &slip)?;
        }
    }
    ensure!(differing > 60, "only {differing} differences were compared");
    Ok(())
}

#[test]
fn nothing_changed_is_said_and_a_revision_that_was_not_printed_lists_those_that_were() -> Result<()>
{
    let server = demo_server()?;
    let client = server.client();
    let first = client.weigh_out(WORK_DATE)?["plan_revision"].clone();
    // A release fixes what the sheet says: nothing on it differs.
    release(client, "2026-06-12:bun:1")?;
    let empty = slip(client, &first)?;
    ensure!(empty["sheets"][0]["rows"] == json!([]), "{empty}");
    let path = format!("/v1/work-dates/{WORK_DATE}/changes?since={first}");
    let paper = client.get_as(&path, "text/html")?;
    ensure!(paper.text().contains("Nothing on your sheet has changed."), "{}", paper.text());
    client.post_order(&order(1, "sugar-bun", 12))?.success()?;
    let paper = client.get_as(&path, "text/html")?.text();
    ensure!(
        paper.contains(&format!("of revision {first}")) && paper.contains("Strong white"),
        "{paper}"
    );
    ensure!(!paper.contains("<script") && !paper.contains("style=\""), "plain paper");
    ensure!(!paper.contains("load 1, for"), "the released load is not on it");
    let next = first.as_i64().context("a number")? + 1;
    let path = format!("/v1/work-dates/{WORK_DATE}/changes?since={next}");
    let refused = client.get(&path)?;
    ensure!(refused.status == 404 && refused.is_problem("not-printed")?, "{}", refused.text());
    ensure!(refused.text().contains(&format!("{first} (weigh-out)")), "{}", refused.text());
    let unknown = client.get(&format!("{path}&sheet=menu"))?;
    ensure!(unknown.status == 400, "{}", unknown.text());
    // The first page leads to the slip.
    let home = client.get_as("/", "text/html")?.text();
    ensure!(home.contains(&format!("changes?since={first}&amp;sheet=weigh-out")), "{home}");
    Ok(())
}

#[test]
fn every_sheet_of_a_revision_is_on_its_slip_and_each_is_kept_once() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let first = client.weigh_out(WORK_DATE)?["plan_revision"].clone();
    for _ in 0..2 {
        client.get(&format!("/v1/work-dates/{WORK_DATE}/pick-list"))?.success()?;
        client.get_as(&format!("/v1/work-dates/{WORK_DATE}/pick-list"), "text/html")?;
    }
    client.post_order(&order(1, "sugar-bun", 12))?.success()?;
    let path = format!("/v1/work-dates/{WORK_DATE}/changes?since={first}");
    let slip = client.get(&path)?.success()?;
    let sheets = slip["sheets"].as_array().context("sheets")?;
    let names: Vec<_> = sheets.iter().map(|sheet| sheet["sheet"].clone()).collect();
    ensure!(names == [json!("pick-list"), json!("weigh-out")], "{names:?}");
    let picked = sheets[0]["rows"].as_array().context("rows")?;
    let flour = picked.iter().find(|row| row["key"] == "stores/strong-white").context("flour")?;
    ensure!(super::amount(&flour["difference"])? > whole(0), "{flour}");
    Ok(())
}

#[test]
fn a_print_is_forgotten_two_weeks_after_its_work_date() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let revision = client.weigh_out("2026-05-26")?["plan_revision"].clone();
    client.weigh_out("2026-05-27")?;
    let since = |date: &str| format!("/v1/work-dates/{date}/changes?since={revision}");
    ensure!(client.get(&since("2026-05-27"))?.status == 200, "the day before is kept");
    // The next print of any sheet clears what is older than two weeks.
    ensure!(client.get(&since("2026-05-26"))?.is_problem("not-printed")?, "it is forgotten");
    Ok(())
}

#[test]
fn a_slip_is_read_in_another_language_than_the_print_and_json_in_none_but_english() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let path = |what: &str| format!("/v1/work-dates/{WORK_DATE}/{what}");
    // Printed in French, read in German.
    client.get_as(&path("weigh-out?language=fr"), "text/html")?;
    client.get_as(&path("pick-list?language=fr"), "text/html")?;
    let first = client.weigh_out(WORK_DATE)?["plan_revision"].clone();
    client.post_order(&order(1, "sugar-bun", 12))?.success()?;
    let of_first = path(&format!("changes?since={first}"));
    let paper = client.get_as(&format!("{of_first}&language=de"), "text/html")?.text();
    for words in ["Bun dough, Charge 1, für Fr 12. Juni", "Strong white flour", "aus dem Lager: "]
    {
        ensure!(paper.contains(words), "`{words}` is not in\n{paper}");
    }
    ensure!(!paper.contains("lang=\"en\""), "{paper}");
    let german = client.with("Accept-Language", "de");
    let (json, same) = (client.get(&of_first)?.success()?, german.get(&of_first)?.success()?);
    ensure!(json["sheets"] == same["sheets"], "JSON speaks one language");
    let rows = json["sheets"]
        .as_array()
        .context("sheets")?
        .iter()
        .flat_map(|one| one["rows"].as_array().into_iter().flatten());
    let groups: Vec<&Value> = rows.map(|row| &row["group"]).collect();
    ensure!(groups.contains(&&json!("Bun dough, load 1, for Fri 12 Jun")), "{groups:?}");
    Ok(())
}
