//! How much the service adds to what the machine must do anyway, as ratios of one run.
//!
//! `cargo bench -p weighhouse-tests --bench load` prints them; nothing is asserted, for a busy
//! machine must not fail a build. Callers run on the same machine as the server.
//!
//! Posting orders of twenty lines is held against the same rows written by one connection of
//! the bare store, each order in a transaction of its own, as durable as the service writes
//! it. Reading the weigh-out of the demo day is held against a server of the same kind that
//! serves the same bytes from memory.

use actix_web::{App, HttpServer, web};
use anyhow::{Context, Result, anyhow};
use serde_json::{Value, json};
use std::{
    fs,
    net::TcpListener,
    path::PathBuf,
    sync::{
        Barrier,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
    time::{Duration, Instant},
};
use weighhouse::{
    config::Storage,
    store::{Store, StoreError, Tx, audit_entries, idempotency, orders, sites},
};
use weighhouse_tests::{client::Client, demo, server::Server};

/// Orders that are posted, and callers at once.
const ORDERS: usize = 400;
const CALLERS: usize = 16;
const LINES: usize = 20;
/// Sheets that are read, and callers at once.
const SHEETS: usize = 2_000;
const READERS: usize = 4;
const SHEET: &str = "/v1/work-dates/2026-06-11/weigh-out";

const PRODUCTS: [&str; 8] = [
    "country-large",
    "baguette-350",
    "seed-tin",
    "sugar-bun",
    "custard-bun",
    "croissant",
    "raisin-spiral",
    "almond-croissant",
];

fn order(number: usize) -> Value {
    let line = |line: usize| {
        let product = PRODUCTS[(number + line) % PRODUCTS.len()];
        json!({"line_ref": line.to_string(), "product": product, "quantity": 1 + line % 3})
    };
    json!({
        "order_ref": format!("load-{number}"), "version": 1, "customer": "counter",
        "service_date": "2026-06-17", "drop": "07:00",
        "lines": (0..LINES).map(line).collect::<Vec<_>>(),
    })
}

/// Lets callers do a number of things between them; the time of all of it.
fn together(
    callers: usize,
    count: usize,
    work: impl Fn(&Client, usize) -> Result<()> + Sync,
    base: &str,
) -> Result<Duration> {
    let (next, start) = (AtomicUsize::new(0), Barrier::new(callers + 1));
    thread::scope(|scope| {
        let caller = || -> Result<()> {
            let client = Client::new(base);
            client.get("/healthz")?;
            start.wait();
            loop {
                let number = next.fetch_add(1, Ordering::Relaxed);
                if number >= count {
                    return Ok(());
                }
                work(&client, number)?;
            }
        };
        let threads: Vec<_> = (0..callers).map(|_| scope.spawn(caller)).collect();
        start.wait();
        let began = Instant::now();
        for thread in threads {
            thread.join().map_err(|_| anyhow!("a caller died"))??;
        }
        Ok(began.elapsed())
    })
}

/// All rows that one order left.
struct Rows {
    order: orders::OrderRow,
    version: orders::OrderVersionRow,
    lines: Vec<orders::OrderLineRow>,
    answer: idempotency::AnswerRow,
    audit: audit_entries::AuditRow,
}

fn rows(tx: &mut Tx, audit: &audit_entries::AuditRow, number: usize) -> Result<Rows, StoreError> {
    let name = format!("load-{number}");
    let gone = || StoreError::Corrupt("order of the run");
    Ok(Rows {
        order: orders::find(tx, "main", &name)?.ok_or_else(gone)?,
        version: orders::version(tx, "main", &name, 1)?.ok_or_else(gone)?,
        lines: orders::lines(tx, "main", &name)?,
        answer: idempotency::find(tx, "main", &name)?.ok_or_else(gone)?,
        audit: audit_entries::AuditRow { id: format!("{}-{number}", audit.id), ..audit.clone() },
    })
}

/// The same rows in a database of their own, one transaction an order, by one connection.
fn bare(storage: &Storage, written: &[Rows]) -> Result<Duration> {
    let store = Store::open(storage)?;
    let at = demo::NOW.parse()?;
    let began = Instant::now();
    for rows in written {
        store.write(|tx| -> Result<(), StoreError> {
            let change = sites::Change { at, cause: &rows.order.order_ref, bakery_changed: false };
            sites::bump(tx, "main", change)?;
            orders::hold(tx, &rows.order)?;
            orders::add_version(tx, &rows.version, &rows.lines)?;
            idempotency::insert(tx, &rows.answer)?;
            audit_entries::insert(tx, &rows.audit)
        })?;
    }
    Ok(began.elapsed())
}

fn posting() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let post = |client: &Client, number: usize| {
        client
            .post_under("/v1/orders", &order(number), &format!("load-{number}"))?
            .success()
            .map(drop)
    };
    let served = together(CALLERS, ORDERS, post, server.client().base())?;
    let store = Store::open(&Storage::Embedded(server.folder().to_owned()))?;
    let written = store.read(|tx| {
        let audit = audit_entries::list(tx, "main", None, 1)?.pop();
        let audit = audit.ok_or(StoreError::Corrupt("audit of the run"))?;
        (0..ORDERS).map(|number| rows(tx, &audit, number)).collect::<Result<Vec<_>, StoreError>>()
    })?;
    let folder = folder("bare")?;
    let bare = bare(&Storage::Embedded(folder.clone()), &written)?;
    fs::remove_dir_all(folder)?;
    say(&format!("{ORDERS} orders of {LINES} lines, {CALLERS} callers"), served, bare, ORDERS)
}

fn folder(name: &str) -> Result<PathBuf> {
    let folder = std::env::temp_dir().join(format!("weighhouse-{name}-{}", std::process::id()));
    fs::create_dir_all(&folder)?;
    Ok(folder)
}

/// A server that gives these bytes to whoever asks; where it listens.
fn memory(bytes: Vec<u8>) -> Result<String> {
    let listener = TcpListener::bind("127.0.0.1:0")?;
    let address = listener.local_addr()?;
    let bytes = web::Bytes::from(bytes);
    thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            let server = HttpServer::new(move || {
                let bytes = bytes.clone();
                let give = move || {
                    let bytes = bytes.clone();
                    async move { bytes }
                };
                App::new().default_service(web::to(give))
            });
            server.workers(4).listen(listener)?.run().await
        })
    });
    Ok(format!("http://{address}"))
}

fn reading() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let bytes = server.client().get(SHEET)?.body;
    let memory = memory(bytes.clone())?;
    let get = |client: &Client, _: usize| {
        let reply = client.get(SHEET)?;
        (reply.body.len() == bytes.len()).then_some(()).context("another sheet")
    };
    let served = together(READERS, SHEETS, get, server.client().base())?;
    let bare = together(READERS, SHEETS, get, &memory)?;
    say(&format!("{SHEETS} weigh-outs of {} bytes", bytes.len()), served, bare, SHEETS)
}

#[expect(clippy::print_stdout, reason = "a benchmark's answer is what it prints")]
fn say(what: &str, served: Duration, bare: Duration, count: usize) -> Result<()> {
    let rate = |time: Duration| count as u128 * 1_000_000 / time.as_micros().max(1);
    let percent = bare.as_nanos() * 100 / served.as_nanos().max(1);
    println!("{what}: served {}/s, bare {}/s: {percent} %", rate(served), rate(bare));
    Ok(())
}

fn main() -> Result<()> {
    for _ in 0..3 {
        posting()?;
    }
    for _ in 0..3 {
        reading()?;
    }
    Ok(())
}
