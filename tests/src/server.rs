//! A whole server in this process: its own empty database, its clock held still.

use crate::{client::Client, postgres::Postgres};
use anyhow::{Context, Result};
use std::{
    fs,
    path::PathBuf,
    sync::atomic::{AtomicU32, Ordering},
};
use weighhouse::{
    access::Job,
    clock::Clock,
    config::{Config, Storage},
    server::{self, Started},
    service::tokens,
    state::State,
};

/// A running server; it stops, and its data goes, when it is dropped.
pub struct Server {
    client: Client,
    started: Option<Started>,
    storage: Storage,
    folder: PathBuf,
    now: jiff::Timestamp,
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
        Self::start_in(std::env::temp_dir().join(name), now)
    }

    /// Starts a server in a folder, which goes with it, at the moment `now`.
    ///
    /// # Errors
    /// The server cannot start.
    pub fn start_in(folder: PathBuf, now: jiff::Timestamp) -> Result<Self> {
        fs::create_dir_all(&folder).with_context(|| folder.display().to_string())?;
        Self::serve(Storage::Embedded(folder.clone()), now, folder)
    }

    /// Starts a server on an empty PostgreSQL database, at the moment `now` (RFC 3339).
    ///
    /// # Errors
    /// The server cannot start.
    pub fn start_on(database: &Postgres, now: &str) -> Result<Self> {
        let now: jiff::Timestamp = now.parse().with_context(|| format!("`{now}` is no instant"))?;
        Self::serve(Storage::Postgres(database.url().to_owned()), now, PathBuf::new())
    }

    fn serve(storage: Storage, now: jiff::Timestamp, folder: PathBuf) -> Result<Self> {
        let started = open(&storage, now)?;
        let client = Client::new(format!("http://{}", started.address));
        Ok(Self { client, started: Some(started), storage, folder, now })
    }

    /// Stops the server and starts it on the same data at another moment.
    ///
    /// # Errors
    /// The server cannot start.
    pub fn at(mut self, now: &str) -> Result<Self> {
        let now: jiff::Timestamp = now.parse().with_context(|| format!("`{now}` is no instant"))?;
        drop(self.started.take());
        let started = open(&self.storage, now)?;
        self.client.move_to(format!("http://{}", started.address));
        self.started = Some(started);
        self.now = now;
        Ok(self)
    }

    /// Stops the server and leaves its data.
    pub fn leave(mut self) {
        self.folder = PathBuf::new();
    }

    /// Another server on the same data, which leaves the data where it is.
    ///
    /// # Errors
    /// The server cannot start.
    pub fn beside(&self, now: &str) -> Result<Self> {
        let now: jiff::Timestamp = now.parse().with_context(|| format!("`{now}` is no instant"))?;
        Self::serve(self.storage.clone(), now, PathBuf::new())
    }

    /// Makes a token of its shop, as the command line does; returns the whole token.
    ///
    /// # Errors
    /// The token cannot be made.
    pub fn token(&self, name: &str, job: Job, expires: Option<jiff::Timestamp>) -> Result<String> {
        Ok(tokens::make(&self.state()?, name, job, expires)?.1)
    }

    /// Rotates a token by its id, the old one good for a day; returns the whole new token.
    ///
    /// # Errors
    /// The token cannot be rotated.
    pub fn rotated(&self, id: &str) -> Result<String> {
        let day = jiff::SignedDuration::from_hours(24);
        Ok(tokens::rotate(&self.state()?, id, day)?.1)
    }

    /// Its data as the command line and the courier open it, beside the server.
    ///
    /// # Errors
    /// The database cannot be opened.
    pub fn state(&self) -> Result<State> {
        let config = Config { storage: self.storage.clone(), ..Config::embedded("") };
        Ok(State::open(&config, Clock::Fixed(self.now))?)
    }

    /// The folder of its embedded database.
    #[must_use]
    pub fn folder(&self) -> &std::path::Path {
        &self.folder
    }

    /// A caller of it.
    #[must_use]
    pub const fn client(&self) -> &Client {
        &self.client
    }
}

fn open(storage: &Storage, now: jiff::Timestamp) -> Result<Started> {
    let config = Config { storage: storage.clone(), workers: 4, ..Config::embedded("") };
    server::start(&config, Clock::Fixed(now))
        .with_context(|| format!("the server does not start on {storage:?}"))
}

impl Drop for Server {
    fn drop(&mut self) {
        drop(self.started.take());
        // A folder that stays behind in the temporary place harms nobody.
        let _ = fs::remove_dir_all(&self.folder);
    }
}
