//! A load weighed out at a tablet, without scripts.

use super::{demo_server, fields, key_of, led, page};
use anyhow::{Context, Result, ensure};

const DATE: &str = "2026-06-10";
const DRAFT: &str = "/weigh-out/2026-06-10/2026-06-12%3Abun%3A1";

#[test]
fn a_load_is_fixed_weighed_and_not_offered_again() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let list = page(client, &format!("/weigh-out/{DATE}"))?;
    ensure!(list.contains(&format!("href=\"{DRAFT}\"")), "{list}");
    let draft = page(client, DRAFT)?;
    // The Friday load of alder-yard.md, 8.9 A: 5 160 g of strong white, 928 g of butter.
    ensure!(draft.contains("5.16 kg") && draft.contains("928 g"), "{draft}");
    let revision =
        draft.split_once("name=\"plan_revision:number\" value=\"").context("a revision")?.1;
    let revision = revision.split('"').next().context("a revision")?;
    let sent =
        fields(&[("_key", key_of(&draft)?), ("plan_revision:number", revision), ("who", "Ben")]);
    let mut paths = Vec::new();
    for _ in 0..2 {
        let reply = client.post_form(&format!("{DRAFT}/release"), &sent)?;
        paths.push(led(&reply).with_context(|| reply.text())?.to_owned());
    }
    ensure!(paths[0] == paths[1], "pressed twice, fixed once: {paths:?}");
    let load = paths[0].split('?').next().context("a path")?;
    let shown = page(client, &paths[0])?;
    ensure!(shown.contains("The load is fixed"), "{shown}");

    // Another lot of butter, which nobody entered, and a little more of it.
    let line = shown.split("<li>").find(|line| line.contains("928 g")).context("butter")?;
    let at = line.split_once("name=\"lines/").context("its fields")?.1;
    let at = at.split('/').next().context("its row")?;
    let number = line.split_once("line:with-number\" value=\"").context("its number")?.1;
    let number = number.split('"').next().context("its number")?;
    let name = |field: &str| format!("lines/{at}/{field}");
    let names = [
        name("line:with-number"),
        name("amount/unit:with"),
        name("lots/0/lot"),
        name("lots/0/new:flag"),
        name("amount/amount:decimal"),
    ];
    let sent = fields(&[
        ("_key", key_of(&shown)?),
        ("who", "Ben"),
        (names[0].as_str(), number),
        (names[1].as_str(), "g"),
        (names[2].as_str(), "B-NEW"),
        (names[3].as_str(), "on"),
        (names[4].as_str(), "930,5"),
        ("lines/0/line:with-number", "1"),
        ("lines/0/amount/unit:with", "g"),
        ("lines/0/lots/0/lot", ""),
        ("lines/0/amount/amount:decimal", ""),
    ]);
    let reply = client.post_form(&format!("{load}/weighed"), &sent)?;
    ensure!(led(&reply) == Some("/weigh-out/2026-06-10?done=load-weighed"), "{}", reply.text());
    let id = load.rsplit('/').next().context("an id")?;
    let held = client.get(&format!("/v1/loads/{id}"))?.success()?;
    ensure!(held["state"] == "weighed", "{held}");
    let body = held["history"].as_array().and_then(|steps| steps.last()).context("a step")?;
    let written = &body["body"]["lines"];
    ensure!(written.as_array().context("lines")?.len() == 1, "only what differs: {written}");
    ensure!(written[0]["lots"][0]["lot"] == "B-NEW", "{written}");
    ensure!(written[0]["amount"]["amount"] == "930.5", "{written}");
    let after = page(client, load)?;
    ensure!(after.contains("do NOT weigh this again") && !after.contains("All weighed"), "{after}");
    Ok(())
}

#[test]
fn a_load_without_a_name_is_not_weighed() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let reply = client.post_form(&format!("{DRAFT}/release"), "_key=k&who%3Aneeded=")?;
    ensure!(reply.status == 422, "{}", reply.status);
    ensure!(reply.text().contains("aria-describedby=\"field-who-fault\""), "{}", reply.text());
    let lost = client.get_as("/weigh-out/2026-06-10/2026-06-12%3Abun%3A9", "text/html")?;
    ensure!(lost.status == 404, "{}", lost.status);
    Ok(())
}

#[test]
fn two_clicks_lead_from_the_first_page_to_why_a_line_weighs_what_it_weighs() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let sheet = "/v1/work-dates/2026-06-11/weigh-out";
    ensure!(page(client, "/")?.contains(&format!("href=\"{sheet}\"")), "the first click");
    let sheet = page(client, sheet)?;
    let why = sheet.split("href=\"").find(|part| part.starts_with("/v1/why/lines/"));
    let why = why.and_then(|part| part.split('"').next()).context("the second click")?;
    let chain = page(client, why)?;
    ensure!(chain.contains("to the nearest division of the scale, half up"), "{chain}");
    ensure!(client.get(why)?.success()?["steps"].is_array(), "the same as JSON");
    Ok(())
}
