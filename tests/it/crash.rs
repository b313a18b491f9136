//! A server that is killed in the middle of its work loses nothing that it acknowledged.
//!
//! Three short rounds run always; `WEIGHHOUSE_CRASH_ROUNDS`, `WEIGHHOUSE_CRASH_MOVEMENTS` and
//! `WEIGHHOUSE_CRASH_ORDERS` ask for more.

mod orders;

use anyhow::{Context, Result, bail, ensure};
use serde_json::{Value, json};
use std::{
    fs,
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    sync::atomic::{AtomicUsize, Ordering},
    thread,
    time::Duration,
};
use weighhouse::{
    clock::Clock,
    config::{Config, Storage},
    server,
    service::ledger,
    state::State,
    store,
};
use weighhouse_tests::{
    builders::Seed,
    client::Client,
    demo,
    exact::whole,
    stockroom::{amount, bakery, id},
};

/// Rounds and movements in each, unless more are asked for.
const ROUNDS: usize = 3;
const MOVEMENTS: usize = 300;
/// Writers at once.
const WRITERS: usize = 4;
/// Grams that are there at the start: more than is ever taken.
const GRAMS: i64 = 1_000_000_000;
/// How long a server may take to start.
const START: Duration = Duration::from_secs(60);
/// How long it says that it is not ready when it is told to stop.
const DRAIN: Duration = Duration::from_secs(1);
/// The folder in which a child process serves.
const CHILD: &str = "WEIGHHOUSE_CRASH_SERVER";
/// The database of a child process, if it is not in that folder.
const CHILD_DATABASE: &str = "WEIGHHOUSE_CRASH_DATABASE";

#[expect(clippy::disallowed_methods, reason = "a longer run is asked for by the environment")]
fn variable(name: &str) -> Option<String> {
    std::env::var(name).ok()
}

pub(crate) fn asked(name: &str, usual: usize) -> Result<usize> {
    let Some(text) = variable(name) else { return Ok(usual) };
    text.parse().with_context(|| format!("{name} is `{text}`: write a whole number"))
}

/// What the process does that is killed; in the process of the tests it does nothing.
#[test]
fn the_server_that_is_killed() -> Result<()> {
    let Some(folder) = variable(CHILD).map(PathBuf::from) else { return Ok(()) };
    let now: jiff::Timestamp = demo::NOW.parse()?;
    let usual = Config::embedded(&folder);
    let storage = variable(CHILD_DATABASE).map_or(usual.storage.clone(), Storage::Postgres);
    let config = Config { storage, ..usual };
    let state = State::open(&config, Clock::Fixed(now))?;
    let config = Config { workers: WRITERS, drain: DRAIN, ..config };
    server::run(std::sync::Arc::new(state), &config, |address| {
        // Moved into its place whole, so that nobody reads half of it.
        let text = folder.join("address.new");
        let written = fs::write(&text, address.to_string());
        drop(written.and_then(|()| fs::rename(text, folder.join("address"))));
    })?;
    Ok(())
}

/// A server in a process of its own; it is killed when it is dropped.
pub(crate) struct Victim {
    child: Child,
    pub(crate) base: String,
}

impl Victim {
    /// A server on the database of a folder.
    pub(crate) fn start(folder: &Path) -> Result<Self> {
        Self::start_on(folder, None)
    }

    /// A server on a database; it says its address in the folder.
    fn start_on(folder: &Path, database: Option<&str>) -> Result<Self> {
        let address = folder.join("address");
        let _ = fs::remove_file(&address);
        let mut command = Command::new(std::env::current_exe()?);
        command.args(["--exact", "crash::the_server_that_is_killed", "--nocapture"]);
        command.env(CHILD, folder).stdout(Stdio::null());
        let mut child = command.envs(database.map(|url| (CHILD_DATABASE, url))).spawn()?;
        let mut waited = Duration::ZERO;
        while waited < START {
            if let Ok(text) = fs::read_to_string(&address) {
                return Ok(Self { child, base: format!("http://{text}") });
            }
            if let Some(status) = child.try_wait()? {
                bail!("the server ended before it listened: {status}");
            }
            thread::sleep(Duration::from_millis(10));
            waited += Duration::from_millis(10);
        }
        let _ = child.kill();
        bail!("the server does not listen within {START:?}")
    }

    /// Tells it to stop, as a service manager does.
    pub(crate) fn tell(&self) -> Result<()> {
        let told = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status()?;
        ensure!(told.success(), "it cannot be told: {told}");
        Ok(())
    }

    /// Kilobytes of its memory that lie in the machine's.
    ///
    /// # Source
    /// Linux, `proc(5)`: `VmRSS` of `/proc/PID/status`.
    pub(crate) fn resident_kb(&self) -> Result<u64> {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id()))?;
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
        let text = line.context("no VmRSS")?.trim().trim_end_matches("kB").trim_end();
        Ok(text.parse()?)
    }

    /// Waits for its end; says whether it ended well.
    pub(crate) fn ended(&mut self) -> Result<bool> {
        Ok(self.child.wait()?.success())
    }

    /// Kills it as the kernel does it: nothing is flushed, nobody is told.
    fn kill(&mut self) -> Result<()> {
        self.child.kill()?;
        self.child.wait()?;
        Ok(())
    }
}

impl Drop for Victim {
    fn drop(&mut self) {
        let _ = self.kill();
    }
}

fn gram(lot: &str) -> Value {
    json!({"lot": lot, "quantity": {"amount": "1", "unit": "g"}, "reason": "spilled"})
}

/// What one writer knows of its requests.
#[derive(Debug, Default)]
struct Sent {
    /// Ids of entries that were acknowledged.
    acknowledged: Vec<String>,
    /// The key of which nobody knows what became, because the server died over it.
    open: Option<String>,
}

/// Takes gram after gram until all are taken or the server is gone.
fn write(base: &str, lot: &str, round: usize, next: &AtomicUsize, end: usize) -> Result<Sent> {
    let client = Client::new(base);
    let mut sent = Sent::default();
    loop {
        let number = next.fetch_add(1, Ordering::SeqCst);
        if number >= end {
            return Ok(sent);
        }
        let key = format!("round-{round}-{number}");
        let Ok(reply) = client.post_under("/v1/waste", &gram(lot), &key) else {
            sent.open = Some(key);
            return Ok(sent);
        };
        let view = reply.success()?;
        sent.acknowledged.push(view["movement"].as_str().context("a movement")?.to_owned());
    }
}

/// Lets writers write, and kills the server once `kill_at` requests were begun.
fn round(
    folder: &Path,
    lot: &str,
    round: usize,
    (kill_at, end): (usize, usize),
    open: &[String],
) -> Result<(Vec<Sent>, i64)> {
    let mut victim = Victim::start(folder)?;
    // What nobody knew of is sent again under its key: it is done once, whichever it was.
    let client = Client::new(victim.base.clone());
    for key in open {
        client.post_under("/v1/waste", &gram(lot), key)?.success()?;
    }
    let next = AtomicUsize::new(0);
    let base = victim.base.clone();
    let sent = thread::scope(|scope| -> Result<Vec<Sent>> {
        let start = |_| scope.spawn(|| write(&base, lot, round, &next, end));
        let writers: Vec<_> = (0..WRITERS).map(start).collect();
        while next.load(Ordering::SeqCst) < kill_at {
            thread::sleep(Duration::from_micros(200));
        }
        victim.kill()?;
        let joined = writers
            .into_iter()
            .map(|writer| writer.join().map_err(|_| anyhow::anyhow!("a writer died"))?);
        joined.collect()
    })?;
    Ok((sent, i64::try_from(open.len())?))
}

/// Opens what the dead server left and fails unless it proves itself and holds every
/// acknowledged entry.
fn inspect(folder: &Path, acknowledged: &[String]) -> Result<()> {
    let now: jiff::Timestamp = demo::NOW.parse()?;
    let state = State::open(&Config::embedded(folder), Clock::Fixed(now))?;
    let checked = state.store.read(|tx| ledger::check(&state, tx))?;
    ensure!(checked.findings.is_empty(), "the ledger is not whole: {:?}", checked.findings);
    for id in acknowledged {
        let found = state.store.read(|tx| store::movements::find(tx, &state.site, id))?;
        ensure!(found.is_some(), "entry {id} was acknowledged and is lost");
    }
    Ok(())
}

/// A folder with the bakery and one large lot; returns the lot's id.
fn prepare(folder: &Path) -> Result<String> {
    fs::create_dir_all(folder)?;
    let started = server::start(&Config::embedded(folder), Clock::Fixed(demo::NOW.parse()?))?;
    let client = Client::new(format!("http://{}", started.address));
    client.put_bakery(&bakery()?)?.success()?;
    let receipt = json!({"item": "rye", "lot": "RY-9", "received": "2026-06-01",
        "place": "dry-store", "quantity": {"amount": GRAMS.to_string(), "unit": "g"}});
    id(&client.post_receipt(&receipt)?.success()?)
}

#[test]
fn a_killed_server_loses_nothing_that_it_acknowledged() -> Result<()> {
    let rounds = asked("WEIGHHOUSE_CRASH_ROUNDS", ROUNDS)?;
    let movements = asked("WEIGHHOUSE_CRASH_MOVEMENTS", MOVEMENTS)?;
    let folder = std::env::temp_dir().join(format!("weighhouse-crash-{}", std::process::id()));
    let lot = prepare(&folder)?;
    let mut seed = Seed::new(u64::try_from(rounds * movements)?);
    let (mut taken, mut open) = (0_i64, Vec::new());
    for number in 0..rounds {
        let kill_at = usize::try_from(seed.below(u64::try_from(movements)?))?;
        let (sent, again) = round(&folder, &lot, number, (kill_at, movements), &open)
            .with_context(|| format!("round {number}, killed at {kill_at}"))?;
        let acknowledged: Vec<String> =
            sent.iter().flat_map(|sent| sent.acknowledged.clone()).collect();
        taken += again + i64::try_from(acknowledged.len())?;
        open = sent.into_iter().filter_map(|sent| sent.open).collect();
        inspect(&folder, &acknowledged).with_context(|| {
            format!("round {number}, killed at {kill_at}, in {}", folder.display())
        })?;
    }
    // Every key was done exactly once: the balance says so.
    let started = server::start(&Config::embedded(&folder), Clock::Fixed(demo::NOW.parse()?))?;
    let client = Client::new(format!("http://{}", started.address));
    for key in &open {
        client.post_under("/v1/waste", &gram(&lot), key)?.success()?;
    }
    taken += i64::try_from(open.len())?;
    let held = client.get(&format!("/v1/lots/{lot}"))?.success()?;
    ensure!(amount(&held["quantity"])? == whole(GRAMS - taken), "{taken} g were taken: {held}");
    ensure!(taken > 0, "nothing was taken: the rounds prove nothing");
    drop(started);
    fs::remove_dir_all(&folder)?;
    Ok(())
}
