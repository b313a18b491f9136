//! What the two dialects write differently. The only `match` on the connection.

mod copying;

pub(super) use copying::{
    begin_copy, copy_file, execute_with, insert_of_json, is_embedded, pages_as_json, settle, texts,
};

use super::Tx;
use diesel::{
    Connection,
    connection::{AnsiTransactionManager, SimpleConnection, TransactionManager},
    prelude::*,
};

type Manager = <Tx as Connection>::TransactionManager;

/// Opens the embedded database of a file.
pub(super) fn open_file(file: &str) -> ConnectionResult<Tx> {
    Ok(Tx::Sqlite(SqliteConnection::establish(file)?))
}

/// Connects to the server at an address.
pub(super) fn reach(url: &str) -> ConnectionResult<Tx> {
    Ok(Tx::Postgres(PgConnection::establish(url)?))
}

/// Prepares a new connection.
pub(super) fn set_up(tx: &mut Tx) -> QueryResult<()> {
    match tx {
        // FULL, because an order that was answered must survive a power cut.
        Tx::Sqlite(connection) => connection.batch_execute(
            "PRAGMA busy_timeout = 10000; PRAGMA journal_mode = WAL; \
             PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;",
        ),
        // Nothing waits for ever: not for a lock, nor for a writer whose server froze.
        Tx::Postgres(connection) => connection.batch_execute(
            "SET TIME ZONE 'UTC'; SET lock_timeout = '10s'; SET statement_timeout = '60s'; \
             SET idle_in_transaction_session_timeout = '60s'",
        ),
    }
}

pub(super) fn ping(tx: &mut Tx) -> QueryResult<()> {
    tx.batch_execute("SELECT 1")
}

/// Whether a transaction was left open, by a panic for example.
pub(super) fn in_transaction(tx: &mut Tx) -> bool {
    match Manager::transaction_manager_status_mut(tx).transaction_depth() {
        Ok(depth) => depth.is_some(),
        Err(_) => true,
    }
}

pub(super) fn begin_read(tx: &mut Tx) -> QueryResult<()> {
    match tx {
        Tx::Sqlite(connection) => {
            AnsiTransactionManager::begin_transaction_sql(connection, "BEGIN DEFERRED")
        }
        Tx::Postgres(connection) => AnsiTransactionManager::begin_transaction_sql(
            connection,
            "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
        ),
    }
}

/// Begins a write: SQLite takes its one writer's place at once, so that two writers
/// queue instead of failing at their first statement.
pub(super) fn begin_write(tx: &mut Tx) -> QueryResult<()> {
    match tx {
        Tx::Sqlite(connection) => {
            AnsiTransactionManager::begin_transaction_sql(connection, "BEGIN IMMEDIATE")
        }
        Tx::Postgres(connection) => AnsiTransactionManager::begin_transaction_sql(
            connection,
            "BEGIN ISOLATION LEVEL SERIALIZABLE",
        ),
    }
}

pub(super) fn begin_nested(tx: &mut Tx) -> QueryResult<()> {
    Manager::begin_transaction(tx)
}

pub(super) fn commit(tx: &mut Tx) -> QueryResult<()> {
    Manager::commit_transaction(tx)
}

pub(super) fn roll_back(tx: &mut Tx) -> QueryResult<()> {
    Manager::rollback_transaction(tx)
}

/// Ends a transaction without keeping anything; a connection that cannot do even that is
/// given up. Nothing has to be said of it: what is not committed is not there.
pub(super) fn end(tx: &mut Tx) {
    if in_transaction(tx) && roll_back(tx).is_err() {
        give_up(tx);
    }
}

/// Sees to it that the connection is not kept.
pub(super) fn give_up(tx: &mut Tx) {
    Manager::transaction_manager_status_mut(tx).set_in_error();
}
