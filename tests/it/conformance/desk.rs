//! The ordering desk: shortages, proposals, cutoffs, projections, fair shares.

use super::tally::{Tally, amount};
use anyhow::{Context, Result};
use num_traits::Zero;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use weighhouse_tests::{
    client::Client,
    row::Row,
    scenario::{Horizon, Scenario},
};

/// What the desk of one horizon is asked.
pub struct Desk<'a> {
    /// The server that holds it.
    pub client: &'a Client,
    /// Its scenario.
    pub scenario: &'a Scenario,
    /// The horizon.
    pub horizon: &'a Horizon,
}

impl Desk<'_> {
    fn until(&self) -> Result<&str> {
        self.horizon.service_dates.last().map(String::as_str).context("a horizon without date")
    }

    fn get(&self, path: &str) -> Result<Value> {
        self.client.get(path)?.success().with_context(|| path.to_owned())
    }

    fn code(&self, name: &str) -> Result<&str> {
        self.scenario.codes.known(name)
    }

    /// Compares what runs short, and what does not.
    ///
    /// # Errors
    /// The expected file or an answer cannot be read.
    pub fn shortages(&self, expected: &Value, tally: &mut Tally) -> Result<()> {
        let answer = self.client.shortages(self.until()?)?;
        let found = short_lines(&answer);
        let mut seen = BTreeSet::new();
        for value in expected.as_array().context("shortages")? {
            let mut row = Row::new(value, "a shortage")?;
            let name = row.need_text("item")?;
            let code = self.code(name)?;
            seen.insert(code);
            match found.iter().find(|line| line["item"] == code) {
                Some(line) => self.shortage(row, line, tally)?,
                None => tally.missing("shortages", name, "expected"),
            }
        }
        for line in &found {
            let code = line["item"].as_str().unwrap_or_default();
            let short = !amount(&line["short_exact"], "short")?.is_zero();
            if short && !seen.contains(code) {
                tally.missing("shortages", self.scenario.codes.name(code), "found");
            }
        }
        Ok(())
    }

    fn shortage(&self, mut row: Row, line: &Value, tally: &mut Tally) -> Result<()> {
        let name = row.need_text("item")?;
        let place = |key: &str| format!("{name} {key}");
        let section = "shortages";
        let runs_out = &line["runs_out"];
        tally.instant(section, &place("runs out"), row.need("runs_out_at")?, &runs_out["at"]);
        let step = row.need_text("step")?;
        let (used_in, date) = step.rsplit_once(" for ").context("a step `thing for date`")?;
        tally.same(section, &place("step"), &json!(self.code(used_in)?), &runs_out["for"]);
        tally.same(section, &place("date"), &json!(date), &runs_out["service_date"]);
        for (key, found) in [
            ("short_at_that_step", &runs_out["short"]),
            ("short_by", &line["short_exact"]),
            ("short_by_printed", &line["short_by"]),
            ("days_of_cover", &line["days_of_cover"]),
        ] {
            tally.number(section, &place(key), row.need(key)?, found);
        }
        let latest = &line["latest"];
        match row.get("latest_moment_to_order") {
            Some(moment) => {
                tally.instant(section, &place("latest moment"), moment, &latest["cutoff"]);
            }
            None => tally.same(section, &place("latest moment"), &Value::Null, latest),
        }
        let gone = latest["gone"].as_bool().unwrap_or(true);
        let state = json!(if gone { "cutoff gone" } else { "order" });
        tally.same(section, &place("state"), row.need("state")?, &state);
        let ring = json!(latest["ring_now"].as_bool().unwrap_or(false));
        tally.same(section, &place("ring now"), row.need("ring_now")?, &ring);
        if let Some(supplier) = row.text("supplier")? {
            let expected = json!(self.code(supplier)?);
            tally.same(section, &place("supplier"), &expected, &line["supplier"]);
        }
        self.hits(name, row.list("orders_hit")?, line, tally)?;
        self.levers(name, row.list("levers")?, line, tally)?;
        row.finish()
    }

    fn hits(&self, name: &str, expected: &[Value], line: &Value, tally: &mut Tally) -> Result<()> {
        let mut wanted = BTreeSet::new();
        for value in expected {
            let mut row = Row::new(value, "an order that is hit")?;
            let product = self.code(row.need_text("product")?)?.to_owned();
            let date = row.need_text("service_date")?.to_owned();
            for (customer, pieces) in row.table("by_customer")? {
                if !amount(pieces, customer)?.is_zero() {
                    let customer = self.code(customer)?.to_owned();
                    wanted.insert((date.clone(), product.clone(), customer));
                }
            }
            row.finish()?;
        }
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let mut found = BTreeSet::new();
        for hit in line["hits"].as_array().into_iter().flatten() {
            for customer in hit["customers"].as_array().into_iter().flatten() {
                found.insert((text(&hit["service_date"]), text(&hit["product"]), text(customer)));
            }
        }
        for one in wanted.union(&found) {
            tally.figure("shortages", wanted.contains(one) && found.contains(one), || {
                let side = if wanted.contains(one) { "expected" } else { "found" };
                format!("{name} hits {one:?}: only {side}")
            });
        }
        Ok(())
    }

    fn levers(
        &self,
        name: &str,
        expected: &[Value],
        line: &Value,
        tally: &mut Tally,
    ) -> Result<()> {
        let levers = line["levers"].as_array().map_or(&[][..], Vec::as_slice);
        tally.figure("shortages", levers.len() == expected.len(), || {
            format!("{name}: expected {} levers, found {}", expected.len(), json!(levers))
        });
        for (value, found) in expected.iter().zip(levers) {
            let mut row = Row::new(value, format!("a lever of {name}"))?;
            match row.need_text("lever")? {
                "substitute" => self.substitute(row, found, tally)?,
                "quality can release lot" => {
                    let place = format!("{name} held lot");
                    tally.same("shortages", &place, &json!("release-held-lot"), &found["lever"]);
                    tally.same("shortages", &place, row.need("lot")?, &found["lot"]);
                    tally.number("shortages", &place, row.need("quantity")?, &found["frees"]);
                    row.finish()?;
                }
                other => tally.fault(format!("unknown lever `{other}`: nothing compares it")),
            }
        }
        Ok(())
    }

    fn substitute(&self, mut row: Row, found: &Value, tally: &mut Tally) -> Result<()> {
        let place = row.place().to_owned();
        let section = "shortages";
        tally.same(section, &place, &json!("substitute"), &found["lever"]);
        let uses = found["uses"].as_array().map_or(&[][..], Vec::as_slice);
        for (value, found) in row.list("use")?.iter().zip(uses) {
            let mut part = Row::new(value, format!("{place} use"))?;
            let code = json!(self.code(part.need_text("item")?)?);
            tally.same(section, &place, &code, &found["item"]);
            tally.number(section, &place, part.need("quantity")?, &found["quantity"]);
            match part.get("spare") {
                Some(spare) => tally.number(section, &place, spare, &found["spare"]),
                None => tally.same(section, &place, &Value::Null, &found["spare"]),
            }
            part.finish()?;
        }
        tally.number(section, &place, row.need("covers")?, &found["frees"]);
        tally.number(section, &place, row.need("of_short")?, &found["of_short"]);
        for (key, name) in [
            ("adds_allergens", "adds_contains"),
            ("adds_may_contain", "adds_may_contain"),
            ("label_change", "label_change"),
            ("needs_sign_off", "needs_sign_off"),
            ("enough", "enough"),
        ] {
            tally.same(section, &format!("{place} {key}"), row.need(key)?, &found[name]);
        }
        row.finish()
    }

    /// Compares what is covered.
    ///
    /// # Errors
    /// The expected file or an answer cannot be read.
    pub fn covered(&self, expected: &Value, tally: &mut Tally) -> Result<()> {
        let answer = self.client.shortages(self.until()?)?;
        let lines = all_lines(&answer);
        for value in expected.as_array().context("no_shortage")? {
            let mut row = Row::new(value, "a covered item")?;
            let name = row.need_text("item")?;
            let code = self.code(name)?;
            let Some(line) = lines.iter().find(|line| line["item"] == code) else {
                tally.missing("no_shortage", name, "expected");
                continue;
            };
            for key in ["needed", "left"] {
                tally.number("no_shortage", &format!("{name} {key}"), row.need(key)?, &line[key]);
            }
            row.finish()?;
        }
        Ok(())
    }

    /// Compares deliveries and their cutoffs.
    ///
    /// # Errors
    /// The expected file or an answer cannot be read.
    pub fn cutoffs(&self, expected: &Value, tally: &mut Tally) -> Result<()> {
        let table = expected.as_object().context("cutoffs")?;
        let texts = |key: &'static str| {
            let rows = table.values().flat_map(|rows| rows.as_array().into_iter().flatten());
            rows.filter_map(move |row| row[key].as_str()?.parse::<jiff::Timestamp>().ok())
        };
        // The period that the expected file looks at, over all suppliers.
        let (Some(first), Some(last)) = (texts("cutoff").min(), texts("arrives_by").max()) else {
            return Ok(());
        };
        let day = |at: jiff::Timestamp| jiff::tz::TimeZone::UTC.to_datetime(at).date();
        for (name, rows) in table {
            let path = format!(
                "/v1/suppliers/{}/deliveries?from={}&until={}",
                self.code(name)?,
                day(first).yesterday()?,
                day(last).tomorrow()?
            );
            let answer = self.get(&path)?;
            let key = |row: &Value, arrives: &str| {
                let text = |key: &str| row[key].as_str().unwrap_or_default().to_owned();
                (text("cutoff"), text(arrives), row["ask_supplier"] == true)
            };
            let wanted: BTreeSet<_> =
                rows.as_array().into_iter().flatten().map(|row| key(row, "arrives_by")).collect();
            let within = |(cutoff, arrives, _): &(String, String, bool)| {
                let at = |text: &str| text.parse::<jiff::Timestamp>().ok();
                at(cutoff) >= Some(first) && at(arrives) <= Some(last)
            };
            let found: BTreeSet<_> = answer["deliveries"]
                .as_array()
                .into_iter()
                .flatten()
                .map(|row| key(row, "arrives"))
                .filter(within)
                .collect();
            for one in wanted.union(&found) {
                tally.figure("cutoffs", wanted.contains(one) && found.contains(one), || {
                    let side = if wanted.contains(one) { "expected" } else { "found" };
                    format!("{name} {one:?}: only {side}")
                });
            }
        }
        Ok(())
    }

    /// Compares what is proposed to order.
    ///
    /// # Errors
    /// The expected file or an answer cannot be read.
    pub fn proposals(&self, expected: &Value, tally: &mut Tally) -> Result<()> {
        let answer = self.get(&format!("/v1/order-proposals?until={}", self.until()?))?;
        let found = answer["proposals"].as_array().map_or(&[][..], Vec::as_slice);
        let expected = expected.as_array().context("suggested_orders")?;
        tally.figure("suggested_orders", found.len() == expected.len(), || {
            let name = |row: &Value| format!("{} {}", row["supplier"], row["cutoff"]);
            let names = |rows: &[Value]| rows.iter().map(name).collect::<Vec<_>>().join(", ");
            format!("expected {}; found {}", names(expected), names(found))
        });
        for value in expected {
            let mut row = Row::new(value, "a suggested order")?;
            let (supplier, cutoff) = (row.need_text("supplier")?, row.need_text("cutoff")?);
            let code = self.code(supplier)?;
            let place = format!("{supplier} by {cutoff}");
            let same = |one: &&Value| one["supplier"] == code && one["cutoff"] == cutoff;
            match found.iter().find(same) {
                Some(one) => self.proposal(&place, row, one, tally)?,
                None => tally.missing("suggested_orders", &place, "expected"),
            }
        }
        Ok(())
    }

    fn proposal(&self, place: &str, mut row: Row, found: &Value, tally: &mut Tally) -> Result<()> {
        let section = "suggested_orders";
        tally.instant(section, place, row.need("arrives")?, &found["arrives"]);
        for (basket, key) in [("alone", "alone"), ("filled", "filled")] {
            let Some(value) = row.get(basket) else { continue };
            let mut inner = Row::new(value, format!("{place} {basket}"))?;
            for (name, field) in [("goods_minor", "goods"), ("total_to_end_minor", "total_to_end")]
            {
                if let Some(minor) = inner.get(name) {
                    let found = &found[key][field]["minor_units"];
                    tally.same(section, &format!("{place} {basket} {field}"), minor, found);
                }
            }
            if let Some(reaches) = inner.get("reaches_minimum") {
                let goods = found["filled"]["goods"]["minor_units"].as_i64();
                let reached = goods >= found["minimum_order"]["minor_units"].as_i64();
                tally.same(section, &format!("{place} reaches"), reaches, &json!(reached));
            }
            inner.finish()?;
        }
        for (name, field) in [
            ("minimum_minor", "minimum_order"),
            ("gap_minor", "gap"),
            ("carriage_minor", "carriage"),
            ("goods_minor", "order_value"),
            ("saves_minor", "saves"),
        ] {
            if let Some(minor) = row.get(name) {
                let found = &found[field]["minor_units"];
                tally.same(section, &format!("{place} {field}"), minor, found);
            }
        }
        let choice = row.need_text("choice")?.replace(' ', "-");
        tally.same(section, &format!("{place} choice"), &json!(choice), &found["choice"]);
        let lines = row.list("lines")?;
        let found_lines = found["lines"].as_array().map_or(&[][..], Vec::as_slice);
        tally.figure(section, lines.len() == found_lines.len(), || {
            format!("{place}: expected {} lines, found {}", lines.len(), json!(found_lines))
        });
        for (value, found) in lines.iter().zip(found_lines) {
            self.proposal_line(place, value, found, tally)?;
        }
        let up = row.list("go_up_to_break")?;
        tally.not_due("a larger order for its break", &json!(up));
        row.finish()
    }

    fn proposal_line(
        &self,
        place: &str,
        value: &Value,
        found: &Value,
        tally: &mut Tally,
    ) -> Result<()> {
        let section = "suggested_orders";
        let mut row = Row::new(value, format!("a line of {place}"))?;
        let name = row.need_text("item")?;
        let place = format!("{place} {name}");
        tally.same(section, &place, &json!(self.code(name)?), &found["item"]);
        tally.same(section, &format!("{place} class"), row.need("class")?, &found["pressing"]);
        for (key, field) in [
            ("needs", "needs"),
            ("safety", "safety_stock"),
            ("usable_at_arrival", "usable_at_arrival"),
            ("spoils", "spoils"),
            ("qty", "wanted"),
            ("in_packs", "in_packs"),
            ("price_per_pack_minor", "pack_price_minor_units"),
        ] {
            tally.number(section, &format!("{place} {key}"), row.need(key)?, &found[field]);
        }
        for key in ["packs", "forward"] {
            tally.same(section, &format!("{place} {key}"), row.need(key)?, &found[key]);
        }
        let cost = &found["line_cost"]["minor_units"];
        tally.same(section, &format!("{place} cost"), row.need("line_minor")?, cost);
        row.finish()
    }

    /// Compares projected balances with proposed orders on their way.
    ///
    /// # Errors
    /// The expected file or an answer cannot be read.
    pub fn projections(&self, expected: &Value, tally: &mut Tally) -> Result<()> {
        for (name, value) in expected.as_object().context("projection_with_orders")? {
            let path = format!(
                "/v1/items/{}/projection?with_proposals=true&until={}",
                self.code(name)?,
                self.until()?
            );
            self.projection(name, value, &self.get(&path)?, tally)?;
        }
        Ok(())
    }

    fn projection(
        &self,
        name: &str,
        expected: &Value,
        found: &Value,
        tally: &mut Tally,
    ) -> Result<()> {
        let section = "projection_with_orders";
        let mut row = Row::new(expected, name)?;
        let (rows, expired) = (row.list("rows")?, row.list("expired")?);
        row.finish()?;
        let found_rows = found["rows"].as_array().map_or(&[][..], Vec::as_slice);
        tally.figure(section, rows.len() == found_rows.len(), || {
            format!("{name}: expected {} needs, found {}", rows.len(), found_rows.len())
        });
        for (value, found) in rows.iter().zip(found_rows) {
            let mut row = Row::new(value, format!("a need of {name}"))?;
            let place = format!("{name} at {}", row.need_text("t")?);
            tally.instant(section, &place, row.need("t")?, &found["at"]);
            let load = row.need_text("load")?;
            let (used_in, date) = load.rsplit_once(" for ").context("a load `thing for date`")?;
            tally.same(section, &place, &json!(self.code(used_in)?), &found["for"]);
            tally.same(section, &place, &json!(date), &found["service_date"]);
            for (key, field) in [("qty", "amount"), ("unmet", "unmet"), ("balance", "balance")] {
                tally.number(section, &format!("{place} {key}"), row.need(key)?, &found[field]);
            }
            let from = row.list("from")?;
            let drawn = found["from"].as_array().map_or(&[][..], Vec::as_slice);
            tally.figure(section, from.len() == drawn.len(), || {
                format!("{place}: expected from {}, found {}", json!(from), json!(drawn))
            });
            for (value, found) in from.iter().zip(drawn) {
                let lot = self.lot(value[0].as_str().unwrap_or_default())?;
                tally.same(section, &place, &json!(lot), &found["lot"]);
                tally.number(section, &place, &value[1], &found["amount"]);
            }
            row.finish()?;
        }
        let found = found["expired"].as_array().map_or(&[][..], Vec::as_slice);
        tally.figure(section, expired.len() == found.len(), || {
            format!("{name}: expected {} to expire, found {}", json!(expired), json!(found))
        });
        // What goes out of date has no order among itself.
        let mut found: Vec<&Value> = found.iter().collect();
        for value in expired {
            let mut row = Row::new(value, format!("what expires of {name}"))?;
            let lot = self.lot(row.need_text("lot")?)?;
            let wanted = amount(row.need("qty")?, name)?;
            let at = row.need_text("at")?;
            row.finish()?;
            let same = |one: &&Value| {
                let micro = amount(&one["amount"], name).ok();
                one["lot"] == lot && one["at"] == at && micro.as_ref() == Some(&wanted)
            };
            let place = found.iter().position(same);
            tally.figure(section, place.is_some(), || format!("{name}: only expected {value}"));
            if let Some(place) = place {
                found.remove(place);
            }
        }
        Ok(())
    }

    /// A lot's name on the wire; a proposed order is called by its supplier's code.
    fn lot(&self, name: &str) -> Result<String> {
        match name.strip_prefix("order ").and_then(|rest| rest.rsplit_once(' ')) {
            Some((supplier, date)) => Ok(format!("order {} {date}", self.code(supplier)?)),
            None => Ok(name.to_owned()),
        }
    }

    /// Compares fair shares.
    ///
    /// # Errors
    /// The expected file or an answer cannot be read.
    pub fn fair_shares(&self, expected: &Value, tally: &mut Tally) -> Result<()> {
        for value in expected.as_array().context("fair_share")? {
            let mut row = Row::new(value, "a fair share")?;
            let name = row.need_text("product")?;
            let question = json!({
                "product": self.code(name)?,
                "service_date": row.need_text("service_date")?,
                "available": row.need("available")?,
            });
            let answer = self.client.post("/v1/fair-share", &question)?.success()?;
            let shares = answer["shares"].as_array().map_or(&[][..], Vec::as_slice);
            for (customer, pieces) in row.table("shares")? {
                let code = self.code(customer)?;
                let found = shares.iter().find(|share| share["customer"] == code);
                let found = found.map_or(&Value::Null, |share| &share["share"]);
                let place = format!("{name} for {customer}");
                tally.number("fair_share", &place, pieces, found);
            }
            row.finish()?;
        }
        Ok(())
    }
}

/// Lines that run short or top up.
fn short_lines(answer: &Value) -> Vec<&Value> {
    let groups = answer["groups"].as_array().into_iter().flatten();
    groups.flat_map(|group| group["lines"].as_array().into_iter().flatten()).collect()
}

fn all_lines(answer: &Value) -> Vec<&Value> {
    let mut lines = short_lines(answer);
    lines.extend(answer["covered"].as_array().into_iter().flatten());
    lines
}
