//! The clerk's morning: sees what is short, orders it before the cutoff, sees it covered.

use super::{demo_server, shows, with_scripts_and_without};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{browser::Browser, server::Server};

/// The form of the dairy's order on the desk.
const WHO: &str = "#field-dairy-2026-06-11T06-00-who";

#[test]
fn a_clerk_orders_before_the_cutoff_and_sees_it_covered() -> Result<()> {
    with_scripts_and_without(|server, browser| {
        shows(browser, "What needs a person")?;
        // alder-yard.md, 8.9 D: milk by the cutoff of 11:00, rye by that of 12:00.
        for words in ["act by 11:00", "Whole milk: 10.77 kg short", "act by 12:00", "Rye flour"] {
            shows(browser, words)?;
        }
        browser.follow("At the shortage desk")?;
        shows(browser, "ring by 11:00 · 1 h 30 min left")?;
        ensure!(browser.path()? == "/desk#short-whole-milk", "{}", browser.path()?);
        browser.fill(WHO, "Imre")?;
        browser.click(&format!("form:has({WHO}) button"))?;
        shows(browser, "The draft is made.")?;
        shows(browser, "197.20 EUR")?;
        change_and_send(browser)?;
        browser.follow("Shortage desk")?;
        shows(browser, "sent, no answer yet")?;
        ensure!(browser.find("#short-whole-milk").is_err(), "milk is short no more");
        ensure!(browser.find("#short-rye").is_ok(), "rye still is");
        let sheet = server.client().shortages("2026-06-13")?;
        ensure!(sheet["covered"].to_string().contains("\"whole-milk\""), "{sheet}");
        Ok(())
    })
}

/// One more case of milk, then it goes out.
fn change_and_send(browser: &Browser) -> Result<()> {
    browser.click("details:has([id='field-lines-who']) > summary")?;
    browser.fill("[id='field-lines-lines-0-packs']", "three")?;
    browser.fill("[id='field-lines-who']", "Imre")?;
    browser.click("form[action$='/lines'] p.send button")?;
    shows(browser, "One thing is not right yet")?;
    browser.fill("[id='field-lines-lines-0-packs']", "3")?;
    browser.click("form[action$='/lines'] p.send button")?;
    shows(browser, "The draft was changed.")?;
    // One more case of 12.60.
    shows(browser, "209.80 EUR")?;
    browser.fill("[id='field-send-who']", "Imre")?;
    browser.fill("[id='field-send-note']", "by mail")?;
    browser.click("form[action$='/send'] button")?;
    shows(browser, "It is written down as sent.")
}

/// Too late to order, the lead decides on a page who gets how much.
#[test]
fn what_is_too_late_to_order_is_decided() -> Result<()> {
    for scripts in [true, false] {
        let server = demo_server()?.at("2026-06-10T12:10:00+02:00")?;
        let browser = Browser::open(server.client().base(), scripts)?;
        browser.go("/desk")?;
        browser.follow("What to cut for Sat 13 Jun")?;
        shows(&browser, "UNDECIDED")?;
        browser.choose("[id='field-way-way']", "fair")?;
        browser.fill("[id='field-way-note']", "no rye before Saturday")?;
        browser.fill("[id='field-way-who']", "Anna")?;
        browser.click("form:has([id='field-way-way']) button")?;
        shows(&browser, "It is decided.")?;
        let held = server.client().get("/v1/service-dates/2026-06-13/decisions")?.success()?;
        ensure!(held[0]["who"] == "Anna", "{held}");
    }
    Ok(())
}

/// An order to the dairy in each state that has forms of its own, and a date to cut.
fn pages(server: &Server) -> Result<Vec<String>> {
    let client = server.client();
    let draft = |supplier: &str, pack: &str| -> Result<Value> {
        let lines = json!([{"pack": pack, "packs": 1}]);
        let body = json!({"supplier": supplier, "who": "Imre", "lines": lines});
        client.post("/v1/supplier-orders", &body)?.success()
    };
    let path = |order: &Value| {
        order["id"].as_str().map(|id| format!("/supplier-orders/{id}")).context("an id")
    };
    let (open, sent) = (draft("grocer", "fine-salt-25-kg")?, draft("dairy", "whole-milk-12-l")?);
    let (open, sent) = (path(&open)?, path(&sent)?);
    client.post(&format!("/v1{sent}/send"), &json!({"who": "Imre"}))?.success()?;
    let goods_in = format!("{sent}/goods-in");
    let fixed = ["/desk", "/suppliers", "/suppliers/dairy", "/cuts/2026-06-13", "/receiving"];
    Ok(fixed.into_iter().map(str::to_owned).chain([open, sent, goods_in]).collect())
}

/// # Source
/// WCAG 2.2, by the rules of axe-core; success criterion 1.4.10 for the narrow screen.
#[test]
fn pages_of_buying_are_accessible_and_fit_a_narrow_screen() -> Result<()> {
    let server = demo_server()?.at("2026-06-10T12:10:00+02:00")?;
    let paths = pages(&server)?;
    let browser = Browser::open(server.client().base(), true)?;
    let mut found = Vec::new();
    for path in &paths {
        browser.go(path)?;
        // Forms that are folded away are looked at too.
        browser.run("for (const one of document.querySelectorAll('details')) one.open = true")?;
        found.extend(browser.faults()?.into_iter().map(|fault| format!("{path}: {fault}")));
    }
    browser.show_on(320, 800)?;
    for path in &paths {
        browser.go(path)?;
        let wide = browser.run("return document.documentElement.scrollWidth - innerWidth")?;
        if wide.as_i64().is_none_or(|wide| wide > 0) {
            found.push(format!("{path}: {wide} px too wide"));
        }
    }
    ensure!(found.is_empty(), "{}", found.join("\n"));
    Ok(())
}
