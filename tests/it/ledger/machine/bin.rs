//! Bins: lots that are filled in stay together until the bin is emptied.

use super::{BIN, GRAM, Model, ModelLot, PLACES, Undo, exactly, quantity};
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use weighhouse_tests::{builders::Seed, client::Client, stockroom::amount};

impl Model {
    /// Some of a lot goes into the bin. One item only: nobody mixes flour and honey.
    pub(super) fn fill(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let fits = |lot: &ModelLot| lot.item == "rye" && lot.state != "frozen";
        let rye: Vec<usize> = (0..self.lots.len()).filter(|&at| fits(&self.lots[at])).collect();
        if rye.is_empty() {
            return Ok(());
        }
        let at = seed.pick(&rye);
        let from = seed.pick(&PLACES[..3]);
        let grams = seed.between(1, 9_000);
        let lot = &mut self.lots[at];
        let body = json!({"lot": lot.id, "from": from, "to": BIN, "quantity": quantity(grams)});
        client.post("/v1/moves", &body)?.success()?;
        *lot.places.entry(from).or_default() -= grams * GRAM;
        *lot.places.entry(BIN).or_default() += grams * GRAM;
        if !self.bin.contains(&at) {
            self.bin.push(at);
        }
        self.did("fill", 2);
        Ok(())
    }

    /// A draw takes of every lot in the bin, 0 included; the model works it out by itself.
    pub(super) fn draw(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        let grams = seed.between(1, 6_000);
        let body = json!({"quantity": quantity(grams), "who": "Imre"});
        let reply = client.post("/v1/bins/flour-bin/draws", &body)?;
        if self.bin.is_empty() {
            ensure!(reply.is_problem("out-of-range")?, "an empty bin: {}", reply.text());
            return Ok(());
        }
        let drawn = reply.success()?;
        let movements = drawn["movements"].as_array().cloned().context("movements")?;
        ensure!(movements.len() == self.bin.len(), "one entry for each lot: {drawn}");
        let there: Vec<i64> = self.bin.iter().map(|&at| self.lots[at].at(BIN).max(0)).collect();
        // Lots that lie there are listed by filling; in one moment, by their names.
        for ((at, micro), movement) in
            self.bin.clone().into_iter().zip(shares(&there, grams * GRAM)).zip(movements)
        {
            let lot = &mut self.lots[at];
            *lot.places.entry(BIN).or_default() -= micro;
            lot.drawn += micro;
            let movement = movement.as_str().context("a movement")?.to_owned();
            let (place, kind) = (BIN, "weigh");
            self.undo.push(Undo { movement, lot: at, place, kind, micro: -micro, to: None });
        }
        self.did("draw", i64::try_from(self.bin.len())?);
        self.bin_agrees(&drawn["bin"])
    }

    /// What the book still had in the bin was not there.
    pub(super) fn empty(&mut self, client: &Client, seed: &mut Seed) -> Result<()> {
        // A bin is emptied now and then only, or nothing would ever lie together.
        if seed.chance(30) {
            return Ok(());
        }
        let emptied = client.post("/v1/bins/flour-bin/emptied", &json!({"who": "Imre"}))?;
        let emptied = emptied.success()?;
        let mut entries = 0;
        for at in std::mem::take(&mut self.bin) {
            let lot = &mut self.lots[at];
            let there = lot.at(BIN);
            lot.variance -= there;
            lot.places.insert(BIN, 0);
            entries += 1 + i64::from(there != 0);
            if there != 0 {
                self.done.entry("empty").and_modify(|times| *times += 1).or_insert(1);
            }
        }
        self.entries += entries;
        self.bin_agrees(&emptied)
    }

    fn bin_agrees(&self, bin: &Value) -> Result<()> {
        let lots = bin["lots"].as_array().context("lots")?;
        ensure!(lots.len() == self.bin.len(), "{bin}");
        for (&at, found) in self.bin.iter().zip(lots) {
            let lot = &self.lots[at];
            ensure!(found["lot"]["id"] == lot.id.as_str(), "in order of filling: {bin}");
            ensure!(amount(&found["there"])? == exactly(lot.at(BIN)), "{bin}");
        }
        Ok(())
    }
}

/// An amount in proportion, each part cut down, and the rest one by one to those that were
/// cut most: the first of equals first.
///
/// # Source
/// The trade rules, part 2.5: largest remainder, ties by listed order.
fn shares(there: &[i64], micro: i64) -> Vec<i64> {
    let all: i128 = there.iter().map(|&one| i128::from(one)).sum();
    let mut shares: Vec<i64> = there
        .iter()
        .map(|&one| i64::try_from(i128::from(micro) * i128::from(one) / all.max(1)).unwrap_or(0))
        .collect();
    if all == 0 {
        shares[0] = micro;
    }
    let cut =
        |at: usize, given: i64| i128::from(micro) * i128::from(there[at]) - i128::from(given) * all;
    let mut given = vec![false; there.len()];
    while shares.iter().sum::<i64>() < micro {
        let open = (0..there.len()).filter(|&at| !given[at]);
        let Some(most) = open.max_by_key(|&at| (cut(at, shares[at]), std::cmp::Reverse(at))) else {
            return shares;
        };
        given[most] = true;
        shares[most] += 1;
    }
    shares
}
