//! Runs the server.

use super::{
    CommandError, StorageArgs,
    demo::{Demo, greeting},
    say,
};
use crate::{clock::Clock, config::Config, server, state::State};
use clap::Args;
use std::net::SocketAddr;

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
    #[command(flatten)]
    storage: StorageArgs,
}

impl Default for ServeArgs {
    fn default() -> Self {
        Self { listen: LISTEN_USUAL, demo: false, storage: StorageArgs::default() }
    }
}

/// Serves until the process is told to stop.
pub(super) fn serve(args: ServeArgs) -> Result<(), CommandError> {
    let ServeArgs { listen, demo, storage } = args;
    if demo {
        let (state, folder) = Demo::open()?.into_parts();
        let workers = Config::embedded("").workers;
        let ran = server::run(state, listen, workers, |address| tell(&greeting(address)));
        drop(folder);
        return Ok(ran?);
    }
    let config = storage.config(listen)?;
    let state = State::open(&config, Clock::System)?;
    let greet = |address| tell(&format!("weighhouse listens on http://{address} (calls: /docs)"));
    Ok(server::run(state, config.listen, config.workers, greet)?)
}

/// Prints where it listens; a server whose output nobody reads runs all the same.
fn tell(text: &str) {
    let _ = say(text);
}
