//! Settings on pages: tokens and secrets that are shown once, webhooks, and who wrote what.

use super::{demo_server, fields, key_of, led, page};
use anyhow::{Context, Result, ensure};
use weighhouse::access::Job;
use weighhouse_tests::client::{Client, Reply};

/// The secret that an answer shows.
fn secret(reply: &Reply) -> Result<String> {
    let text = reply.text();
    ensure!(reply.status == 200, "{}: {text}", reply.status);
    let (_, rest) = text.split_once("class=\"secret\"").with_context(|| text.clone())?;
    let inside = rest.split(['>', '<']).nth(1).context("a secret")?;
    Ok(inside.to_owned())
}

fn make(client: &Client, key: &str, name: &str, job: &str, until: &str) -> Result<Reply> {
    let form =
        fields(&[("_key", key), ("name:needed", name), ("job:needed", job), ("until", until)]);
    client.post_form("/settings/tokens", &form)
}

#[test]
fn the_first_token_is_an_owners_and_is_shown_this_once() -> Result<()> {
    let server = demo_server()?;
    let open = server.client();
    let start = page(open, "/settings/tokens")?;
    ensure!(start.contains("asks for no token"), "{start}");
    ensure!(!start.contains("value=\"till\""), "first of all an owner: {start}");
    let till = make(open, "k-0", "till 1", "till", "")?;
    ensure!(till.status == 422 && till.text().contains("field-job-fault"), "{}", till.text());
    let key = key_of(&start)?.to_owned();
    let made = make(open, &key, "Elin", "owner", "")?;
    let token = secret(&made)?;
    ensure!(token.starts_with("wh1."), "{token}");
    // From here on nobody comes in without one, and nowhere is it to be read again.
    ensure!(make(open, &key, "Elin", "owner", "")?.status == 401, "the door is closed");
    let owner = open.with_token(&token);
    let again = make(&owner, &key, "Elin", "owner", "")?;
    ensure!(again.status == 200 && again.text().contains("shown once already"));
    ensure!(!again.text().contains(&token), "a second press shows nothing");
    let listed = page(&owner, "/settings/tokens")?;
    ensure!(listed.contains("Elin") && !listed.contains(&token), "{listed}");
    ensure!(owner.get("/v1/tokens")?.success()?["rows"].as_array().map(Vec::len) == Some(1));
    // One that ends with a day ends with it on the bakery's clock.
    let reply = make(&owner, "k-1", "till 1", "till", "2026-06-30")?;
    let till = open.with_token(&secret(&reply)?);
    ensure!(page(&owner, "/settings/tokens")?.contains("opens until Tuesday 30 June 2026 · 23:59"));
    ensure!(page(&till, "/orders")?.contains("<main"), "it opens what its job may see");
    let over = make(&owner, "k-2", "till 2", "till", "2026-06-01")?;
    ensure!(over.status >= 400 && over.text().contains("before it is made"), "{}", over.text());
    let nameless = make(&owner, "k-3", "", "", "")?;
    ensure!(nameless.status == 422, "{}", nameless.status);
    Ok(())
}

#[test]
fn a_token_is_exchanged_and_ended_on_its_page() -> Result<()> {
    let server = demo_server()?;
    let owner = server.client().with_token(&server.token("Elin", Job::Owner, None)?);
    let old = server.token("till 1", Job::Till, None)?;
    let till = server.client().with_token(&old);
    let id = old.split('.').nth(1).context("an id")?;
    let path = format!("/settings/tokens/{id}");
    let shown = page(&owner, &path)?;
    ensure!(shown.contains("Token of till 1") && shown.contains("value=\"24\""), "{shown}");
    ensure!(!shown.contains("You are signed in with this"), "{shown}");
    let long = fields(&[("_key", "r-0"), ("grace_hours:number", "1000")]);
    let reply = owner.post_form(&format!("{path}/rotate"), &long)?;
    ensure!(reply.status == 422 && reply.text().contains("field-grace_hours-fault"));
    let form = fields(&[("_key", "r-1"), ("grace_hours:number", "1")]);
    let new = secret(&owner.post_form(&format!("{path}/rotate"), &form)?)?;
    let next = server.client().with_token(&new);
    ensure!(till.get("/v1/orders")?.status == 200, "the old one goes on for an hour");
    ensure!(next.get("/v1/orders")?.status == 200 && new != old);
    let form = fields(&[("_key", "e-1")]);
    let ended = owner.post_form(&format!("{path}/revoke"), &form)?;
    ensure!(led(&ended) == Some("/settings/tokens?done=token-ended"), "{}", ended.text());
    ensure!(till.get("/v1/orders")?.status == 401, "it opens nothing any more");
    ensure!(next.get("/v1/orders")?.status == 200, "the other one does");
    let own = page(&owner, "/settings/tokens")?;
    let (before, _) = own.split_once(">Elin<").context("its row")?;
    let own = before.rsplit('"').nth(1).context("its address")?.to_owned();
    ensure!(page(&owner, &own)?.contains("You are signed in with this token"));
    Ok(())
}

#[test]
fn settings_are_the_owners_alone() -> Result<()> {
    let server = demo_server()?;
    let owner = server.client().with_token(&server.token("Elin", Job::Owner, None)?);
    let paths = ["/settings", "/settings/tokens", "/settings/webhooks", "/settings/audit"];
    for job in Job::ALL.into_iter().filter(|job| *job != Job::Owner) {
        let other = server.client().with_token(&server.token(job.word(), job, None)?);
        for path in paths.into_iter().chain(["/settings/deliveries"]) {
            let status = other.get_as(path, "text/html")?.status;
            ensure!(status == 403, "{path} as {}: {status}", job.word());
        }
        ensure!(make(&other, "k", "me", "owner", "")?.status == 403, "{}", job.word());
    }
    let house = page(&owner, "/settings")?;
    // alder-yard.md 8: the house and its clock.
    for words in ["Europe/Amsterdam", "EUR", "Tuesday", "href=\"/settings/audit\""] {
        ensure!(house.contains(words), "{words}: {house}");
    }
    Ok(())
}

#[test]
fn a_webhook_is_set_and_changed_and_its_secret_is_shown_this_once() -> Result<()> {
    let server = demo_server()?;
    let client = server.client();
    let form = |key: &str, url: &str, more: &[(&str, &str)]| {
        let mut pairs = vec![("_key", key), ("url:needed", url)];
        pairs.extend(more);
        client.post_form("/settings/webhooks", &fields(&pairs))
    };
    let tells = ("kinds/lot-held:flag", "on");
    // Two faults at once, each at its field.
    let wrong = form("w-0", "ftp://till.example/", &[("code:needed", "till")])?;
    ensure!(wrong.status == 422, "{}", wrong.status);
    for field in ["field-url-fault", "id=\"field-kinds\""] {
        ensure!(wrong.text().contains(field), "{field}: {}", wrong.text());
    }
    let new = [("code:needed", "till"), tells, ("active:flag", "on")];
    for _ in 0..2 {
        let made = form("w-1", "https://till.example/hook", &new)?;
        ensure!(led(&made) == Some("/settings/webhooks/till?done=webhook-kept"), "{}", made.text());
    }
    let shown = page(client, "/settings/webhooks/till")?;
    ensure!(shown.contains("has no secret") && shown.contains("https://till.example/hook"));
    let etag = client.get("/v1/webhooks/till")?.etag.context("an ETag")?;
    // Changed from what was read; a second change from the same is too late, and says so.
    let change = [("code", "till"), ("etag", etag.as_str()), tells];
    let changed = form("w-2", "https://till.example/other", &change)?;
    ensure!(changed.status == 303, "{}", changed.text());
    let late = form("w-3", "https://till.example/third", &change)?;
    ensure!(late.status == 412 && late.text().contains("https://till.example/third"));
    let held = client.get("/v1/webhooks/till")?.success()?;
    ensure!(held["active"] == false && held["url"] == "https://till.example/other", "{held}");
    let key = fields(&[("_key", "s-1")]);
    let made = client.post_form("/settings/webhooks/till/secret", &key)?;
    let secret = secret(&made)?;
    ensure!(secret.starts_with("whsec_"), "{secret}");
    let again = client.post_form("/settings/webhooks/till/secret", &key)?;
    ensure!(again.text().contains("shown once already") && !again.text().contains(&secret));
    ensure!(client.get("/v1/webhooks/till")?.success()?["signed"] == true);
    ensure!(page(client, "/settings/webhooks")?.contains("rests"), "it was set to rest");
    Ok(())
}

#[test]
fn who_wrote_what_is_listed_in_pages() -> Result<()> {
    let server = demo_server()?;
    let elin = server.client().with_token(&server.token("Elin", Job::Owner, None)?);
    for number in 0..101 {
        let note = serde_json::json!({"order_ref": format!("o-{number}"), "version": 1,
            "customer": "nobody", "service_date": "2026-06-13", "drop": "07:00",
            "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 6}]});
        elin.post("/v1/orders", &note)?;
    }
    let first = page(&elin, "/settings/audit")?;
    ensure!(first.contains("Elin") && first.contains("POST /v1/orders"), "{first}");
    ensure!(first.contains("Wednesday 10 June 2026 · 09:30"), "{first}");
    let more = first.split("href=\"/settings/audit?before=").nth(1).context("an older page")?;
    let before = more.split('"').next().context("an id")?;
    let second = page(&elin, &format!("/settings/audit?before={before}"))?;
    let rows = |text: &str| text.matches("<th scope=\"row\">").count();
    let all = elin.get("/v1/audit?limit=1000")?.success()?;
    let all = all["rows"].as_array().context("rows")?.len();
    ensure!(rows(&first) == 100 && all > 100, "{} of {all}", rows(&first));
    ensure!(rows(&first) + rows(&second) == all, "each write once: {all}");
    Ok(())
}
