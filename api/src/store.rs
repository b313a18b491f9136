//! The store: the only place that knows SQL.
//!
//! One connection type serves both dialects and one query body serves both;
//! what differs lives in `dialect`. Everything happens inside [`Store::read`] or
//! [`Store::write`], which mean the same on both.
//!
//! A row is asked for by its whole key with `get_result`. `first` would say `LIMIT ?`, and SQLite
//! plans a statement anew whenever a limit is bound.

pub mod audit_entries;
pub mod backup;
pub mod balances;
pub mod bins;
mod connection;
pub mod decisions;
mod dialect;
pub mod door;
mod fault;
pub mod idempotency;
pub mod instant;
pub mod label_confirmations;
mod line;
pub mod load_events;
pub mod loads;
pub mod lots;
pub mod migrate;
pub mod movements;
pub mod notices;
pub mod orders;
pub mod overrides;
pub mod pack_readings;
pub mod past_loads;
mod pool;
pub mod prints;
pub mod product_lots;
pub mod reference;
pub mod revisions;
mod schema;
pub mod shortage_watches;
pub mod sign_offs;
pub mod sites;
pub mod supplier_orders;
pub mod tokens;
pub mod trace;
pub mod wastes;
pub mod webhook_deliveries;
pub mod webhooks;
pub mod yields;

pub use connection::Tx;
pub use fault::{MayConflict, StoreError};
pub use line::Count;
pub use pool::database_file;

use crate::{config::Storage, metrics::StoreMetrics};
use diesel::r2d2::ManageConnection as _;
use line::Line;
use pool::{Manager, Pool};
use std::sync::Arc;

/// The database behind its connections. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    pool: Pool,
    line: Arc<Line>,
}

/// Values in one condition: below what either database takes.
const CHUNK: usize = 500;
/// Tries of a write before it gives up: of writers that meet one wins each time, so that
/// this many may meet.
const WRITE_TRIES_MAX: u32 = 16;

impl Store {
    /// Opens the database, makes it if it is not there, and brings its schema up to date.
    ///
    /// # Errors
    /// [`StoreError`]
    pub fn open(storage: &Storage) -> Result<Self, StoreError> {
        if let Storage::Embedded(folder) = storage {
            std::fs::create_dir_all(folder)?;
        }
        let manager = Manager::new(storage);
        // The first connection tells what is wrong; the pool would only say "timed out".
        migrate::up(&mut manager.connect()?)?;
        Ok(Self { pool: Pool::new(manager)?, line: Arc::default() })
    }

    /// What it counts.
    #[must_use]
    pub const fn metrics(&self) -> &StoreMetrics {
        &self.pool.metrics
    }

    /// Runs `body` in a read-only transaction: it sees one state of the data.
    ///
    /// # Errors
    /// What `body` says, or a [`StoreError`].
    pub fn read<T, E>(&self, body: impl FnOnce(&mut Tx) -> Result<T, E>) -> Result<T, E>
    where
        E: From<StoreError>,
    {
        let _span = tracing::info_span!("read").entered();
        let mut tx = self.pool.begin(dialect::begin_read)?;
        let outcome = body(&mut tx);
        dialect::end(&mut tx);
        outcome
    }

    /// Runs one statement that reads a row, on the thread that asks; none where that could take
    /// long: for a server elsewhere, or a connection that others hold. Each statement that `body`
    /// runs sees a state of its own.
    pub fn read_at_once<T, E>(
        &self,
        body: impl FnOnce(&mut Tx) -> Result<T, E>,
    ) -> Option<Result<T, E>>
    where
        E: From<StoreError>,
    {
        Some(body(&mut *self.pool.at_once()?))
    }

    /// How many shared transactions were lost.
    #[must_use]
    pub fn losses(&self) -> &Count {
        &self.line.losses
    }

    /// How many transactions were begun by writers.
    #[must_use]
    pub fn begun(&self) -> &Count {
        &self.line.begun
    }

    /// Runs `body` in a transaction that is alone in writing; returns when it is committed.
    ///
    /// `body` may run several times and must have no effect outside the transaction. It may
    /// see what others wrote who are committed with it.
    ///
    /// # Errors
    /// What `body` says, or a [`StoreError`]; then nothing was written.
    pub fn write<T, E>(&self, mut body: impl FnMut(&mut Tx) -> Result<T, E>) -> Result<T, E>
    where
        E: MayConflict,
    {
        let mut tries = 1;
        loop {
            let outcome = self.write_once(&mut body, tries > 1);
            match outcome {
                Err(error) if error.is_conflict() && tries < WRITE_TRIES_MAX => {
                    self.metrics().met_another();
                    tries += 1;
                }
                outcome => return outcome,
            }
        }
    }

    /// `alone` keeps others out of the transaction.
    fn write_once<T, E>(
        &self,
        body: &mut impl FnMut(&mut Tx) -> Result<T, E>,
        alone: bool,
    ) -> Result<T, E>
    where
        E: MayConflict,
    {
        let _span = tracing::info_span!("write").entered();
        let mut turn = self.line.turn(&self.pool, alone)?;
        if !turn.is_shared() {
            let value = body(turn.tx()?)?;
            turn.settle()?;
            return Ok(value);
        }
        // A transaction that does not even take back a part of itself is lost for all.
        let outcome = attempt(turn.tx()?, body).map_err(|_| StoreError::Busy)?;
        // What was refused may have been refused for what others wrote: it waits for them too.
        turn.settle()?;
        outcome
    }
}

/// Runs `body` so that its failure takes back only what it did itself.
///
/// # Errors
/// What `body` says, or a [`StoreError`].
pub fn attempt<T, E>(
    tx: &mut Tx,
    body: impl FnOnce(&mut Tx) -> Result<T, E>,
) -> Result<Result<T, E>, StoreError> {
    dialect::begin_nested(tx)?;
    let outcome = body(tx);
    if outcome.is_ok() {
        dialect::commit(tx)?;
    } else {
        dialect::roll_back(tx)?;
    }
    Ok(outcome)
}

#[cfg(test)]
pub(crate) mod tests;
