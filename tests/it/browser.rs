//! The mornings of those who use it, in a real browser, with scripts and without.

mod clerk;

use anyhow::{Context, Result, bail, ensure};
use std::time::Duration;
use weighhouse_tests::{browser::Browser, demo, server::Server};

/// How long a page is waited for: until it shows, ten seconds at most.
const WAIT: Duration = Duration::from_millis(50);
const WAITS_MAX: usize = 200;

fn demo_server() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

/// Does a morning twice: each time in a new window on a new demo.
fn with_scripts_and_without(morning: impl Fn(&Server, &Browser) -> Result<()>) -> Result<()> {
    for scripts in [true, false] {
        let server = demo_server()?;
        let browser = Browser::open(server.client().base(), scripts)?;
        morning(&server, &browser).with_context(|| format!("scripts {scripts}"))?;
    }
    Ok(())
}

fn shows(browser: &Browser, words: &str) -> Result<()> {
    // A press that sends a form returns before the page that answers is there.
    let mut text = String::new();
    for _ in 0..WAITS_MAX {
        text = browser.text().unwrap_or_default();
        if text.contains(words) {
            return Ok(());
        }
        std::thread::sleep(WAIT);
    }
    bail!("no `{words}` on {}:\n{text}", browser.path()?)
}

/// A till enters an order, sees what became of it, amends it and calls it off.
#[test]
fn a_till_posts_amends_and_calls_off() -> Result<()> {
    with_scripts_and_without(|server, browser| {
        browser.follow("Orders")?;
        browser.follow("Sat 13 Jun")?;
        browser.follow("New order")?;
        browser.choose("#field-customer", "harbour-cafe")?;
        browser.fill("#field-drop", "0700AM")?;
        browser.fill("input[value=sugar-bun] ~ .field input", "six")?;
        browser.click("form.entry p.send:last-child button")?;
        shows(browser, "One thing is not right yet")?;
        browser.fill("input[value=sugar-bun] ~ .field input", "6")?;
        browser.click("form.entry p.send:last-child button")?;
        shows(browser, "The order is taken.")?;
        shows(browser, "6 pieces taken.")?;
        browser.follow("Amend this order")?;
        browser.fill("input[value=sugar-bun] ~ .field input", "12")?;
        browser.click("form.entry p.send:last-child button")?;
        shows(browser, "was 6, now 12")?;
        browser.click("summary")?;
        browser.click("details form.entry button")?;
        shows(browser, "The order is called off.")?;
        let path = browser.path()?;
        let name = path.split(['/', '?']).nth(2).context("a name")?;
        let held = server.client().get(&format!("/v1/orders/{name}"))?.success()?;
        ensure!(held["history"].as_array().is_some_and(|all| all.len() == 3), "{held}");
        Ok(())
    })
}

/// A porter looks what is next, fixes a load, ticks its lines and types a lot back.
#[test]
fn a_porter_prints_weighs_and_types_a_lot_back() -> Result<()> {
    with_scripts_and_without(|server, browser| {
        browser.follow("Print the weigh-out of Thu 11 Jun")?;
        ensure!(browser.path()?.ends_with("/2026-06-11/weigh-out"), "the sheet, by one click");
        browser.go("/weigh-out")?;
        browser.click("a.load[href$='2026-06-12%3Abun%3A1']")?;
        browser.fill("#field-who", "Ben")?;
        browser.click("form.entry p.send button")?;
        shows(browser, "The load is fixed")?;
        browser.click("#tick-0")?;
        browser.click("ol.weighings > li:nth-child(6) summary")?;
        browser.fill("#field-lines-5-lots-0-lot", "HAND-1")?;
        browser.click("#field-lines-5-lots-0-new")?;
        browser.fill("#field-who", "Ben")?;
        browser.click("form.entry p.send button")?;
        shows(browser, "The load is weighed")?;
        let loads = server.client().get("/v1/loads?work_date=2026-06-10")?.success()?;
        let states = loads.to_string();
        ensure!(states.contains("\"weighed\""), "{states}");
        Ok(())
    })
}

/// Somebody counts a place: types one figure, leaves the others empty, and sees what differs.
#[test]
fn a_count_of_a_place_is_typed_in() -> Result<()> {
    with_scripts_and_without(|server, browser| {
        browser.go("/counts")?;
        browser.click("a[href='/counts?place=chiller']")?;
        shows(browser, "The book stays hidden")?;
        browser.fill("#field-lines-0-quantity-amount", "two")?;
        browser.click("form.entry p.send button")?;
        shows(browser, "One thing is not right yet")?;
        browser.fill("#field-lines-0-quantity-amount", "0,5")?;
        browser.click("form.entry p.send button")?;
        shows(browser, "The count was taken.")?;
        shows(browser, "1 of 1 differs from the book")?;
        let listed = server.client().get("/v1/movements?limit=1000")?.success()?;
        let rows = listed["rows"].as_array().context("rows")?;
        ensure!(rows.iter().filter(|row| row["kind"] == "count").count() == 1, "{listed}");
        Ok(())
    })
}

/// Every page that can be read without naming a thing, and some that name one.
const PAGES: [&str; 17] = [
    "/today",
    "/orders?date=2026-06-12",
    "/orders/new?date=2026-06-13",
    "/stock/rye",
    "/counts",
    "/counts?place=chiller",
    "/timeline/2026-06-11",
    "/weigh-out/2026-06-10",
    "/weigh-out/2026-06-10/2026-06-12%3Abun%3A1",
    "/v1/why/lines/2026-06-12/bun/1/strong-white",
    "/nowhere",
    "/sign-in",
    "/settings",
    "/settings/tokens",
    "/settings/webhooks",
    "/settings/deliveries",
    "/settings/audit",
];

#[test]
fn no_page_has_a_serious_fault_of_accessibility() -> Result<()> {
    let server = demo_server()?;
    let browser = Browser::open(server.client().base(), true)?;
    let mut found = Vec::new();
    for path in PAGES {
        browser.go(path)?;
        for fault in browser.faults()? {
            found.push(format!("{path}: {fault}"));
        }
    }
    ensure!(found.is_empty(), "{}", found.join("\n"));
    Ok(())
}

/// # Source
/// WCAG 2.2, success criterion 1.4.10: no scrolling in two directions at 320 CSS pixels.
#[test]
fn no_page_scrolls_sideways_on_a_narrow_screen() -> Result<()> {
    let server = demo_server()?;
    let browser = Browser::open(server.client().base(), true)?;
    browser.show_on(320, 800)?;
    for path in PAGES {
        browser.go(path)?;
        let wide = browser.run("return document.documentElement.scrollWidth - innerWidth")?;
        ensure!(wide.as_i64().is_some_and(|wide| wide <= 0), "{path}: {wide} px too wide");
    }
    Ok(())
}
