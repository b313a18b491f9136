//! Seeded random commands on the service and on a model so plain that it can be read.

mod bin;
mod cold;

use anyhow::{Context, Result, ensure};
use num_rational::BigRational;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use weighhouse_tests::{
    builders::Seed,
    client::Client,
    exact::whole,
    server::Server,
    stockroom::{amount, check, id, open, receive},
};

/// Random histories, and commands in each.
const HISTORIES: u64 = 12;
const COMMANDS: usize = 60;
/// Where things lie.
const PLACES: [&str; 4] = ["dry-store", "chiller", "weigh-room", BIN];
const BIN: &str = "flour-bin";
/// Millionths in a gram.
const GRAM: i64 = 1_000_000;

/// A lot as the model knows it: micrograms at each place, and what may be done with it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct ModelLot {
    id: String,
    item: &'static str,
    places: BTreeMap<&'static str, i64>,
    /// As it would be if it were not on hold.
    state: &'static str,
    on_hold: bool,
    /// What came, was thrown away, went back, was found or missed by counts, and was drawn
    /// from a bin.
    came: i64,
    wasted: i64,
    returned: i64,
    variance: i64,
    drawn: i64,
}

impl ModelLot {
    fn all(&self) -> i64 {
        self.places.values().sum()
    }

    /// What the service should say of it: what is gone of a usable lot is used up.
    fn said(&self) -> &'static str {
        let usable = ["released", "thawed"].contains(&self.state);
        match self.on_hold {
            true => "hold",
            false if usable && self.all() == 0 => "used-up",
            false => self.state,
        }
    }

    /// Where most of it lies; where it lay before wins a tie, which the model asks the service.
    fn at(&self, place: &str) -> i64 {
        self.places.get(place).copied().unwrap_or(0)
    }
}

/// An entry that may still be taken back: its id and what it did in the model.
#[derive(Debug, Clone)]
struct Undo {
    movement: String,
    lot: usize,
    place: &'static str,
    kind: &'static str,
    micro: i64,
    /// Where it went, if it was a move.
    to: Option<&'static str>,
}

#[derive(Debug, Default)]
struct Model {
    lots: Vec<ModelLot>,
    /// Lots in the bin since it was emptied, in order of filling.
    bin: Vec<usize>,
    undo: Vec<Undo>,
    entries: i64,
    /// How often each command really did something.
    done: BTreeMap<&'static str, usize>,
}

/// Micrograms as the exact number of grams.
fn exactly(micro: i64) -> BigRational {
    whole(micro) / whole(GRAM)
}

fn quantity(grams: i64) -> Value {
    json!({"amount": grams.to_string(), "unit": "g"})
}

impl Model {
    fn step(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        match seed.below(18) {
            0 | 1 => self.receive(client, seed),
            2 | 3 => self.move_some(client, seed),
            4 | 5 => self.waste(client, seed),
            6 => self.count(client, seed),
            7 | 8 => self.take_back(client, seed),
            9 => self.judge(client, seed, "hold", true),
            10 => self.judge(client, seed, "release", false),
            11 => self.give_back(client, seed),
            12 => self.fill(client, seed),
            13 => self.draw(client, seed),
            14 => self.empty(client, seed),
            15 => self.freeze(client, seed),
            16 => self.thaw(client, seed),
            _ => self.repeat(client, seed),
        }
    }

    fn did(&mut self, what: &'static str, entries: i64) {
        *self.done.entry(what).or_default() += 1;
        self.entries += entries;
    }

    fn pick(&self, seed: &mut Seed) -> Option<usize> {
        let end = u64::try_from(self.lots.len()).ok().filter(|&end| end > 0)?;
        usize::try_from(seed.below(end)).ok()
    }

    fn receive(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let grams = seed.between(1, 50_000);
        let item = seed.pick(&["rye", "honey", "butter"]);
        let place = seed.pick(&PLACES[..3]);
        let name = format!("L-{}", self.lots.len());
        let body = json!({"item": item, "lot": name, "place": place, "quantity": quantity(grams)});
        let lot = receive(client, &body)?;
        self.lots.push(ModelLot {
            id: id(&lot)?,
            item,
            places: BTreeMap::from([(place, grams * GRAM)]),
            state: "released",
            on_hold: false,
            came: grams * GRAM,
            wasted: 0,
            returned: 0,
            variance: 0,
            drawn: 0,
        });
        self.did("receive", 1);
        Ok(())
    }

    fn move_some(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let (from, to) = (seed.pick(&PLACES), seed.pick(&PLACES[..3]));
        let grams = seed.between(1, 20_000);
        let lot = &mut self.lots[at];
        // What is frozen is taken out whole by `thaw`: parts of it would become lots.
        if lot.state == "frozen" {
            return Ok(());
        }
        let body = json!({"lot": lot.id, "from": from, "to": to, "quantity": quantity(grams)});
        let reply = client.post("/v1/moves", &body)?;
        if from == to {
            ensure!(reply.status == 422, "a move to where it lies: {}", reply.text());
            self.did("refused", 0);
            return Ok(());
        }
        let moved = reply.success()?;
        let micro = grams * GRAM;
        *lot.places.entry(from).or_default() -= micro;
        *lot.places.entry(to).or_default() += micro;
        // Either half takes back both.
        let half = usize::from(seed.chance(50));
        let movement = moved["movements"][half].as_str().context("a movement")?.to_owned();
        let to = Some(to);
        self.undo.push(Undo { movement, lot: at, place: from, kind: "move", micro: -micro, to });
        self.did("move", 2);
        Ok(())
    }

    fn waste(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let place = seed.pick(&PLACES);
        let grams = seed.between(1, 9_000);
        let lot = &mut self.lots[at];
        let body = json!({"lot": lot.id, "place": place, "quantity": quantity(grams),
            "reason": "spilled"});
        // The last gram of a lot ends it, which only some states allow: the model keeps off.
        let micro = grams * GRAM;
        if lot.all() == micro {
            return Ok(());
        }
        let wasted = client.post("/v1/waste", &body)?.success()?;
        *lot.places.entry(place).or_default() -= micro;
        lot.wasted += micro;
        let movement = wasted["movement"].as_str().context("a movement")?.to_owned();
        let kind = "waste";
        self.undo.push(Undo { movement, lot: at, place, kind, micro: -micro, to: None });
        self.did("waste", 1);
        Ok(())
    }

    fn count(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let place = seed.pick(&PLACES);
        let grams = seed.between(0, 40_000);
        let lot = &mut self.lots[at];
        let body = json!({"lot": lot.id, "place": place, "quantity": quantity(grams),
            "counted_at": "2026-06-10T09:30:00+02:00"});
        let counted = client.post("/v1/counts", &body)?.success()?;
        let variance = grams * GRAM - lot.at(place);
        ensure!(amount(&counted["variance"])? == exactly(variance), "{counted}");
        *lot.places.entry(place).or_default() += variance;
        lot.variance += variance;
        let movement = counted["movement"].as_str().context("a movement")?.to_owned();
        let kind = "count";
        self.undo.push(Undo { movement, lot: at, place, kind, micro: variance, to: None });
        self.did("count", 1);
        Ok(())
    }

    fn take_back(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(end) = u64::try_from(self.undo.len()).ok().filter(|&end| end > 0) else {
            return Ok(());
        };
        let undo = self.undo.swap_remove(usize::try_from(seed.below(end))?);
        let path = format!("/v1/movements/{}/correct", undo.movement);
        let mut body = json!({"reason": "it did not happen", "who": "Imre"});
        // What was taken was taken, but another amount: only what leaves can be said anew.
        let instead = match undo.kind {
            "waste" | "weigh" if seed.chance(50) => seed.between(1, 9_000) * GRAM,
            _ => 0,
        };
        if instead > 0 {
            body["instead"] = quantity(instead / GRAM);
        }
        client.post(&path, &body)?.success()?;
        // Nothing is taken back twice.
        ensure!(client.post(&path, &body)?.is_problem("cannot-correct")?);
        let lot = &mut self.lots[undo.lot];
        *lot.places.entry(undo.place).or_default() -= undo.micro + instead;
        match (undo.kind, undo.to) {
            ("move", Some(to)) => *lot.places.entry(to).or_default() += undo.micro,
            ("waste", _) => lot.wasted += undo.micro + instead,
            ("weigh", _) => lot.drawn += undo.micro + instead,
            _ => lot.variance -= undo.micro,
        }
        let entries = 1 + i64::from(undo.to.is_some()) + i64::from(instead > 0);
        self.did(if instead > 0 { "correct-instead" } else { "correct" }, entries);
        Ok(())
    }

    fn judge(
        &mut self,
        client: &Client,
        seed: &mut Seed,
        verdict: &'static str,
        on_hold: bool,
    ) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let lot = &mut self.lots[at];
        let path = format!("/v1/lots/{}/{verdict}", lot.id);
        client.post(&path, &json!({"reason": "the model says so"}))?.success()?;
        lot.on_hold = on_hold;
        self.did(verdict, 1);
        Ok(())
    }

    fn give_back(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let grams = seed.between(1, 5_000);
        let lot = &mut self.lots[at];
        // Enough must be left, so that the lot does not end here.
        if lot.all() <= grams * GRAM {
            return Ok(());
        }
        let path = format!("/v1/lots/{}/return", lot.id);
        let before = client.get(&format!("/v1/lots/{}", lot.id))?.success()?;
        let main = before["place"].as_str().unwrap_or_default();
        let place = PLACES.into_iter().find(|place| *place == main).context("a place")?;
        client.post(&path, &json!({"reason": "torn", "quantity": quantity(grams)}))?.success()?;
        *lot.places.entry(place).or_default() -= grams * GRAM;
        lot.returned += grams * GRAM;
        self.did("return", 1);
        Ok(())
    }

    /// The same request under the same key twice: it moves stock once.
    fn repeat(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let Some(at) = self.pick(seed) else { return Ok(()) };
        let lot = &mut self.lots[at];
        if lot.all() == GRAM {
            return Ok(());
        }
        let body = json!({"lot": lot.id, "place": "chiller", "quantity": quantity(1),
            "reason": "spilled"});
        let key = format!("again-{}", self.entries);
        let first = client.post_under("/v1/waste", &body, &key)?;
        first.success()?;
        let again = client.post_under("/v1/waste", &body, &key)?;
        ensure!(again.replayed && again.body == first.body, "invariant 8: {}", again.text());
        *lot.places.entry("chiller").or_default() -= GRAM;
        lot.wasted += GRAM;
        self.did("repeat", 1);
        Ok(())
    }

    /// Fails unless the service says of every lot what the model says.
    fn agrees(&self, client: &Client) -> Result<()> {
        for lot in &self.lots {
            let held = client.get(&format!("/v1/lots/{}", lot.id))?.success()?;
            ensure!(amount(&held["quantity"])? == exactly(lot.all()), "invariant 1: {held}");
            let places = held["places"].as_array().context("places")?;
            let mut sum = whole(0);
            for left in places {
                let place = left["place"].as_str().unwrap_or_default();
                let there = amount(&left["quantity"])?;
                ensure!(there == exactly(lot.at(place)), "invariant 4, {place}: {held}");
                sum += there;
            }
            ensure!(sum == exactly(lot.all()), "invariant 4: {held}");
            let state = lot.said();
            ensure!(held["state"] == state, "the model says {state}: {held}");
            let gone = lot.wasted + lot.returned + lot.drawn;
            ensure!(lot.all() == lot.came + lot.variance - gone, "invariant 5: {lot:?}");
        }
        self.stock_agrees(client)?;
        let checked = check(client)?;
        ensure!(checked["entries"] == self.entries, "invariant 3 and 8: {checked}");
        Ok(())
    }

    /// What is on hold is never on hand.
    fn stock_agrees(&self, client: &Client) -> Result<()> {
        let mut sums: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
        for lot in &self.lots {
            let (on_hand, on_hold) = sums.entry(lot.item).or_default();
            *(if lot.on_hold { on_hold } else { on_hand }) += lot.all();
        }
        let stock = client.get("/v1/stock")?.success()?;
        let rows = stock["rows"].as_array().context("rows")?;
        ensure!(rows.len() == sums.len(), "{stock}");
        for row in rows {
            let item = row["item"].as_str().unwrap_or_default();
            let (on_hand, on_hold) = sums.get(item).copied().context("an item of the model")?;
            let found: [BigRational; 2] = [amount(&row["on_hand"])?, amount(&row["on_hold"])?];
            ensure!(found == [exactly(on_hand), exactly(on_hold)], "invariant 2: {row}");
        }
        Ok(())
    }
}

fn run(server: &Server, seed: u64) -> Result<Model> {
    let mut random = Seed::new(seed);
    let mut model = Model::default();
    for command in 0..COMMANDS {
        let place = || format!("seed {seed}, command {command}");
        model.step(server.client(), &mut random).with_context(place)?;
        if command % 8 == 7 {
            model.agrees(server.client()).with_context(place)?;
        }
    }
    model.agrees(server.client()).with_context(|| format!("seed {seed}"))?;
    Ok(model)
}

#[test]
fn whatever_happens_the_service_agrees_with_the_model() -> Result<()> {
    let mut done: BTreeMap<&str, usize> = BTreeMap::new();
    for seed in 0..HISTORIES {
        let server = open()?;
        let model = run(&server, seed)?;
        for (what, times) in model.done {
            *done.entry(what).or_default() += times;
        }
    }
    // A command that never ran proves nothing.
    for (what, least) in [
        ("receive", 10),
        ("move", 10),
        ("waste", 10),
        ("count", 10),
        ("correct", 10),
        ("hold", 10),
        ("release", 10),
        ("return", 10),
        ("repeat", 10),
        ("correct-instead", 5),
        ("fill", 5),
        ("draw", 5),
        ("empty", 5),
        ("freeze", 5),
        ("second-freeze", 5),
        ("thaw", 5),
    ] {
        ensure!(done.get(what).copied().unwrap_or(0) >= least, "{what} ran too rarely: {done:?}");
    }
    Ok(())
}

#[test]
fn the_same_history_leads_to_the_same_books() -> Result<()> {
    // Invariant 7: replaying gives the same state; ids, and so hashes, are new each time.
    let books = |server: &Server| -> Result<Value> {
        run(server, 7)?;
        let mut entries = server.client().get("/v1/movements?limit=1000")?.success()?;
        let mut names: BTreeMap<String, usize> = BTreeMap::new();
        for row in entries["rows"].as_array_mut().context("rows")? {
            let lot = row["lot"].as_str().unwrap_or_default().to_owned();
            let number = names.len();
            let number = *names.entry(lot).or_insert(number);
            row["lot"] = json!(number);
            for key in ["id", "hash", "document", "reverses"] {
                row[key] = json!(row[key].is_null());
            }
        }
        Ok(entries)
    };
    let (first, second) = (books(&open()?)?, books(&open()?)?);
    ensure!(first == second, "two runs differ:\n{first}\n{second}");
    Ok(())
}
