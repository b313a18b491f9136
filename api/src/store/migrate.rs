//! The schema's steps, compiled into the binary.

use super::{StoreError, Tx};
use diesel::{
    connection::SimpleConnection as _,
    migration::{Migration, MigrationSource as _},
    sqlite::Sqlite,
};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

const SQLITE: EmbeddedMigrations = embed_migrations!("../migrations/sqlite");
const POSTGRES: EmbeddedMigrations = embed_migrations!("../migrations/postgres");

/// Brings the schema up to date.
///
/// # Errors
/// [`StoreError::Migrate`]
pub fn up(tx: &mut Tx) -> Result<(), StoreError> {
    let outcome = match tx {
        Tx::Sqlite(connection) => connection.run_pending_migrations(SQLITE).map(|_| ()),
        Tx::Postgres(connection) => {
            // A step over a large table may take its time.
            connection.batch_execute("SET statement_timeout = 0; SET lock_timeout = 0")?;
            connection.run_pending_migrations(POSTGRES).map(|_| ())
        }
    };
    outcome.map_err(|error| StoreError::Migrate(error.to_string()))
}

/// The names of all steps.
///
/// # Errors
/// [`StoreError::Migrate`]
pub fn steps() -> Result<Vec<String>, StoreError> {
    let failed = |error: Box<dyn std::error::Error>| StoreError::Migrate(error.to_string());
    let steps: Vec<Box<dyn Migration<Sqlite>>> =
        SQLITE.migrations().map_err(|error| failed(error))?;
    Ok(steps.iter().map(|step| step.name().version().to_string()).collect())
}

/// Takes the whole schema back; for tests of the way down.
///
/// # Errors
/// [`StoreError::Migrate`]
pub fn down(tx: &mut Tx) -> Result<(), StoreError> {
    let outcome = match tx {
        Tx::Sqlite(connection) => connection.revert_all_migrations(SQLITE).map(|_| ()),
        Tx::Postgres(connection) => connection.revert_all_migrations(POSTGRES).map(|_| ()),
    };
    outcome.map_err(|error| StoreError::Migrate(error.to_string()))
}
