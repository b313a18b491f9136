//! The schema's steps, compiled into the binary.

use super::{StoreError, Tx};
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
        Tx::Postgres(connection) => connection.run_pending_migrations(POSTGRES).map(|_| ()),
    };
    outcome.map_err(|error| StoreError::Migrate(error.to_string()))
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
