//! The demo day: from its documents to the plan, as ratios of one run.
//!
//! `cargo bench -p weighhouse-tests` prints them; nothing is asserted, for a busy
//! machine must not fail a build. The large chain has its own benchmark in `domain`.

use anyhow::{Context, Result, anyhow};
use domain::{
    bakery::Bakery,
    book::Book,
    expand::{expand, make_up},
    id::Code,
    lot::{Lot, LotState, LotUse},
    order::{OrderLine, Wanted},
    plan::{Plan, PlanInput, levers, plan, shortages, supplier_orders},
    quantity::Quantity,
};
use jiff::{Timestamp, civil::Date};
use serde_json::Value;
use std::{
    hint::black_box,
    time::{Duration, Instant},
};
use weighhouse::document::BakeryBody;
use weighhouse_tests::{
    demo::{self, document, list},
    figures::{print, row},
};

/// Runs of each measurement; the fastest counts, as the one least disturbed.
const RUNS: usize = 50;

fn fastest<T>(mut work: impl FnMut() -> Result<T>) -> Result<Duration> {
    let mut best = Duration::MAX;
    for _ in 0..RUNS {
        let start = Instant::now();
        black_box(work()?);
        best = best.min(start.elapsed());
    }
    Ok(best)
}

fn text<'a>(value: &'a Value, key: &str) -> Result<&'a str> {
    value[key].as_str().with_context(|| format!("no text `{key}` in {value}"))
}

fn read_orders(document: &Value) -> Result<Vec<OrderLine>> {
    let mut rows = Vec::new();
    for order in list(document, "orders")? {
        for line in list(&order, "lines")? {
            rows.push(OrderLine {
                customer: Code::parse(text(&order, "customer")?)?,
                service_date: text(&order, "service_date")?.parse()?,
                product: Code::parse(text(&line, "product")?)?,
                pieces: line["quantity"].as_i64().context("a whole quantity")?,
                drop: order["drop"].as_str().map(str::parse).transpose()?,
                taken_at: None,
                wanted: Wanted::Ordered,
            });
        }
    }
    Ok(rows)
}

fn lot(receipt: &Value) -> Result<Lot> {
    let date = |key: &str| receipt[key].as_str().map(str::parse::<Date>).transpose();
    let instant = |key: &str| receipt[key].as_str().map(str::parse::<Timestamp>).transpose();
    let quantity = &receipt["quantity"];
    let quantity = Quantity::parse(text(quantity, "amount")?, text(quantity, "unit")?)?;
    let ingredient = receipt["use"].as_str() == Some("ingredient");
    Ok(Lot {
        id: String::new(),
        name: text(receipt, "lot")?.to_owned(),
        item: Code::parse(text(receipt, "item")?)?,
        balance_micro: quantity.micro(),
        state: LotState::Released,
        usage: if ingredient { LotUse::Ingredient } else { LotUse::Any },
        received: text(receipt, "received")?.parse()?,
        date: date("use_by")?.or(date("best_before")?),
        usable_until: instant("usable_until")?,
        arrives: instant("arrives")?,
        baked: date("baked")?,
        made_at: None,
        date_is_use_by: false,
        thaw_started: None,
        opened: None,
        place: None,
    })
}

/// Most of its exact needs: one date, nothing rounded.
fn expand_first(bakery: &Bakery, planned: &Plan) -> Result<()> {
    let date = *planned.dates.first().context("a service date")?;
    let recipes = bakery.recipes(date);
    let started: Vec<_> = planned
        .demand
        .pieces
        .iter()
        .filter(|line| line.service_date == date)
        .map(|line| (line.product, line.start, line.trays))
        .collect();
    black_box(expand(bakery, recipes, make_up(bakery, recipes, &started)));
    Ok(())
}

/// All that the shortage sheet says: plan, lines, levers and orders to send.
fn shortage_sheet(bakery: &Bakery, book: &Book, input: PlanInput) -> Result<()> {
    let planned = plan(bakery, book, input)?;
    for line in shortages(bakery, book, &planned, input.now)? {
        black_box(levers(bakery, book, &planned, &line, input.now)?);
    }
    black_box(supplier_orders(bakery, book, &planned, input.now)?);
    Ok(())
}

/// All that it is made from, out of the text of its documents.
fn read_inputs(texts: &[String; 3]) -> Result<()> {
    let [bakery, stock, orders] = texts;
    let body: BakeryBody = serde_json::from_str(bakery)?;
    black_box(body.compile().map_err(|faults| anyhow!("{faults:?}"))?);
    let lots: Result<Vec<Lot>> =
        list(&serde_json::from_str(stock)?, "receipts")?.iter().map(lot).collect();
    black_box((lots?, read_orders(&serde_json::from_str(orders)?)?));
    Ok(())
}

fn main() -> Result<()> {
    let body: BakeryBody = serde_json::from_value(document("bakery")?)?;
    let compiled = || body.compile().map_err(|faults| anyhow!("{faults:?}"));
    let bakery = compiled()?;
    let [first, last] = demo::SERVICE_DATES;
    let service_dates = vec![first.parse()?, last.parse()?];
    let lots = list(&document("stock")?, "receipts")?.iter().map(lot).collect::<Result<_>>()?;
    let book =
        Book { orders: read_orders(&document("orders")?)?, service_dates, lots, ..Book::default() };
    let input = PlanInput { now: demo::NOW.parse()?, until: last.parse()? };
    let planned = plan(&bakery, &book, input)?;
    print(&format!(
        "{} order lines, {} batches, {} needs",
        book.orders.len(),
        planned.batches.len(),
        planned.needs.len()
    ));
    let whole = fastest(|| Ok(plan(&bakery, &book, input)?))?;
    row("whole plan", whole, whole);
    row("exact expansion of the first date", fastest(|| expand_first(&bakery, &planned))?, whole);
    row("reading and compiling the bakery document", fastest(compiled)?, whole);
    let texts =
        ["bakery", "stock", "orders"].map(|name| document(name).map(|text| text.to_string()));
    let [bakery_text, stock, orders] = texts;
    let texts = [bakery_text?, stock?, orders?];
    let read = fastest(|| read_inputs(&texts))?;
    print("the shortage sheet against reading its inputs:");
    row("reading bakery, stock and orders from text", read, read);
    row("shortage sheet re-made", fastest(|| shortage_sheet(&bakery, &book, input))?, read);
    Ok(())
}
