//! Copies of the database: made while others write, proved, and put into either database.

use super::order;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};
use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
    sync::atomic::{AtomicBool, AtomicU32, Ordering},
    thread,
};
use weighhouse_tests::{client::Client, demo, postgres::Postgres, server::Server, stockroom};

/// The words of a command that a child process runs, a line each.
const CHILD: &str = "WEIGHHOUSE_COMMAND";

#[expect(clippy::disallowed_methods, reason = "a child process is told what to do by it")]
fn told() -> Option<String> {
    std::env::var(CHILD).ok()
}

/// What a child process does; in the process of the tests it does nothing.
#[test]
fn the_command_that_is_run() -> Result<()> {
    let Some(words) = told() else { return Ok(()) };
    let words: Vec<&str> = words.lines().collect();
    weighhouse::command::run_words(&words).map_err(anyhow::Error::msg)
}

/// Runs a command on the database of an address, or on a folder that it names itself; returns
/// whether it did its work and what it said.
fn command(database: Option<&Postgres>, words: &[&str]) -> Result<(bool, String)> {
    let mut child = Command::new(std::env::current_exe()?);
    child.args(["--exact", "running::backup::the_command_that_is_run", "--nocapture"]);
    child.env(CHILD, [&["weighhouse"], words].concat().join("\n"));
    match database {
        Some(database) => child.env("DATABASE_URL", database.url()),
        None => child.env_remove("DATABASE_URL"),
    };
    let output = child.output()?;
    let text = [output.stdout, output.stderr].concat();
    Ok((output.status.success(), String::from_utf8_lossy(&text).into_owned()))
}

fn done(database: Option<&Postgres>, words: &[&str]) -> Result<String> {
    let (done, said) = command(database, words)?;
    ensure!(done, "{words:?}: {said}");
    Ok(said)
}

/// A folder of its own that goes when it is dropped.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Result<Self> {
        static MADE: AtomicU32 = AtomicU32::new(0);
        let number = MADE.fetch_add(1, Ordering::Relaxed);
        let name = format!("weighhouse-backup-{}-{number}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        fs::create_dir_all(&folder)?;
        Ok(Self(folder))
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A morning's worth of everything, so that most tables have rows.
fn fill(client: &Client) -> Result<()> {
    for receipt in demo::list(&demo::document("stock")?, "receipts")? {
        client.post_receipt(&receipt)?.success()?;
    }
    for order in demo::list(&demo::document("orders")?, "orders")? {
        client.post_order(&order)?.success()?;
    }
    client.post_under("/v1/orders", &order("kept"), "kept")?.success()?;
    // Text that every format has a way to write wrongly.
    let who = json!({"who": "Zoë \"O'Neil\" \\ 食 \u{1f35e} {}[],;"});
    client.post("/v1/loads/2026-06-12:bun:1/release", &who)?.success()?;
    client.weigh_out("2026-06-11").map(drop)
}

/// What a shop says of itself.
fn says(client: &Client) -> Result<Vec<Value>> {
    let mut said = Vec::new();
    for path in [
        "/v1/bakery",
        "/v1/orders?limit=1000",
        "/v1/lots?limit=1000",
        "/v1/movements?limit=1000",
        "/v1/loads?work_date=2026-06-11",
        "/v1/work-dates/2026-06-11/weigh-out",
        "/v1/ledger/check",
        "/v1/audit?limit=1000",
        "/v1/revisions",
    ] {
        said.push(client.get(path)?.json().context(path)?);
    }
    // A retry of before the copy is a retry after it.
    let again = client.post_under("/v1/orders", &order("kept"), "kept")?;
    ensure!(again.replayed, "the answers were not kept: {}", again.text());
    said.push(again.json()?);
    Ok(said)
}

fn same(one: &[Value], other: &[Value]) -> Result<()> {
    ensure!(one.len() == other.len(), "{} answers and {}", one.len(), other.len());
    for (one, other) in one.iter().zip(other) {
        ensure!(one == other, "{one}\n{other}");
    }
    Ok(())
}

/// A server on a folder that outlives it.
fn serve(folder: &Path) -> Result<Server> {
    Server::start_in(folder.to_owned(), demo::NOW.parse()?)
}

#[test]
fn a_copy_goes_from_either_database_into_either() -> Result<()> {
    let folder = Folder::new()?;
    let (first, second) = (folder.path("first.sqlite"), folder.path("second.sqlite"));
    let server = serve(&folder.0.join("data"))?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    fill(server.client())?;
    let before = says(server.client())?;
    // While the server runs.
    let said = done(None, &["backup", &first, "--data", &folder.path("data")])?;
    ensure!(said.contains("all proved"), "{said}");
    // Embedded into served.
    let database = Postgres::start()?;
    done(Some(&database), &["restore", &first])?;
    let served = Server::start_on(&database, demo::NOW)?;
    same(&before, &says(served.client())?).context("embedded into served")?;
    // Served into embedded.
    done(Some(&database), &["backup", &second])?;
    let back = folder.path("back");
    done(None, &["restore", &second, "--data", &back])?;
    let embedded = serve(Path::new(&back))?;
    same(&before, &says(embedded.client())?).context("served into embedded")?;
    // And it can be written to.
    for server in [&embedded, &served] {
        server.client().post_under("/v1/orders", &order("next"), "next")?.success()?;
    }
    stockroom::check(embedded.client())?;
    stockroom::check(served.client())?;
    Ok(())
}

#[test]
fn nothing_is_overwritten_and_nothing_else_is_taken_for_a_copy() -> Result<()> {
    let folder = Folder::new()?;
    let server = serve(&folder.0.join("data"))?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let (copy, data) = (folder.path("copy.sqlite"), folder.path("data"));
    done(None, &["backup", &copy, "--data", &data])?;
    let bytes = fs::read(&copy)?;
    let refused = |database: Option<&Postgres>, words: &[&str], why: &str| -> Result<()> {
        let (done, said) = command(database, words)?;
        ensure!(!done && said.contains(why), "{words:?}: {said}");
        Ok(())
    };
    refused(None, &["backup", &copy, "--data", &data], "nothing is overwritten")?;
    refused(None, &["restore", &copy, "--data", &data], "nothing is overwritten")?;
    ensure!(fs::read(&copy)? == bytes, "the copy was touched");
    let other = folder.path("other");
    fs::write(folder.0.join("notes.txt"), "no database")?;
    let notes = folder.path("notes.txt");
    refused(None, &["restore", &notes, "--data", &other], "")?;
    refused(None, &["restore", &folder.path("gone"), "--data", &other], "cannot read")?;
    ensure!(!folder.0.join("other/weighhouse.sqlite").exists(), "half of it is there");
    let database = Postgres::start()?;
    done(Some(&database), &["restore", &copy])?;
    refused(Some(&database), &["restore", &copy], "nothing is overwritten")?;
    // Nothing of all this is left behind.
    let left: Vec<_> = fs::read_dir(&folder.0)?
        .map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned()))
        .filter(|name| name.as_ref().is_ok_and(|name| name.starts_with('.')))
        .collect::<Result<_>>()?;
    ensure!(left.is_empty(), "{left:?}");
    Ok(())
}

#[test]
fn a_copy_that_does_not_prove_itself_is_refused() -> Result<()> {
    let folder = Folder::new()?;
    let server = serve(&folder.0.join("data"))?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    stockroom::receive(server.client(), &json!({}))?;
    let copy = folder.path("copy.sqlite");
    done(None, &["backup", &copy, "--data", &folder.path("data")])?;
    // Another word for what happened, at the same length.
    let changed = replaced(&fs::read(&copy)?, b"receive", b"receivE");
    fs::write(&copy, changed)?;
    let (done, said) = command(None, &["restore", &copy, "--data", &folder.path("other")])?;
    ensure!(!done, "a changed entry was taken: {said}");
    ensure!(!folder.0.join("other/weighhouse.sqlite").exists(), "it was put in place");
    Ok(())
}

/// The bytes with one word in the place of another of its length.
fn replaced(bytes: &[u8], was: &[u8], is: &[u8]) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for at in 0..bytes.len().saturating_sub(was.len()) {
        if bytes[at..].starts_with(was) {
            bytes[at..at + was.len()].copy_from_slice(is);
        }
    }
    bytes
}

#[test]
fn a_copy_under_load_is_of_one_moment() -> Result<()> {
    let folder = Folder::new()?;
    let server = serve(&folder.0.join("data"))?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    let lot = stockroom::id(&stockroom::receive(server.client(), &json!({}))?)?;
    let (stop, base) = (AtomicBool::new(false), server.client().base().to_owned());
    thread::scope(|scope| -> Result<()> {
        let writer = scope.spawn(|| -> Result<()> {
            let client = Client::new(base.clone());
            let gram = json!({"lot": lot, "quantity": {"amount": "1", "unit": "g"},
                "reason": "spilled"});
            let mut number = 0;
            while !stop.load(Ordering::SeqCst) {
                number += 1;
                client.post_under("/v1/waste", &gram, &format!("gram-{number}"))?.success()?;
            }
            ensure!(number > 3, "only {number} were written meanwhile");
            Ok(())
        });
        let mut copied = Ok(());
        for number in 0..3 {
            let copy = folder.path(&format!("copy-{number}.sqlite"));
            copied = done(None, &["backup", &copy, "--data", &folder.path("data")]).map(drop);
            if copied.is_err() {
                break;
            }
        }
        stop.store(true, Ordering::SeqCst);
        writer.join().map_err(|_| anyhow::anyhow!("the writer died"))??;
        copied
    })
}
