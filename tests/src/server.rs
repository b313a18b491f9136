//! A whole server in this process: its own empty database, its clock held still.

use crate::client::Client;
use anyhow::{Context, Result};
use std::{
    fs,
    path::{Path, PathBuf},
    sync::atomic::{AtomicU32, Ordering},
};
use weighhouse::{
    clock::Clock,
    config::Config,
    server::{self, Started},
};

/// A running server; it stops, and its data goes, when it is dropped.
pub struct Server {
    client: Client,
    started: Option<Started>,
    folder: PathBuf,
}

/// Servers started by this process, so that each has a folder of its own.
static STARTED: AtomicU32 = AtomicU32::new(0);

impl Server {
    /// Starts a server on an empty database, at the moment `now` (RFC 3339).
    ///
    /// # Errors
    /// The server cannot start.
    pub fn start(now: &str) -> Result<Self> {
        let now: jiff::Timestamp = now.parse().with_context(|| format!("`{now}` is no instant"))?;
        let number = STARTED.fetch_add(1, Ordering::Relaxed);
        let name = format!("weighhouse-test-{}-{number}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        fs::create_dir_all(&folder).with_context(|| folder.display().to_string())?;
        let started = open(&folder, now)?;
        let client = Client::new(format!("http://{}", started.address));
        Ok(Self { client, started: Some(started), folder })
    }

    /// Stops the server and starts it on the same data at another moment.
    ///
    /// # Errors
    /// The server cannot start.
    pub fn at(mut self, now: &str) -> Result<Self> {
        let now: jiff::Timestamp = now.parse().with_context(|| format!("`{now}` is no instant"))?;
        drop(self.started.take());
        let started = open(&self.folder, now)?;
        self.client.move_to(format!("http://{}", started.address));
        self.started = Some(started);
        Ok(self)
    }

    /// A caller of it.
    #[must_use]
    pub const fn client(&self) -> &Client {
        &self.client
    }
}

fn open(folder: &Path, now: jiff::Timestamp) -> Result<Started> {
    server::start(&Config::embedded(folder), Clock::Fixed(now))
        .with_context(|| format!("the server does not start in {}", folder.display()))
}

impl Drop for Server {
    fn drop(&mut self) {
        drop(self.started.take());
        // A folder that stays behind in the temporary place harms nobody.
        let _ = fs::remove_dir_all(&self.folder);
    }
}
