//! Runs the server.

use super::{
    CommandError, StorageArgs,
    demo::{Demo, greeting},
    folder, say,
};
use crate::{
    clock::Clock,
    config::{Config, RATE_USUAL, TlsFiles},
    courier::{self, Post},
    server,
    service::tokens,
    state::State,
};
use clap::Args;
use std::{net::SocketAddr, num::NonZeroU32, path::PathBuf, sync::Arc, thread, time::Duration};

/// Where the server listens if nothing is said: this machine only.
const LISTEN_USUAL: SocketAddr =
    SocketAddr::new(std::net::IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), 8080);

/// Where to listen, and on which data.
#[derive(Debug, Args)]
pub(super) struct ServeArgs {
    /// Address and port; port 0 takes a free one
    #[arg(long, default_value_t = LISTEN_USUAL)]
    listen: SocketAddr,
    /// A fresh database with the demo bakery, its clock held still
    #[arg(long, conflicts_with = "data")]
    demo: bool,
    /// Folder into which the sheets of the coming mornings are written, whole and anew after
    /// each change
    #[arg(long, value_name = "DIR")]
    folder: Option<PathBuf>,
    /// Chain of certificates in PEM, for TLS
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    tls_cert: Option<PathBuf>,
    /// Private key in PEM, for TLS
    #[arg(long, value_name = "FILE", requires = "tls_cert")]
    tls_key: Option<PathBuf>,
    /// Let webhooks call this machine and its own network, such as a display in the shop
    #[arg(long)]
    webhooks_inside: bool,
    /// Requests that a token may make each second
    #[arg(long, value_name = "NUMBER", default_value_t = RATE_USUAL)]
    rate: NonZeroU32,
    /// Seconds for which it goes on, saying at /readyz that it is not ready, once it is told
    /// to stop; for a balancer that must notice first
    #[arg(long, value_name = "SECONDS", default_value_t = 0)]
    drain: u8,
    #[command(flatten)]
    storage: StorageArgs,
}

impl Default for ServeArgs {
    fn default() -> Self {
        Self {
            listen: LISTEN_USUAL,
            demo: false,
            folder: None,
            tls_cert: None,
            tls_key: None,
            webhooks_inside: false,
            rate: RATE_USUAL,
            drain: 0,
            storage: StorageArgs::default(),
        }
    }
}

/// Serves until the process is told to stop.
pub(super) fn serve(args: ServeArgs) -> Result<(), CommandError> {
    let ServeArgs {
        listen,
        demo,
        folder: morning,
        tls_cert,
        tls_key,
        webhooks_inside,
        rate,
        drain,
        storage,
    } = args;
    let tls = tls_cert.zip(tls_key).map(|(certificate, key)| TlsFiles { certificate, key });
    let drain = Duration::from_secs(drain.into());
    let scheme = if tls.is_some() { "https" } else { "http" };
    let (state, config, data) = if demo {
        let (mut state, data) = Demo::open()?.into_parts();
        (state.paper, state.language) = (storage.paper.into(), storage.language);
        (state, Config { listen, ..Config::embedded("") }, Some(data))
    } else {
        let config = storage.config(listen)?;
        (State::open(&config, Clock::System)?, config, None)
    };
    let config = Config { tls, rate_per_second: rate, drain, ..config };
    closed_to_strangers(&state, &config)?;
    let state = Arc::new(state);
    keep_folder(&state, morning);
    send_courier(&state, webhooks_inside);
    let greet = |address| {
        tell(&if demo {
            greeting(address)
        } else {
            format!("weighhouse listens on {scheme}://{address} (calls: /docs)")
        });
    };
    let ran = server::run(state, &config, greet);
    drop(data);
    Ok(ran?)
}

/// Keeps the folder of the morning beside the server, if one is named.
fn keep_folder(state: &Arc<State>, folder: Option<PathBuf>) {
    if let Some(folder) = folder {
        let state = Arc::clone(state);
        // It ends with the process: a file is whole or not there.
        drop(thread::spawn(move || folder::keep(&state, &folder)));
    }
}

/// Looks for shortages and posts webhooks beside the server.
fn send_courier(state: &Arc<State>, may_call_inside: bool) {
    let state = Arc::clone(state);
    // It ends with the process: what it had leased is posted again by whoever comes next.
    drop(thread::spawn(move || courier::keep(&state, &Post::new(may_call_inside))));
}

/// Beyond this machine nobody is let in without a token.
fn closed_to_strangers(state: &State, config: &Config) -> Result<(), CommandError> {
    if config.listen.ip().is_loopback() || tokens::exist(state)? {
        return Ok(());
    }
    Err(CommandError::Usage(format!(
        "{} can be reached from other machines and no token was ever made: make one with \
         `weighhouse token add NAME --job owner`, or listen on 127.0.0.1",
        config.listen
    )))
}

/// Prints where it listens; a server whose output nobody reads runs all the same.
fn tell(text: &str) {
    let _ = say(text);
}
