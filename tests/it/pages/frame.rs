//! What holds for every page.

use super::{demo_server, led, page};
use anyhow::{Context, Result, ensure};
use weighhouse::access::Job;

/// Every page that can be read without naming a thing.
const PAGES: [&str; 25] = [
    "/desk",
    "/cuts/2026-06-13",
    "/suppliers",
    "/suppliers/dairy",
    "/formulas",
    "/formulas/country",
    "/products",
    "/products/choc-roll",
    "/costs?date=2026-06-12",
    "/costs?date=2026-06-12&kind=actual",
    "/today",
    "/orders?date=2026-06-12",
    "/orders/new",
    "/stock",
    "/stock/butter",
    "/counts",
    "/counts?place=chiller",
    "/receiving",
    "/settings",
    "/settings/tokens",
    "/settings/webhooks",
    "/settings/deliveries",
    "/settings/audit",
    "/weigh-out/2026-06-11",
    "/weigh-out/2026-06-10/2026-06-12%3Abun%3A1",
];

#[test]
fn a_page_says_its_language_and_needs_neither_script_nor_inline_style() -> Result<()> {
    let server = demo_server()?;
    for path in PAGES {
        let text = page(server.client(), path)?;
        ensure!(text.contains("<html lang=\"en\">"), "{path}");
        ensure!(text.contains("href=\"#page\"") && text.contains("id=\"page\""), "{path}");
        ensure!(text.matches("<h1").count() == 1, "{path}: one first heading");
        ensure!(!text.contains("style=\"") && !text.contains(" onclick"), "{path}");
        ensure!(text.contains("Wed 10 Jun 09:30"), "{path}: the clock of the house");
        // Each script is a file of ours.
        for script in text.split("<script").skip(1) {
            ensure!(script.starts_with(" src=\"/assets/page-"), "{path}");
        }
    }
    Ok(())
}

#[test]
fn a_reader_is_answered_in_the_language_of_the_browser_or_the_one_chosen() -> Result<()> {
    let server = demo_server()?;
    let german = server.client().with("Accept-Language", "de-AT, en;q=0.5");
    for path in PAGES {
        ensure!(page(&german, path)?.contains("<html lang=\"de\">"), "{path}");
    }
    let today = page(&german, "/today")?;
    for words in ["handeln bis 11:00", "25,20 EUR", "Donnerstag, 11. Juni 2026"] {
        ensure!(today.contains(words), "{words}: {today}");
    }
    let back = "language=fr&back=%2Ftoday";
    let chosen = german.post_form("/language", back)?;
    ensure!(led(&chosen) == Some("/today"), "{}: {}", chosen.status, chosen.text());
    let cookie = chosen.cookie.context("a cookie")?;
    let french = german.with("Cookie", cookie.split(';').next().unwrap_or_default());
    ensure!(page(&french, "/today")?.contains("<html lang=\"fr\">"), "the cookie decides");
    let elsewhere = german.post_form("/language", "language=fr&back=%2F%2Fexample.org")?;
    ensure!(led(&elsewhere) == Some("/"), "nobody is led elsewhere");
    Ok(())
}

#[test]
fn files_of_pages_may_be_kept_and_their_addresses_hold_their_content() -> Result<()> {
    let server = demo_server()?;
    let text = page(server.client(), "/today")?;
    let files = text.split('"').filter(|part| part.starts_with("/assets/page-"));
    let files: Vec<&str> = files.collect();
    ensure!(files.len() == 2, "{files:?}");
    for file in files {
        ensure!(server.client().get(file)?.status == 200, "{file}");
        let other = file.replace("page-", "page-0");
        ensure!(server.client().get(&other)?.status == 404, "{other}");
    }
    Ok(())
}

#[test]
fn a_till_is_shown_its_own_pages_only() -> Result<()> {
    let server = demo_server()?;
    let token = server.token("till 2", Job::Till, None)?;
    let till = server.client().with_token(&token);
    let refused = till.get_as("/today", "text/html")?;
    ensure!(refused.status == 403, "{}", refused.status);
    ensure!(refused.text().contains("<h1>That did not work</h1>"), "a page says so");
    let lost = till.get_as("/nowhere", "text/html")?;
    ensure!(lost.status == 404 && lost.text().contains("<main"), "{}", lost.text());
    ensure!(!lost.text().contains("href=\"/today\""), "what it may not open is not shown");
    Ok(())
}

#[test]
fn two_clicks_lead_from_the_first_page_to_the_weigh_out_of_tomorrow() -> Result<()> {
    let server = demo_server()?;
    let first = page(server.client(), "/")?;
    let sheet = "/v1/work-dates/2026-06-11/weigh-out";
    ensure!(first.contains(&format!("href=\"{sheet}\"")), "{first}");
    ensure!(page(server.client(), sheet)?.contains("Weigh-out"), "the sheet is there to print");
    Ok(())
}

#[test]
fn an_answer_that_says_no_is_a_page_for_a_browser_and_a_problem_for_a_program() -> Result<()> {
    let server = demo_server()?;
    for path in ["/v1/work-dates/tomorrow/weigh-out", "/orders/nobody", "/timeline/x", "/v1/no"] {
        let shown = server.client().get_as(path, "text/html")?;
        let media_type = &shown.media_type;
        ensure!(media_type.starts_with("text/html"), "{path}: {media_type}");
        ensure!(shown.status >= 400 && shown.text().contains("That did not work"), "{path}");
    }
    for path in ["/v1/work-dates/tomorrow/weigh-out", "/v1/no"] {
        let told = server.client().get(path)?;
        ensure!(told.media_type == "application/problem+json", "{path}: {}", told.media_type);
    }
    Ok(())
}

#[test]
fn an_answer_that_says_no_is_read_in_the_readers_language_with_its_particulars() -> Result<()> {
    let server = demo_server()?;
    let english = server.client().get_as("/orders/nobody", "text/html")?.text();
    ensure!(english.matches("there is no order `nobody`").count() == 1, "{english}");
    ensure!(!english.contains("particulars"), "nothing is said twice: {english}");
    for (language, sentence) in [
        ("de", "Das gibt es hier nicht. Bitte Namen und Tag prüfen."),
        ("fr", "Cela n’existe pas ici. Vérifiez le nom et le jour."),
    ] {
        let reader = server.client().with("Accept-Language", language);
        let shown = reader.get_as("/orders/nobody", "text/html")?.text();
        let (before, after) = shown.split_once(sentence).with_context(|| shown.clone())?;
        ensure!(!before.contains("there is no order"), "the sentence stands first: {shown}");
        ensure!(after.contains("<span lang=\"en\">there is no order `nobody`</span>"), "{shown}");
    }
    Ok(())
}
