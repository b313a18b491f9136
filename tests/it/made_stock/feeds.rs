//! Feeds that keep a levain alive on days without a build.

use super::{Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::json;
use weighhouse_tests::demo;

/// Saturday's bread is built on Friday, Tuesday's on Monday: Saturday and Sunday feed it.
///
/// Tuesday: 10 loaves take 2 000 g: build 2 000 / 0.98 + 500 = 2 540.816 g, its seed 20/220 =
/// 230.983 g. A feed never makes less than the 500 g that are kept: Sunday's 500 g take
/// 45.4545 g of Saturday's 500 g, which take as much of Friday's build, and that keeps
/// exactly so much back.
///
/// # Source
/// Trade.md 2.7: keep-back is the seed of the next build; on closed days a maintenance feed.
#[test]
fn a_closed_weekend_is_fed_at_the_hour_of_the_builds() -> Result<()> {
    let yard = Yard::open("2026-06-11T09:30:00+02:00", &bakery())?;
    yard.order_for("2026-06-13", "07:00", "loaf", 10)?;
    yard.order_for("2026-06-16", "07:00", "loaf", 10)?;
    let fridge = yard.sheet("2026-06-13", "fridge")?;
    let feeds = fridge["feeds"].as_array().context("feeds")?;
    // The last build keeps its 500 g; Wednesday is open, so nothing more is planned.
    let at: Vec<_> = feeds.iter().filter_map(|feed| feed["at"].as_str()).collect();
    ensure!(at == ["2026-06-13T02:00:00+02:00", "2026-06-14T02:00:00+02:00"], "{at:?}");
    for feed in feeds {
        Yard::is(&feed["mass"], "500")?;
        let lines = feed["lines"].as_array().context("lines")?;
        let seed = lines.iter().find(|line| line["seed"] == true).context("a seed")?;
        Yard::is(&seed["exact"], "45.454545")?;
        Yard::is(&seed["weigh"], "45.5")?;
        let flour = lines.iter().find(|line| line["item"] == "white").context("flour")?;
        Yard::is(&flour["weigh"], "227.3")?;
    }
    Yard::is(&yard.batch_for("2026-06-13", "levain")?["keep_back"], "45.454545")?;
    // They draw flour: needs at their instants.
    let needs = yard.client().requirements("2026-06-14")?;
    let flour = needs["needs"].as_array().context("needs")?;
    ensure!(
        flour.iter().any(|need| need["item"] == "white"
            && need["at"] == "2026-06-13T02:00:00+02:00"
            && need["amount"]["amount"] == "227.3"),
        "{needs}"
    );
    // And hands find them on the weigh-out of the day.
    let page = yard.page("2026-06-14", "weigh-out")?;
    ensure!(page.contains("FEED"), "{page}");
    let page = yard.page("2026-06-13", "fridge")?;
    ensure!(page.contains("(seed)"), "{page}");
    Ok(())
}

/// Builds on days in a row, or no stated life of the seed, need no feed.
#[test]
fn nothing_is_fed_where_the_seed_lives_until_the_next_build() -> Result<()> {
    let yard = Yard::open("2026-06-10T09:30:00+02:00", &bakery())?;
    yard.order_for("2026-06-12", "07:00", "loaf", 10)?;
    yard.order_for("2026-06-13", "07:00", "loaf", 10)?;
    // Friday to Saturday: 24 h is exactly what a seed lives. After Saturday it is closed.
    let fridge = yard.sheet("2026-06-10", "fridge")?;
    let feeds = fridge["feeds"].as_array().context("feeds")?;
    let at: Vec<_> = feeds.iter().filter_map(|feed| feed["at"].as_str()).collect();
    ensure!(at == ["2026-06-13T02:00:00+02:00", "2026-06-14T02:00:00+02:00"], "{at:?}");
    let mut plain = bakery();
    plain["formulas"][2]["keep_back"] = json!({"after_last": {"amount": "500", "unit": "g"}});
    let yard = Yard::open("2026-06-10T09:30:00+02:00", &plain)?;
    yard.order_for("2026-06-12", "07:00", "loaf", 10)?;
    yard.order_for("2026-06-16", "07:00", "loaf", 10)?;
    ensure!(yard.sheet("2026-06-10", "fridge")?["feeds"] == json!([]));
    Ok(())
}

/// From the levain in the house to the first build, a feed is due before its seed is too old.
#[test]
fn the_levain_in_the_house_is_fed_until_the_first_build() -> Result<()> {
    let yard = Yard::open("2026-06-09T09:30:00+02:00", &bakery())?;
    yard.order("loaf", 10)?;
    // Built Tuesday 02:00; the first build is Thursday 02:00: Wednesday 02:00 is 24 h.
    let made = json!({"made_at": "2026-06-09T02:00:00+02:00"});
    yard.lot("levain", "LV", "400", &made)?;
    let fridge = yard.sheet("2026-06-09", "fridge")?;
    ensure!(fridge["feeds"][0]["at"] == "2026-06-10T02:00:00+02:00", "{fridge}");
    // Its seed is drawn from that lot, and Thursday's from what the feed kept.
    let needs = yard.client().requirements("2026-06-11")?;
    let list = needs["needs"].as_array().context("needs")?;
    ensure!(list.iter().any(|need| need["item"] == "levain"), "{needs}");
    let friday = yard.client().requirements("2026-06-12")?;
    let list = friday["needs"].as_array().context("needs")?;
    ensure!(list.iter().all(|need| need["item"] != "levain"), "{friday}");
    Ok(())
}

/// A levain too old for bread that is the seed of the next build is not thrown away.
///
/// # Source
/// alder-yard.md 8.3: kept cold for seed at most 24 h; built Wednesday 02:00, taken Thursday 02:00.
#[test]
fn what_is_only_seed_any_more_says_so_and_is_no_waste() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let fridge = server.client().get("/v1/work-dates/2026-06-11/fridge")?.success()?;
    let lots = fridge["lots"].as_array().context("lots")?;
    let levain = lots.iter().find(|lot| lot["lot"] == "LV-0610").context("the levain")?;
    ensure!(levain["state"] == "seed only", "{levain}");
    ensure!(!levain["levers"].to_string().contains("waste"), "{levain}");
    let page = server.client().get_as("/v1/work-dates/2026-06-11/fridge", "text/html")?.text();
    ensure!(!page.contains("STOP: Levain"), "its seed would be thrown away");
    Ok(())
}
