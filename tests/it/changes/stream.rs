//! The feed as a stream of events.

use super::{end, loaded, order};
use anyhow::{Context, Result, ensure};
use serde_json::Value;
use std::{
    io::{BufRead as _, BufReader, Write as _},
    net::TcpStream,
    sync::atomic::{AtomicBool, Ordering},
    thread,
    time::{Duration, Instant},
};
use weighhouse::access::Job;
use weighhouse_tests::{client::Client, seen};

/// A reader of a stream, as a browser is one.
struct Reader(BufReader<TcpStream>);

/// How long a line may take; beats come each quarter minute.
const PATIENCE: Duration = Duration::from_secs(20);

impl Reader {
    /// Opens a stream; returns its status too.
    fn open(client: &Client, more: &str) -> Result<(u16, Self)> {
        let host = client.base().strip_prefix("http://").context("a plain address")?;
        let mut stream = TcpStream::connect(host)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        let request = format!("GET /v1/changes/stream HTTP/1.1\r\nHost: {host}\r\n{more}\r\n");
        stream.write_all(request.as_bytes())?;
        let mut reader = Self(BufReader::new(stream));
        let status: u16 = reader.line()?.split(' ').nth(1).context("a status")?.parse()?;
        while !reader.line()?.is_empty() {}
        seen::note("GET", "/v1/changes/stream", status, b"");
        Ok((status, reader))
    }

    fn line(&mut self) -> Result<String> {
        let mut line = String::new();
        ensure!(self.0.read_line(&mut line)? > 0, "the stream ended");
        Ok(line.trim_end().to_owned())
    }

    /// Whether it ends within two beats; one that is silent has not ended.
    fn ends(&mut self) -> Result<bool> {
        let began = Instant::now();
        while began.elapsed() < 2 * PATIENCE {
            if self.0.read_line(&mut String::new())? == 0 {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// The next event: its id, name and data.
    fn event(&mut self) -> Result<(String, String, Value)> {
        let (mut id, mut name) = (String::new(), String::new());
        loop {
            let line = self.line()?;
            match line.split_once(": ") {
                Some(("id", text)) => id = text.to_owned(),
                Some(("event", text)) => name = text.to_owned(),
                Some(("data", text)) => return Ok((id, name, serde_json::from_str(text)?)),
                _ => {}
            }
        }
    }
}

#[test]
fn events_come_as_things_happen_and_nothing_is_missed_in_between() -> Result<()> {
    let server = loaded()?;
    let client = server.client();
    let (status, mut reader) = Reader::open(client, "")?;
    ensure!(status == 200);
    client.post_order(&order("a", "sugar-bun", 6))?.success()?;
    let (id, name, data) = reader.event()?;
    ensure!(name == "revision" && data["words"] == "order a version 1", "{data}");
    ensure!(data["cursor"] == id && id == end(client)?);
    drop(reader);
    // While nobody reads, more happens; who comes back with the last id sees it.
    for name in ["b", "c"] {
        client.post_order(&order(name, "sugar-bun", 6))?.success()?;
    }
    let (_, mut again) = Reader::open(client, &format!("Last-Event-ID: {id}\r\n"))?;
    for name in ["b", "c"] {
        ensure!(again.event()?.2["words"] == format!("order {name} version 1"));
    }
    Ok(())
}

#[test]
fn a_token_has_eight_streams_and_ends_with_them() -> Result<()> {
    let server = loaded()?;
    let mut open = Vec::new();
    for _ in 0..8 {
        let (status, reader) = Reader::open(server.client(), "")?;
        ensure!(status == 200);
        open.push(reader);
    }
    ensure!(Reader::open(server.client(), "")?.0 == 429);
    // A closed one gives its place back as soon as it is noticed: when there is news for it.
    drop(open);
    for number in 0..100 {
        server.client().post_order(&order(&format!("o{number}"), "sugar-bun", 1))?.success()?;
        if Reader::open(server.client(), "")?.0 == 200 {
            return Ok(());
        }
        thread::sleep(Duration::from_millis(200));
    }
    anyhow::bail!("the places of closed streams never came back")
}

#[test]
fn a_revoked_token_hears_nothing_more_however_much_happens() -> Result<()> {
    let server = loaded()?;
    let (_, mut local) = Reader::open(server.client(), "")?;
    let token = server.token("screen", Job::Reader, None)?;
    let id = token.split('.').nth(1).context("a token has three parts")?.to_owned();
    let owner = server.client().with_token(&server.token("owner", Job::Owner, None)?);
    let shown = format!("Authorization: Bearer {token}\r\n");
    let (status, mut reader) = Reader::open(server.client(), &shown)?;
    ensure!(status == 200);
    owner.post(&format!("/v1/tokens/{id}/revoke"), &serde_json::json!({}))?.success()?;
    // Something happens at every look, so that no stream is ever quiet.
    let ended = &AtomicBool::new(false);
    thread::scope(|scope| -> Result<()> {
        let busy = scope.spawn(move || -> Result<()> {
            for number in 0.. {
                if ended.load(Ordering::SeqCst) {
                    break;
                }
                owner.post_order(&order(&format!("o{number}"), "sugar-bun", 1))?.success()?;
                thread::sleep(Duration::from_millis(400));
            }
            Ok(())
        });
        let both = [reader.ends(), local.ends()];
        ended.store(true, Ordering::SeqCst);
        busy.join().map_err(|_| anyhow::anyhow!("the house stands still"))??;
        for (ends, whose) in both.into_iter().zip(["revoked", "from before there were tokens"]) {
            ensure!(ends.context(whose)?, "{whose}: it goes on");
        }
        Ok(())
    })
}
