//! Told to stop, it says that it is not ready, finishes what is under way, and ends well.

use super::order;
use crate::crash::Victim;
use anyhow::{Context, Result, ensure};
use std::{
    fs,
    io::{Read as _, Write as _},
    net::TcpStream,
    thread,
    time::Duration,
};
use weighhouse::{clock::Clock, config::Config, server};
use weighhouse_tests::{client::Client, demo};

/// Looks every few milliseconds until it sees what it waits for.
fn until(what: &str, mut look: impl FnMut() -> bool) -> Result<()> {
    for _ in 0..2_000 {
        if look() {
            return Ok(());
        }
        thread::sleep(Duration::from_millis(5));
    }
    anyhow::bail!("it never came: {what}")
}

#[test]
fn a_request_under_way_is_finished_before_the_server_ends() -> Result<()> {
    let folder = std::env::temp_dir().join(format!("weighhouse-stop-{}", std::process::id()));
    let started = server::start(&Config::embedded(&folder), Clock::Fixed(demo::NOW.parse()?))?;
    let client = Client::new(format!("http://{}", started.address));
    client.put_bakery(&demo::document("bakery")?)?.success()?;
    started.stop();

    let mut victim = Victim::start(&folder)?;
    let address = victim.base.trim_start_matches("http://").to_owned();
    let body = order("slow").to_string();
    let (first, rest) = body.split_at(body.len() / 2);
    let mut slow = TcpStream::connect(&address)?;
    write!(
        slow,
        "POST /v1/orders HTTP/1.1\r\nHost: {address}\r\nContent-Type: application/json\r\n\
         Idempotency-Key: \"slow\"\r\nConnection: close\r\nContent-Length: {}\r\n\r\n{first}",
        body.len()
    )?;
    slow.flush()?;
    let client = Client::new(victim.base.clone());
    ensure!(client.get("/readyz")?.status == 200, "it is ready before it is told");

    victim.tell()?;
    until("it is not ready", || {
        let asked = client.get("/readyz");
        asked.is_ok_and(|reply| {
            reply.status == 503 && reply.is_problem("stopping").is_ok_and(|is| is)
        })
    })?;
    until("nobody new comes in", || TcpStream::connect(&address).is_err())?;
    slow.write_all(rest.as_bytes())?;
    let mut answer = String::new();
    slow.set_read_timeout(Some(Duration::from_secs(20)))?;
    slow.read_to_string(&mut answer)?;
    ensure!(answer.starts_with("HTTP/1.1 201"), "{answer}");
    ensure!(victim.ended()?, "it ends well");

    let again = server::start(&Config::embedded(&folder), Clock::Fixed(demo::NOW.parse()?))?;
    let client = Client::new(format!("http://{}", again.address));
    let held = client.get("/v1/orders/slow")?.success().context("what was answered is there")?;
    ensure!(held["version"] == 1, "{held}");
    again.stop();
    fs::remove_dir_all(&folder)?;
    Ok(())
}
