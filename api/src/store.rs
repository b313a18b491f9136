//! The store: the only place that knows SQL.
//!
//! One connection type serves both dialects and one query body serves both;
//! what differs lives in `dialect`. Everything happens inside [`Store::read`] or
//! [`Store::write`], which mean the same on both.

pub mod audit_entries;
pub mod backup;
pub mod balances;
pub mod bins;
mod connection;
pub mod decisions;
mod dialect;
mod fault;
pub mod idempotency;
pub mod instant;
pub mod label_confirmations;
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

use crate::{config::Storage, metrics::StoreMetrics};
use diesel::r2d2::ManageConnection as _;
use pool::{Manager, Pool};

/// Why the store could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Others were writing all the time.
    #[error("the database was busy")]
    Busy,
    /// No connection could be made.
    #[error("no connection to the database")]
    Connect(#[from] ConnectionError),
    /// A statement failed.
    #[error("a statement failed")]
    Query(#[source] QueryError),
    /// The schema could not be brought up to date.
    #[error("the schema could not be brought up to date: {0}")]
    Migrate(String),
    /// The folder of the data could not be made.
    #[error("the data folder could not be made")]
    Folder(#[from] std::io::Error),
    /// A stored text is not what was written.
    #[error("a stored {0} cannot be read")]
    Corrupt(&'static str),
    /// A thread that worked on it died.
    #[error("a thread died")]
    Thread,
}

/// Keys of rows that two writers may make at once, as PostgreSQL names them.
const FIRST_ROWS: [&str; 7] = [
    "idempotency_pkey",
    "ledger_heads_pkey",
    "notices_pkey",
    "shortage_watches_pkey",
    "sites_pkey",
    "supplier_orders_by_number",
    "webhooks_pkey",
];

impl From<QueryError> for StoreError {
    fn from(error: QueryError) -> Self {
        let conflict = match &error {
            QueryError::DatabaseError(DatabaseErrorKind::SerializationFailure, _) => true,
            // Two writers made the first row of a shop, or the same request came twice at once:
            // the second sees the row of the first when it tries again.
            QueryError::DatabaseError(DatabaseErrorKind::UniqueViolation, info) => {
                info.constraint_name().is_some_and(|name| FIRST_ROWS.contains(&name))
            }
            QueryError::DatabaseError(_, info) => info.message().contains("database is locked"),
            _ => false,
        };
        if conflict { Self::Busy } else { Self::Query(error) }
    }
}

/// An error that may say "try the whole transaction again".
pub trait MayConflict: From<StoreError> {
    /// Whether another transaction was in the way.
    fn is_conflict(&self) -> bool;
}

impl MayConflict for StoreError {
    fn is_conflict(&self) -> bool {
        matches!(self, Self::Busy)
    }
}

struct Manager {
    storage: Storage,
}

impl ManageConnection for Manager {
    type Connection = Tx;
    type Error = StoreError;

    fn connect(&self) -> Result<Tx, StoreError> {
        let mut tx = match &self.storage {
            Storage::Embedded(folder) => {
                Tx::Sqlite(SqliteConnection::establish(&database_file(folder).to_string_lossy())?)
            }
            Storage::Postgres(url) => Tx::Postgres(PgConnection::establish(url)?),
        };
        dialect::set_up(&mut tx)?;
        Ok(tx)
    }

    fn is_valid(&self, tx: &mut Tx) -> Result<(), StoreError> {
        Ok(dialect::ping(tx)?)
    }

    fn has_broken(&self, tx: &mut Tx) -> bool {
        dialect::in_transaction(tx)
    }
}

fn database_file(folder: &std::path::Path) -> PathBuf {
    folder.join("weighhouse.sqlite")
}

/// A pool of connections. Cheap to clone.
/// The database behind its connections. Cheap to clone.
#[derive(Clone)]
pub struct Store {
    pool: Pool,
}

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
        Ok(Self { pool: Pool::new(manager)? })
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

    /// Runs `body` in a transaction that is alone in writing; commits if it succeeds.
    ///
    /// `body` may run several times and must have no effect outside the transaction.
    ///
    /// # Errors
    /// What `body` says, or a [`StoreError`]; then nothing was written.
    pub fn write<T, E>(&self, mut body: impl FnMut(&mut Tx) -> Result<T, E>) -> Result<T, E>
    where
        E: MayConflict,
    {
        let mut tries = 1;
        loop {
            let outcome = self.write_once(&mut body);
            match outcome {
                Err(error) if error.is_conflict() && tries < WRITE_TRIES_MAX => {
                    self.metrics().met_another();
                    tries += 1;
                }
                outcome => return outcome,
            }
        }
    }

    fn write_once<T, E>(&self, body: &mut impl FnMut(&mut Tx) -> Result<T, E>) -> Result<T, E>
    where
        E: MayConflict,
    {
        let _span = tracing::info_span!("write").entered();
        let mut tx = self.pool.begin(dialect::begin_write)?;
        let outcome = body(&mut tx).and_then(|value| {
            dialect::commit(&mut tx).map_err(StoreError::from)?;
            Ok(value)
        });
        if outcome.is_err() {
            dialect::end(&mut tx);
        }
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
