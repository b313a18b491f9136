//! Who is let in, for what, and what is written down of it.

use anyhow::{Context, Result};
use serde_json::{Value, json};
use weighhouse::{
    access::{self, Job},
    openapi::{self, Operations},
};
use weighhouse_tests::{client::Client, demo, postgres::Postgres, server::Server};

const NOW: &str = "2026-06-10T09:30:00+02:00";

fn order(reference: &str) -> Value {
    json!({
        "order_ref": reference, "version": 1, "customer": "harbour-cafe",
        "service_date": "2026-06-13", "drop": "07:00",
        "lines": [{"line_ref": "1", "product": "sugar-bun", "quantity": 6}]
    })
}

/// A server with the demo bakery on which tokens are needed, and a caller for each job.
fn guarded() -> Result<(Server, Vec<(Job, Client)>)> {
    let server = Server::start(NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let mut callers = Vec::new();
    for job in Job::ALL {
        let token = server.token(job.word(), job, None)?;
        callers.push((job, server.client().with_token(&token)));
    }
    Ok((server, callers))
}

fn caller(callers: &[(Job, Client)], job: Job) -> Result<&Client> {
    let found = callers.iter().find(|(of, _)| *of == job);
    found.map(|(_, client)| client).context("a caller of each job")
}

#[test]
fn once_a_token_exists_nobody_comes_in_without_one() -> Result<()> {
    let (server, _) = guarded()?;
    let stranger = server.client();
    for path in ["/", "/v1/orders", "/v1/work-dates/2026-06-11/weigh-out", "/v1/tokens", "/v2"] {
        let reply = stranger.get(path)?;
        assert_eq!(reply.status, 401, "{path}");
        assert!(reply.is_problem("not-signed-in")?, "{path}: {}", reply.text());
    }
    assert_eq!(stranger.post_order(&order("a"))?.status, 401);
    for path in ["/healthz", "/readyz", "/openapi.json", "/assets/sheet.css", "/sign-in"] {
        assert_eq!(stranger.get(path)?.status, 200, "{path}");
    }
    Ok(())
}

#[test]
fn what_looks_like_a_token_opens_nothing() -> Result<()> {
    let (server, _) = guarded()?;
    let good = server.token("till 9", Job::Till, None)?;
    let (open, secret) = good.rsplit_once('.').context("a token has three parts")?;
    let flipped = if secret.starts_with('0') { "1" } else { "0" };
    let wrong = [
        String::new(),
        "wh1".to_owned(),
        "wh1..".to_owned(),
        open.to_owned(),
        format!("{open}."),
        format!("{open}.{flipped}{}", &secret[1..]),
        format!("{good}0"),
        good.replace("wh1", "wh2"),
        good.to_uppercase(),
        "wh1.' OR 1=1 --.x".to_owned(),
    ];
    for token in wrong {
        let reply = server.client().with_token(&token).get("/v1/orders")?;
        assert_eq!(reply.status, 401, "{token}");
    }
    assert_eq!(server.client().with_token(&good).get("/v1/orders")?.status, 200);
    let elsewhere = server.client().with("Authorization", &format!("Basic {good}"));
    assert_eq!(elsewhere.get("/v1/orders")?.status, 401);
    Ok(())
}

#[test]
fn a_job_does_its_own_work_and_no_other() -> Result<()> {
    let (_server, callers) = guarded()?;
    let hold = json!({"who": "Anna", "why": "smell"});
    let unknown_lot = "/v1/lots/01900000-0000-7000-8000-000000000000/release";
    // Who may, by the words of the issue: till orders only; porter sheets and weighings;
    // clerk purchase; lead; owner; read-only.
    for (job, client) in &callers {
        let may = |status: u16| status != 403;
        let asked = [
            ("orders", client.post_order(&order(job.word()))?.status, "till clerk lead owner"),
            (
                "weigh-out",
                client.get("/v1/work-dates/2026-06-11/weigh-out")?.status,
                "porter clerk lead owner reader",
            ),
            ("shortages", client.get("/v1/shortages")?.status, "porter clerk lead owner reader"),
            (
                "deliveries",
                client.get("/v1/suppliers/x/deliveries")?.status,
                "clerk lead owner reader",
            ),
            ("a decision", client.post(unknown_lot, &hold)?.status, "lead owner"),
            (
                "weighings",
                client.post("/v1/loads/x/weighings", &json!({}))?.status,
                "porter lead owner",
            ),
            ("bakery", client.put("/v1/items/rye", &json!({}), None)?.status, "lead owner"),
            ("tokens", client.get("/v1/tokens")?.status, "owner"),
            ("audit", client.get("/v1/audit")?.status, "owner"),
        ];
        for (what, status, who) in asked {
            let allowed = who.split(' ').any(|word| word == job.word());
            assert_eq!(may(status), allowed, "{what} by {}: {status}", job.word());
        }
    }
    Ok(())
}

#[test]
fn another_spelling_of_a_path_is_judged_like_the_path() -> Result<()> {
    let (_server, callers) = guarded()?;
    for (job, client) in callers.iter().filter(|(job, _)| *job != Job::Owner) {
        for path in ["/v1/%74okens", "/v1/token%73", "/%761/audit"] {
            let reply = client.get(path)?;
            assert_eq!(reply.status, 403, "{path} by {}: {}", job.word(), reply.text());
        }
    }
    let till = caller(&callers, Job::Till)?;
    assert_eq!(till.put("/v1/%62akery", &json!({}), None)?.status, 403);
    assert_eq!(till.get("/v1/%6frders")?.status, 200, "its own work by another spelling");
    assert_eq!(till.get("/v1/nowhere")?.status, 404);
    Ok(())
}

#[test]
fn a_rotated_token_ends_when_the_old_one_was_to_end() -> Result<()> {
    let end: jiff::Timestamp = "2026-07-01T00:00:00Z".parse()?;
    let server = Server::start(NOW)?;
    let old = server.token("till 2", Job::Till, Some(end))?;
    let id = old.split('.').nth(1).context("a token has three parts")?;
    let new = server.rotated(id)?;
    assert_ne!(old, new);
    for token in [&old, &new] {
        assert_ne!(server.client().with_token(token).get("/v1/orders")?.status, 401);
    }
    let server = server.at("2026-06-11T09:31:00+02:00")?;
    assert_eq!(server.client().with_token(&old).get("/v1/orders")?.status, 401);
    assert_ne!(server.client().with_token(&new).get("/v1/orders")?.status, 401);
    let server = server.at("2026-07-01T02:00:00+02:00")?;
    assert_eq!(server.client().with_token(&new).get("/v1/orders")?.status, 401);
    Ok(())
}

#[test]
fn every_operation_is_in_the_table() {
    let operations = Operations::of(&openapi::document());
    let mut owners = Vec::new();
    for (method, operation) in operations.iter() {
        assert!(
            access::knows(&operation.tag),
            "{} has no row for `{}`",
            operation.id,
            operation.tag
        );
        let others = Job::ALL.into_iter().filter(|job| *job != Job::Owner);
        if !others.clone().any(|job| access::allows(job, method, &operation.tag, &operation.id)) {
            owners.push(operation.id.clone());
        }
    }
    owners.sort();
    let expected = [
        "end_token",
        "find_webhook",
        "keep_webhook",
        "list_audit",
        "list_tokens",
        "list_webhook_deliveries",
        "list_webhooks",
        "make_token",
        "make_webhook_secret",
        "put_webhook",
        "resend_webhook_delivery",
        "revoke_token",
        "rotate_token",
        "send_again",
        "show_audit",
        "show_settings",
        "show_token",
        "show_tokens",
        "show_webhook",
        "show_webhook_deliveries",
        "show_webhooks",
    ];
    assert_eq!(owners, expected);
}

#[test]
fn expired_and_revoked_tokens_open_nothing() -> Result<()> {
    let (server, callers) = guarded()?;
    let end = "2026-06-10T12:00:00+02:00".parse()?;
    let brief = server.token("brief", Job::Till, Some(end))?;
    assert_eq!(server.client().with_token(&brief).get("/v1/orders")?.status, 200);
    let owner = caller(&callers, Job::Owner)?;
    let tokens = owner.get("/v1/tokens")?.success()?;
    let till =
        tokens["rows"].as_array().and_then(|rows| rows.iter().find(|row| row["job"] == "till"));
    let id = till.context("the till's token")?["id"].as_str().context("an id")?.to_owned();
    assert!(!tokens.to_string().contains("secret"), "{tokens}");
    let revoke = |key: &str| owner.post_under(&format!("/v1/tokens/{id}/revoke"), &json!({}), key);
    let first = revoke("a")?.success()?;
    assert_eq!(first["live"], false);
    // Once more changes nothing, not even the moment.
    assert_eq!(revoke("b")?.success()?, first);
    assert_eq!(caller(&callers, Job::Till)?.get("/v1/orders")?.status, 401);

    let server = server.at("2026-06-10T12:00:00+02:00")?;
    assert_eq!(server.client().with_token(&brief).get("/v1/orders")?.status, 401);
    Ok(())
}

/// A sheet that is ready is given out at the door's own look into the database.
fn a_ready_sheet_is_for_live_tokens(server: &Server) -> Result<()> {
    let sheet = "/v1/work-dates/2026-06-11/weigh-out";
    let beside = server.beside(NOW)?;
    let (porter, till) =
        (server.token("porter", Job::Porter, None)?, server.token("till", Job::Till, None)?);
    assert_eq!(server.client().get("/v1/bakery")?.status, 401, "before the first write");
    let owner = server.client().with_token(&server.token("owner", Job::Owner, None)?);
    owner.put_bakery(&demo::document("bakery")?)?.success()?;
    let porter = server.client().with_token(&porter);
    let before = porter.weigh_out("2026-06-11")?;
    assert_eq!(porter.weigh_out("2026-06-11")?, before);
    assert_eq!(server.client().get(sheet)?.status, 401);
    assert_eq!(server.client().with_token(&till).get(sheet)?.status, 403);
    // What another server writes is in it at once.
    let elsewhere = beside.client().with_token(&till);
    elsewhere.post_under("/v1/orders", &order("ready"), "ready")?.success()?;
    let after = porter.weigh_out("2026-06-11")?;
    assert_ne!(after["plan_revision"], before["plan_revision"]);
    let tokens = owner.get("/v1/tokens")?.success()?;
    let rows = tokens["rows"].as_array().context("rows")?;
    let row = rows.iter().find(|row| row["job"] == "porter").context("the porter's token")?;
    let revoke = format!("/v1/tokens/{}/revoke", row["id"].as_str().context("an id")?);
    let elsewhere = beside.client().with_token(&server.token("owner", Job::Owner, None)?);
    elsewhere.post_under(&revoke, &json!({}), "revoke")?.success()?;
    assert_eq!(porter.get(sheet)?.status, 401, "revoked at another server");
    Ok(())
}

#[test]
fn a_ready_sheet_is_for_live_tokens_on_both_databases() -> Result<()> {
    a_ready_sheet_is_for_live_tokens(&Server::start(NOW)?)?;
    let database = Postgres::start()?;
    a_ready_sheet_is_for_live_tokens(&Server::start_on(&database, NOW)?)
}

#[test]
fn every_write_says_who_and_a_replay_is_none() -> Result<()> {
    let (server, callers) = guarded()?;
    let till = caller(&callers, Job::Till)?.with("X-Request-Id", "till-7.481");
    for _ in 0..3 {
        assert_eq!(till.post_under("/v1/orders", &order("t-1"), "k")?.status, 201);
    }
    let refused = till.post("/v1/orders", &json!({"order_ref": ""}))?;
    assert_eq!(refused.status, 422, "{}", refused.text());
    let lead = caller(&callers, Job::Lead)?;
    lead.put("/v1/items/rye", &json!({"code": "other"}), None)?;
    let owner = caller(&callers, Job::Owner)?;
    let audit = owner.get("/v1/audit")?.success()?;
    let rows: Vec<_> = audit["rows"].as_array().into_iter().flatten().collect();
    let of_till: Vec<_> = rows.iter().filter(|row| row["who"] == "till").collect();
    assert_eq!(of_till.len(), 1, "{audit}");
    assert_eq!(of_till[0]["path"], "/v1/orders");
    assert_eq!(of_till[0]["method"], "POST");
    assert_eq!(of_till[0]["status"], 201);
    assert_eq!(of_till[0]["request_id"], "till-7.481");
    // What was put before there were tokens, and the tokens themselves.
    assert!(rows.iter().any(|row| row["who"] == "local" && row["path"] == "/v1/bakery"));
    assert!(rows.iter().any(|row| row["who"] == "command line"));
    let page = owner.get("/v1/audit?limit=1")?.success()?;
    let next = page["next"].as_str().context("a next page")?;
    let second = owner.get(&format!("/v1/audit?limit=1&cursor={next}"))?.success()?;
    assert_ne!(page["rows"][0]["id"], second["rows"][0]["id"]);
    drop(server);
    Ok(())
}

#[test]
fn a_token_of_another_shop_is_none() -> Result<()> {
    let (one, _) = guarded()?;
    let (other, _) = guarded()?;
    let token = other.token("owner", Job::Owner, None)?;
    assert_eq!(one.client().with_token(&token).get("/v1/orders")?.status, 401);
    Ok(())
}

#[test]
fn a_browser_signs_in_with_a_form_and_its_cookie_is_enough() -> Result<()> {
    let (server, _) = guarded()?;
    let token = server.token("tablet", Job::Porter, None)?;
    let page = server.client().get_as("/", "text/html")?;
    assert!(page.text().contains("name=\"token\""), "led to the form: {}", page.text());
    let cookie = server.client().with("Cookie", &format!("weighhouse={token}"));
    assert_eq!(cookie.get_as("/v1/work-dates/2026-06-11/weigh-out", "text/html")?.status, 200);
    assert_eq!(cookie.post_order(&order("x"))?.status, 403, "a porter takes no orders");
    Ok(())
}

#[test]
fn another_site_cannot_use_a_browsers_cookie() -> Result<()> {
    let (server, callers) = guarded()?;
    drop(callers);
    let token = server.token("shop", Job::Till, None)?;
    let browser = server.client().with("Cookie", &format!("weighhouse={token}"));
    for (header, value) in [
        ("Origin", "https://elsewhere.example"),
        ("Origin", "null"),
        ("Sec-Fetch-Site", "cross-site"),
        ("Sec-Fetch-Site", "same-site"),
    ] {
        let reply = browser.with(header, value).post_order(&order("x"))?;
        assert!(reply.is_problem("from-elsewhere")?, "{header}: {value}: {}", reply.text());
    }
    // Nor may it sign a browser in under a token that it chose itself.
    let elsewhere = server.client().with("Origin", "https://elsewhere.example");
    for (path, fields) in [("/sign-in", format!("token={token}")), ("/language", String::new())] {
        let reply = elsewhere.post_form(path, &fields)?;
        assert!((reply.status, &reply.cookie) == (403, &None), "{path}: {}", reply.text());
    }
    let own = server.client().base().to_owned();
    let reply = server.client().with("Origin", &own);
    let reply = reply.post_form("/sign-in", &format!("token={token}"))?;
    assert_eq!((reply.status, reply.cookie.is_some()), (303, true));
    let reply = browser.with("Origin", &own).with("Sec-Fetch-Site", "same-origin");
    assert_eq!(reply.post_order(&order("x"))?.status, 201);
    Ok(())
}

#[test]
fn without_tokens_only_names_of_this_machine_are_answered() -> Result<()> {
    let server = Server::start(NOW)?;
    for (host, status) in
        [("localhost", 409), ("[::1]:8080", 409), ("127.0.0.1:1", 409), ("shop.example", 403)]
    {
        let reply = server.client().with("Host", host).get("/v1/orders")?;
        assert_eq!(reply.status, status, "{host}: {}", reply.text());
    }
    Ok(())
}

#[test]
fn strangers_are_slowed_down() -> Result<()> {
    let (server, _) = guarded()?;
    let guesses = (0..80).map(|guess| {
        let token = format!("wh1.01900000-0000-7000-8000-000000000000.{guess}");
        Ok(server.client().with_token(&token).get("/v1/orders")?.status)
    });
    let statuses = guesses.collect::<Result<Vec<_>>>()?;
    assert_eq!(statuses[0], 401);
    assert!(statuses.contains(&429), "{statuses:?}");
    Ok(())
}

#[test]
fn who_guesses_in_the_form_is_slowed_down_and_who_is_right_comes_in() -> Result<()> {
    let (server, _) = guarded()?;
    let token = server.token("tablet", Job::Porter, None)?;
    let try_one = |token: &str| server.client().post_form("/sign-in", &format!("token={token}"));
    let guess = |guess| try_one(&format!("wh1.01900000-0000-7000-8000-000000000000.{guess}"));
    let statuses = (0..80).map(|n| Ok(guess(n)?.status)).collect::<Result<Vec<_>>>()?;
    assert_eq!(statuses[0], 401);
    assert!(statuses.contains(&429), "{statuses:?}");
    assert_eq!(try_one(&token)?.status, 303);
    Ok(())
}
