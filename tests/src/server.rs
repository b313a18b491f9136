//! A whole server in this process: its own empty database, its clock held still.

use crate::client::Client;
use anyhow::{Context, Result};

/// A running server; it stops when it is dropped.
pub struct Server {
    client: Client,
}

impl Server {
    /// Starts a server on an empty database, at the moment `now` (RFC 3339).
    ///
    /// # Errors
    /// The server cannot start.
    pub fn start(now: &str) -> Result<Self> {
        let _now: jiff::Timestamp =
            now.parse().with_context(|| format!("`{now}` is no instant"))?;
        anyhow::bail!("the api crate does not offer a server yet")
    }

    /// A caller of it.
    #[must_use]
    pub const fn client(&self) -> &Client {
        &self.client
    }
}
