//! Seeded random mornings: loads go their way in any order, are counted and counted again,
//! goods are sent, entries taken back; a plain model says how many pieces must be left.

use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use weighhouse_tests::{
    builders::Seed,
    client::Client,
    demo,
    exact::whole,
    server::Server,
    stockroom::{amount, check},
};

/// Random mornings, and commands in each.
const MORNINGS: u64 = 4;
const COMMANDS: usize = 24;
const DATE: &str = "2026-06-12";
const STEPS: [&str; 6] = ["weighings", "mixed", "divided", "baked", "packed", "sent"];
/// Pieces of each product of the two loads (8.9 A).
const PIECES: [[(&str, i64); 4]; 2] = [
    [("sugar-bun", 37), ("fruit-bun", 42), ("custard-bun", 25), ("lemon-knot", 30)],
    [("sugar-bun", 36), ("fruit-bun", 43), ("custard-bun", 24), ("lemon-knot", 31)],
];

#[derive(Debug, Default)]
struct Model {
    /// Ids of the two loads, and how many steps each has done.
    loads: [String; 2],
    steps: [usize; 2],
    /// Pieces left by load and product.
    left: BTreeMap<(usize, &'static str), i64>,
    sent: i64,
    done: BTreeMap<&'static str, usize>,
}

impl Model {
    fn did(&mut self, what: &'static str) {
        *self.done.entry(what).or_default() += 1;
    }

    fn step(&mut self, client: &Client, load: usize) -> Result<()> {
        let Some(word) = STEPS.get(self.steps[load]).copied() else { return Ok(()) };
        let path = format!("/v1/loads/{}/{word}", self.loads[load]);
        // Leaving is what `send` does here.
        if word == "sent" {
            return Ok(());
        }
        client.post(&path, &json!({"who": "Emil"}))?.success().with_context(|| path)?;
        if word == "baked" {
            for (product, pieces) in PIECES[load] {
                self.left.entry((load, product)).or_insert(pieces);
            }
        }
        self.steps[load] += 1;
        self.did(word);
        Ok(())
    }

    /// A whole sheet typed in at once: the next steps of both loads, and one that is not yet
    /// its turn. All or none, or each by itself.
    fn sheet(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let all_or_nothing = seed.chance(50);
        let spoilt = seed.chance(30);
        let mut rows = Vec::new();
        let mut ahead = self.steps;
        for (load, steps) in ahead.iter_mut().enumerate() {
            for _ in 0..seed.below(3) {
                let Some(word) = STEPS.get(*steps).filter(|word| **word != "sent") else { break };
                rows.push((load, *word));
                *steps += 1;
            }
        }
        let typed = |(load, step): &(usize, &str)| {
            json!({"load": self.loads[*load],
            "step": step, "body": {"who": "Emil"}})
        };
        let mut body: Vec<Value> = rows.iter().map(typed).collect();
        if spoilt {
            body.push(json!({"load": self.loads[0], "step": "sent", "body": {"when": 1}}));
        }
        let sheet = json!({"rows": body, "all_or_nothing": all_or_nothing});
        let reply = client.post("/v1/loads/sheet", &sheet)?;
        if all_or_nothing && spoilt {
            ensure!(reply.status == 422, "one row is spoilt: {}", reply.text());
            self.did("sheet-refused");
            return Ok(());
        }
        let answer = reply.success()?;
        let outcomes = answer["outcomes"].as_array().context("outcomes")?;
        let typed = rows.len() + usize::from(spoilt);
        ensure!(outcomes.len() == typed, "an outcome for each row: {answer}");
        for ((load, word), outcome) in rows.iter().zip(outcomes) {
            ensure!(outcome["status"] == 200, "{word}: {outcome}");
            if *word == "baked" {
                self.did("baked");
                for (product, pieces) in PIECES[*load] {
                    self.left.entry((*load, product)).or_insert(pieces);
                }
            }
            self.steps[*load] += 1;
        }
        if spoilt {
            ensure!(outcomes.last().is_some_and(|last| last["status"] == 422), "{answer}");
        }
        self.did("sheet");
        Ok(())
    }

    /// A count takes back what the one before it said, whatever was sent in between.
    fn count(&mut self, client: &Client, load: usize, seed: &mut Seed) -> Result<()> {
        let path = format!("/v1/loads/{}/count-back", self.loads[load]);
        let (product, planned) = seed.pick(&PIECES[load]);
        let (good, burnt) = (seed.between(0, planned), seed.between(0, 4));
        let body = json!({"who": "Emil", "note": seed.below(1_000_000).to_string(),
            "products": [{"product": product, "good": good,
                          "rejected": [{"pieces": burnt, "reason": "burnt"}]}]});
        let reply = client.post(&path, &body)?;
        if self.steps[load] < 2 {
            ensure!(reply.is_problem("load-step")?, "nothing to count: {}", reply.text());
            return Ok(());
        }
        reply.success()?;
        // All are rejected: the lot is wasted, and the model keeps off it.
        let gone = self.gone(client, load, product)?;
        self.left.insert((load, product), good - gone);
        self.did("count");
        Ok(())
    }

    /// Pieces of a lot that left the house, by the ledger.
    fn gone(&self, client: &Client, load: usize, product: &str) -> Result<i64> {
        let id = lot(client, &self.loads[load], product)?["id"].as_str().context("id")?.to_owned();
        let rows = client.get(&format!("/v1/movements?lot={id}&limit=1000"))?.success()?;
        let rows = rows["rows"].as_array().cloned().context("rows")?;
        let sent = rows.iter().filter(|row| row["kind"] == "send");
        let pieces = sent.filter_map(|row| row["amount"]["amount"].as_str()?.parse::<i64>().ok());
        Ok(-pieces.sum::<i64>())
    }

    fn send(&mut self, client: &Client) -> Result<()> {
        let body = json!({"who": "Gus", "service_date": DATE});
        let sent = client.post("/v1/sends", &body)?.success()?;
        for line in sent["lines"].as_array().context("lines")? {
            let pieces = line["pieces"].as_i64().context("pieces")?;
            let product = line["product"].as_str().context("a product")?;
            let load = usize::from(line["lot_code"] != "260612-1");
            let key = PIECES[load].iter().find(|(code, _)| *code == product).context("known")?.0;
            let left = self.left.get_mut(&(load, key)).context("a lot")?;
            *left -= pieces;
            ensure!(*left >= 0, "more went than there was: {line}");
            self.sent += pieces;
        }
        self.did("send");
        Ok(())
    }

    /// What is left of each lot is what the model says, and the ledger proves itself.
    fn agrees(&self, client: &Client) -> Result<()> {
        for ((load, product), left) in &self.left {
            let lot = lot(client, &self.loads[*load], product)?;
            ensure!(amount(&lot["left"])? == whole(*left), "{product}: {left}, found {lot}");
        }
        check(client)?;
        Ok(())
    }
}

fn lot(client: &Client, load: &str, product: &str) -> Result<Value> {
    let list = client.get(&format!("/v1/product-lots?service_date={DATE}"))?.success()?;
    let rows = list["rows"].as_array().context("rows")?;
    let found = rows.iter().find(|row| row["load"] == load && row["product"] == product);
    found.cloned().with_context(|| format!("no lot of {product}"))
}

fn morning() -> Result<(Server, Model)> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let mut model = Model::default();
    for number in 0..2 {
        let path = format!("/v1/loads/{DATE}:bun:{}/release", number + 1);
        let load = server.client().post(&path, &json!({"who": "Anna"}))?.success()?;
        model.loads[number] = load["id"].as_str().context("an id")?.to_owned();
    }
    Ok((server.at("2026-06-12T05:30:00+02:00")?, model))
}

#[test]
fn whatever_a_morning_does_the_pieces_and_the_ledger_agree() -> Result<()> {
    let mut done: BTreeMap<&str, usize> = BTreeMap::new();
    for number in 0..MORNINGS {
        let mut seed = Seed::new(number);
        let (server, mut model) = morning()?;
        for command in 0..COMMANDS {
            let place = || format!("seed {number}, command {command}");
            let load = usize::from(seed.chance(50));
            match seed.below(10) {
                0..=3 => model.step(server.client(), load),
                4..=5 => model.sheet(server.client(), &mut seed),
                6..=8 => model.count(server.client(), load, &mut seed),
                _ => model.send(server.client()),
            }
            .with_context(place)?;
            if command % 6 == 5 {
                model.agrees(server.client()).with_context(place)?;
            }
        }
        model.agrees(server.client()).with_context(|| format!("seed {number}"))?;
        for (what, times) in model.done {
            *done.entry(what).or_default() += times;
        }
    }
    for (what, times) in
        [("baked", 4), ("count", 4), ("send", 4), ("sheet", 4), ("sheet-refused", 1)]
    {
        let done_times = done.get(what).copied().unwrap_or(0);
        ensure!(done_times >= times, "{what} ran too rarely: {done:?}");
    }
    Ok(())
}
