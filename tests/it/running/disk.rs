//! Disks that are full or cannot be written: said plainly, and nothing is lost.
//!
//! A small file system in memory plays the disk. Where the system lets nobody mount one, the
//! tests say so and prove nothing.

use super::order;
use anyhow::{Context, Result, bail, ensure};
use serde_json::json;
use std::{
    fs::{self, File},
    io::Write as _,
    path::PathBuf,
    process::Command,
    thread,
    time::Duration,
};
use weighhouse::{clock::Clock, config::Config, state::State};
use weighhouse_tests::{client::Client, demo, postgres::Postgres, server::Server, stockroom};

/// A small disk; it goes when it is dropped.
struct Disk(PathBuf);

impl Disk {
    /// A disk of so many megabytes; none where nobody may mount one.
    fn mount(name: &str, megabytes: u32) -> Result<Option<Self>> {
        let folder =
            std::env::temp_dir().join(format!("weighhouse-disk-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder)?;
        let size = format!("size={megabytes}m");
        let mut mount = Command::new("mount");
        let mounted = mount.args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(&folder).output();
        match mounted {
            Ok(output) if output.status.success() => Ok(Some(Self(folder))),
            _ => {
                eprintln!("SKIPPED: nobody may mount a file system here: run it as root");
                Ok(None)
            }
        }
    }

    /// Fills it to the last byte.
    fn fill(&self) -> Result<()> {
        let mut file = File::create(self.0.join("ballast"))?;
        for piece in [64 * 1024, 512, 1] {
            while file.write_all(&vec![0; piece]).is_ok() {}
        }
        Ok(())
    }

    fn empty(&self) -> Result<()> {
        Ok(fs::remove_file(self.0.join("ballast"))?)
    }

    /// Makes it read-only, or writable again. A process that another test starts holds our open
    /// files until it runs its own program, and the disk is busy that long: hence the patience.
    fn lock(&self, lock: bool) -> Result<()> {
        let how = if lock { "remount,ro" } else { "remount,rw" };
        for _ in 0..50 {
            if Command::new("mount").args(["-o", how]).arg(&self.0).status()?.success() {
                return Ok(());
            }
            thread::sleep(Duration::from_millis(100));
        }
        bail!("{how}: the disk stays busy")
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
        let _ = fs::remove_dir(&self.0);
    }
}

/// Posts orders until one does not fit; returns those that were taken and the name of the one
/// that was refused.
fn post_until_full(client: &Client) -> Result<(Vec<String>, String)> {
    let mut taken = Vec::new();
    for number in 0..10_000 {
        let name = format!("order-{number}");
        let reply = client.post_under("/v1/orders", &order(&name), &name)?;
        if reply.status == 201 {
            taken.push(name);
            continue;
        }
        ensure!(reply.status == 507 && reply.is_problem("store-full")?, "{}", reply.text());
        ensure!(reply.retry_after.is_some(), "nobody says when to come again");
        return Ok((taken, name));
    }
    anyhow::bail!("the disk never fills")
}

/// A full disk under a server: reads go on, and once there is room so do writes.
fn fill(client: &Client, disk: &Disk) -> Result<()> {
    client.post_under("/v1/orders", &order("early"), "early")?.success()?;
    disk.fill()?;
    let (taken, refused) = post_until_full(client)?;
    client.get("/v1/orders/early")?.success().context("it can still be read")?;
    ensure!(client.get(&format!("/v1/orders/{refused}"))?.status == 404, "half of it is there");
    disk.empty()?;
    let again = client.post_under("/v1/orders", &order(&refused), &refused)?;
    ensure!(again.status == 201, "with room again: {}", again.text());
    for name in taken.iter().chain([&refused]) {
        let held = client.get(&format!("/v1/orders/{name}"))?.success()?;
        ensure!(held["lines"][0]["quantity_taken"] == json!(6), "{held}");
    }
    stockroom::check(client).map(drop)
}

#[test]
fn a_full_disk_refuses_writes_and_loses_nothing() -> Result<()> {
    let Some(disk) = Disk::mount("full", 8)? else { return Ok(()) };
    let server = Server::start_in(disk.0.join("data"), demo::NOW.parse()?)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    fill(server.client(), &disk)
}

#[test]
fn a_full_disk_under_the_other_database_does_the_same() -> Result<()> {
    let Some(disk) = Disk::mount("tables", 4)? else { return Ok(()) };
    let database = Postgres::start()?;
    let server = Server::start_on(&database, demo::NOW)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    database.own(&disk.0)?;
    let place = disk.0.display();
    for sql in [
        format!("CREATE TABLESPACE small LOCATION '{place}'"),
        "ALTER TABLE order_lines SET TABLESPACE small".to_owned(),
    ] {
        let (done, text) = database.statement(&sql)?;
        ensure!(done, "{sql}: {text}");
    }
    fill(server.client(), &disk)
}

#[test]
fn a_disk_that_cannot_be_written_is_named_at_the_start() -> Result<()> {
    let Some(disk) = Disk::mount("locked", 8)? else { return Ok(()) };
    let data = disk.0.join("data");
    let now = demo::NOW.parse()?;
    let server = Server::start_in(data.clone(), now)?;
    server.client().put_bakery(&demo::document("bakery")?)?.success()?;
    server.leave();
    disk.lock(true)?;
    let opened = State::open(&Config::embedded(&data), Clock::Fixed(now));
    let said = opened.err().map(|error| error.to_string()).unwrap_or_default();
    disk.lock(false)?;
    ensure!(said.contains("must be there, and writable"), "it says: {said}");
    let state = State::open(&Config::embedded(&data), Clock::Fixed(now))?;
    ensure!(is_whole(&state)?, "the ledger is not whole");
    Ok(())
}

fn is_whole(state: &State) -> Result<bool> {
    let checked = state.store.read(|tx| weighhouse::service::ledger::check(state, tx))?;
    Ok(checked.findings.is_empty())
}
