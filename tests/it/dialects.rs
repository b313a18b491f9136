//! Both databases: one transcript, the same answers; and what only a server can show.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::{collections::BTreeMap, thread};
use weighhouse::{
    config::Storage,
    store::{Store, migrate},
};
use weighhouse_tests::{
    client::{Client, Reply},
    exact::whole,
    postgres::Postgres,
    server::Server,
    stockroom::{amount, check, id, open, open_on, receive},
};

/// Every answer of a transcript, with names in the place of ids and hashes.
#[derive(Debug, Default)]
struct Transcript {
    answers: Vec<String>,
    names: BTreeMap<String, usize>,
}

impl Transcript {
    fn note(&mut self, reply: &Reply) -> Result<Value> {
        let answer = reply.json()?;
        let text = self.named(&answer.to_string());
        self.answers.push(format!("{} {text}", reply.status));
        Ok(answer)
    }

    /// The text with a number for each UUID and a word for each hash.
    fn named(&mut self, text: &str) -> String {
        let is_part = |c: char| c.is_ascii_hexdigit() || c == '-';
        let mut named = String::new();
        for part in text.split_inclusive(|c| !is_part(c)) {
            let word = part.trim_end_matches(|c| !is_part(c));
            let rest = &part[word.len()..];
            if word.len() == 36 {
                let next = self.names.len();
                let number = *self.names.entry(word.to_owned()).or_insert(next);
                named.push_str(&format!("#{number}{rest}"));
            } else if word.len() == 64 {
                named.push_str(&format!("hash{rest}"));
            } else {
                named.push_str(part);
            }
        }
        named
    }
}

/// A morning of stock, the same on any server.
pub(crate) fn morning(server: &Server) -> Result<Vec<String>> {
    let client = server.client();
    let mut said = Transcript::default();
    let receipt = |item: &str, lot: &str, more: Value| {
        let mut receipt = json!({"item": item, "lot": lot, "received": "2026-06-08",
            "quantity": {"amount": "25", "unit": "kg"}, "place": "dry-store"});
        if let (Some(all), Some(more)) = (receipt.as_object_mut(), more.as_object()) {
            all.extend(more.clone());
        }
        receipt
    };
    let price = json!({"price": {"money": {"minor_units": 3125, "currency": "EUR"}}});
    let rye = id(&said.note(&client.post_receipt(&receipt("rye", "R-1", price))?)?)?;
    let butter = json!({"use_by": "2026-06-12", "place": "chiller"});
    let butter = id(&said.note(&client.post_receipt(&receipt("butter", "B-1", butter))?)?)?;
    said.note(&client.post_receipt(&receipt("no-such", "X", json!({})))?)?;
    let kilograms = |amount: &str| json!({"amount": amount, "unit": "kg"});
    for (path, body) in [
        ("/v1/moves", json!({"lot": rye, "to": "weigh-room", "quantity": kilograms("10")})),
        ("/v1/waste", json!({"lot": rye, "quantity": kilograms("0.5"), "reason": "spilled"})),
        (
            "/v1/counts",
            json!({"lot": rye, "quantity": kilograms("24"),
            "counted_at": "2026-06-10T09:00:00+02:00"}),
        ),
        (
            "/v1/count-sheets",
            json!({"counted_at": "2026-06-10T09:20:00+02:00",
            "lines": [{"lot": butter, "quantity": kilograms("24.9")}]}),
        ),
    ] {
        said.note(&client.post(path, &body)?)?;
    }
    for (what, body) in [
        ("open", json!({"who": "Imre"})),
        ("hold", json!({"reason": "seal broken"})),
        ("release", json!({"reason": "it is whole"})),
        ("freeze", json!({})),
        ("freeze", json!({})),
        ("thaw", json!({"who": "Imre"})),
        ("return", json!({"reason": "soft", "quantity": kilograms("1")})),
    ] {
        said.note(&client.post(&format!("/v1/lots/{butter}/{what}"), &body)?)?;
    }
    let entries = said.note(&client.get(&format!("/v1/movements?lot={rye}"))?)?;
    let waste = entries["rows"][3]["id"].as_str().context("the waste's entry")?;
    let correction = json!({"reason": "it was 0.4", "instead": kilograms("0.4")});
    let path = format!("/v1/movements/{waste}/correct");
    said.note(&client.post_under(&path, &correction, "once")?)?;
    said.note(&client.post_under(&path, &correction, "once")?)?;
    said.note(&client.post(&path, &correction)?)?;
    let past = json!({"loads": [{"load": "L-1", "formula": "levain",
        "made_at": "2026-06-09T02:00:00+02:00", "gave": [{"quantity": kilograms("2")}],
        "took": [{"item": "rye", "lot": "R-1", "quantity": kilograms("1")},
                 {"item": "water", "quantity": kilograms("1")}]}]});
    said.note(&client.post("/v1/past-loads", &past)?)?;
    for path in ["trace", "trace?direction=back", "recall", "events"] {
        said.note(&client.get(&format!("/v1/lots/{rye}/{path}"))?)?;
    }
    asked(client, &mut said)?;
    check(client)?;
    Ok(said.answers)
}

/// What the books say afterwards.
fn asked(client: &Client, said: &mut Transcript) -> Result<()> {
    for path in [
        "/v1/held-lots",
        "/v1/stock/expiring",
        "/v1/stock",
        "/v1/lots",
        "/v1/movements?limit=1000",
        "/v1/count-sheets?blind=false",
        "/v1/counts/due",
        "/v1/waste",
        "/v1/yields",
        "/v1/ledger/check",
    ] {
        said.note(&client.get(path)?)?;
    }
    Ok(())
}

#[test]
fn one_morning_has_the_same_answers_on_both() -> Result<()> {
    let database = Postgres::start()?;
    let (embedded, served) = (morning(&open()?)?, morning(&open_on(&database)?)?);
    ensure!(embedded.len() > 20, "only {} answers were compared", embedded.len());
    for (number, (embedded, served)) in embedded.iter().zip(&served).enumerate() {
        ensure!(embedded == served, "answer {number} differs:\n{embedded}\n{served}");
    }
    Ok(())
}

/// Tables, columns and indexes as the server knows them.
fn structure(database: &Postgres) -> Result<String> {
    let (done, text) = database.statement(
        "SELECT table_name, column_name, data_type, is_nullable FROM information_schema.columns \
         WHERE table_schema = 'public' UNION ALL \
         SELECT tablename, indexname, indexdef, '' FROM pg_indexes WHERE schemaname = 'public' \
         UNION ALL SELECT event_object_table, trigger_name, event_manipulation, '' \
         FROM information_schema.triggers ORDER BY 1, 2, 3, 4",
    )?;
    ensure!(done, "{text}");
    Ok(text)
}

#[test]
fn the_schema_goes_up_down_and_up_again_on_a_server() -> Result<()> {
    let database = Postgres::start()?;
    let store = Store::open(&Storage::Postgres(database.url().to_owned()))?;
    let first = structure(&database)?;
    ensure!(first.contains("movements|hash|text"), "{first}");
    store.write(migrate::down)?;
    let left = structure(&database)?;
    ensure!(!left.contains("movements"), "the way down leaves {left}");
    store.write(migrate::up)?;
    ensure!(structure(&database)? == first, "up again is another schema");
    Ok(())
}

#[test]
fn a_server_refuses_to_change_or_remove_an_entry() -> Result<()> {
    let database = Postgres::start()?;
    let server = open_on(&database)?;
    receive(server.client(), &json!({}))?;
    for sql in ["UPDATE movements SET amount_micro = 1", "DELETE FROM movements"] {
        let (done, said) = database.statement(sql)?;
        ensure!(!done && said.contains("append-only"), "{sql}: {said}");
    }
    // Who takes the guard away can change an entry; then the check tells.
    let (done, said) = database.statement(
        "ALTER TABLE movements DISABLE TRIGGER ALL; UPDATE movements SET amount_micro = 1",
    )?;
    ensure!(done, "{said}");
    let checked = server.client().get("/v1/ledger/check")?.success()?;
    ensure!(checked["whole"] == false, "{checked}");
    ensure!(checked["findings"][0]["kind"] == "entry-changed", "{checked}");
    Ok(())
}

#[test]
fn the_same_request_many_times_at_once_moves_stock_once_on_a_server() -> Result<()> {
    // Source: check-values.md 6, invariant 8.
    let database = Postgres::start()?;
    let server = open_on(&database)?;
    let client = server.client();
    let lot = id(&receive(client, &json!({}))?)?;
    let waste = json!({"lot": lot, "quantity": {"amount": "1", "unit": "g"}, "reason": "spilled"});
    let (waste, base) = (&waste, client.base());
    let bodies = thread::scope(|scope| -> Result<Vec<Vec<u8>>> {
        let post = || -> Result<Vec<u8>> {
            let reply = Client::new(base).post_under("/v1/waste", waste, "same")?;
            reply.success()?;
            Ok(reply.body)
        };
        let threads: Vec<_> = (0..5).map(|_| scope.spawn(post)).collect();
        let joined = threads
            .into_iter()
            .map(|thread| thread.join().map_err(|_| anyhow::anyhow!("a writer died"))?);
        joined.collect()
    })?;
    ensure!(bodies.iter().all(|body| *body == bodies[0]), "five answers to one request");
    let held = client.get(&format!("/v1/lots/{lot}"))?.success()?;
    ensure!(amount(&held["quantity"])? == whole(24_999), "{held}");
    Ok(())
}

/// Takes grams out of a lot; a server that is busy is asked again under the same key.
fn write(base: &str, lot: &str, writer: usize, times: usize) -> Result<usize> {
    let client = Client::new(base);
    let mut busy = 0;
    for command in 0..times {
        let key = format!("writer-{writer}-{command}");
        let gram = json!({"lot": lot, "quantity": {"amount": "1", "unit": "g"},
            "reason": "spilled"});
        loop {
            let reply = client.post_under("/v1/waste", &gram, &key)?;
            if reply.status != 503 {
                reply.success()?;
                break;
            }
            busy += 1;
        }
    }
    Ok(busy)
}

#[test]
fn writers_at_once_leave_one_chain_on_a_server() -> Result<()> {
    let database = Postgres::start()?;
    let server = open_on(&database)?;
    let client = server.client();
    let lot = id(&receive(client, &json!({}))?)?;
    let (writers, times) = (6, 10);
    thread::scope(|scope| -> Result<()> {
        let (lot, base) = (&lot, client.base());
        let start = |writer| scope.spawn(move || write(base, lot, writer, times));
        let threads: Vec<_> = (0..writers).map(start).collect();
        for thread in threads {
            thread.join().map_err(|_| anyhow::anyhow!("a writer died"))??;
        }
        Ok(())
    })?;
    let held = client.get(&format!("/v1/lots/{lot}"))?.success()?;
    let taken = i64::try_from(writers * times)?;
    ensure!(amount(&held["quantity"])? == whole(25_000 - taken), "{held}");
    ensure!(check(client)?["entries"] == 1 + taken);
    Ok(())
}
