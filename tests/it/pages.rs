//! Pages as a browser without scripts meets them.

mod counts;
mod cuts;
mod desk;
mod frame;
mod orders;
mod recipes;
mod settings;
mod stock;
mod suppliers;
mod weigh_out;
mod why;

use anyhow::{Context, Result};
use weighhouse_tests::{
    client::{Client, Reply},
    demo,
    server::Server,
};

/// The demo bakery.
pub(super) fn demo_server() -> Result<Server> {
    demo::serve(&demo::document("bakery")?)
}

/// A page that is there.
pub(super) fn page(client: &Client, path: &str) -> Result<String> {
    let reply = client.get_as(path, "text/html")?;
    anyhow::ensure!(reply.status == 200, "{path}: {} {}", reply.status, reply.text());
    Ok(reply.text())
}

/// The key that a page gives to its form.
pub(super) fn key_of(page: &str) -> Result<&str> {
    let (_, rest) = page.split_once("name=\"_key\" value=\"").context("a form with a key")?;
    rest.split('"').next().context("a key")
}

/// Whether an answer leads on, and where to.
pub(super) fn led(reply: &Reply) -> Option<&str> {
    reply.location.as_deref().filter(|_| reply.status == 303)
}

/// Fields as a browser sends them.
pub(super) fn fields(pairs: &[(&str, &str)]) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._".contains(&byte);
    let escaped = |text: &str| -> String {
        let one = |byte: u8| {
            if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") }
        };
        text.bytes().map(one).collect()
    };
    let pairs: Vec<String> =
        pairs.iter().map(|(name, text)| format!("{}={}", escaped(name), escaped(text))).collect();
    pairs.join("&")
}
