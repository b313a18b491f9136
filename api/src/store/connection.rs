//! The one connection type of both dialects.

use diesel::{PgConnection, SqliteConnection};

/// A connection to a database of either dialect, inside a transaction.
#[derive(diesel::MultiConnection)]
pub enum Tx {
    /// PostgreSQL.
    Postgres(PgConnection),
    /// The embedded SQLite.
    Sqlite(SqliteConnection),
}
