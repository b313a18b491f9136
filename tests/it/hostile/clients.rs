//! Clients that hold a connection and say little.

use anyhow::{Context, Result, ensure};
use std::{
    io::{Read as _, Write as _},
    net::TcpStream,
    thread,
    time::{Duration, Instant},
};
use weighhouse_tests::{demo, seen, server::Server};

/// Sends a text drop by drop until the server hangs up; returns what it said.
fn drip(host: &str, head: &str, drop: &[u8]) -> Result<(String, Duration)> {
    let mut stream = TcpStream::connect(host)?;
    stream.set_read_timeout(Some(Duration::from_millis(500)))?;
    stream.write_all(head.as_bytes())?;
    let (began, mut said) = (Instant::now(), Vec::new());
    loop {
        let mut piece = [0; 4096];
        match stream.read(&mut piece) {
            Ok(0) => break,
            Ok(count) => said.extend_from_slice(&piece[..count]),
            Err(_) if stream.write_all(drop).is_err() => break,
            Err(_) => {}
        }
        if !said.is_empty() || began.elapsed() > Duration::from_secs(60) {
            break;
        }
    }
    Ok((String::from_utf8_lossy(&said).into_owned(), began.elapsed()))
}

#[test]
fn who_sends_drop_by_drop_is_sent_away_and_nobody_waits() -> Result<()> {
    let server = Server::start(demo::NOW)?;
    let host = server.client().base().strip_prefix("http://").context("a host")?.to_owned();
    let head = format!(
        "POST /v1/orders HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n\
         Content-Length: 1000\r\n\r\n"
    );
    // A form may be sent by whoever has no token yet.
    let form = head
        .replace("/v1/orders", "/sign-in")
        .replace("application/json", "application/x-www-form-urlencoded");
    thread::scope(|scope| -> Result<()> {
        let slow_form = scope.spawn(|| drip(&host, &form, b"a"));
        let slow_body = scope.spawn(|| drip(&host, &head, b" "));
        let slow_heads: Vec<_> = (0..50)
            .map(|_| scope.spawn(|| drip(&host, "GET /healthz HTTP/1.1\r\nX: ", b"x")))
            .collect();
        thread::sleep(Duration::from_secs(2));
        let began = Instant::now();
        ensure!(server.client().get("/healthz")?.status == 200);
        ensure!(began.elapsed() < Duration::from_secs(5), "others waited {:?}", began.elapsed());
        for slow in slow_heads {
            let (said, took) = slow.join().map_err(|_| anyhow::anyhow!("a client died"))??;
            ensure!(took < Duration::from_secs(30), "{took:?}: {said}");
        }
        let (said, took) = slow_body.join().map_err(|_| anyhow::anyhow!("a client died"))??;
        ensure!(said.starts_with("HTTP/1.1 408") && said.contains("body-too-slow"), "{said}");
        ensure!(took < Duration::from_secs(50), "{took:?}");
        let (of_form, took) = slow_form.join().map_err(|_| anyhow::anyhow!("a client died"))??;
        ensure!(of_form.starts_with("HTTP/1.1 408") && took < Duration::from_secs(50), "{of_form}");
        let (_, body) = said.split_once("\r\n\r\n").context("a body")?;
        seen::note("POST", "/v1/orders", 408, body.as_bytes());
        Ok(())
    })
}
