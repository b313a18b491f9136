//! Why the store could not do its work, read off what a database says.

use diesel::result::{ConnectionError, DatabaseErrorKind, Error as QueryError};

/// Why the store could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// Others were writing all the time.
    #[error("the database was busy")]
    Busy,
    /// The database does not answer: it is down, starts up, or was stopped under us.
    #[error("the database cannot be reached: {0}")]
    Away(String),
    /// There is no room left for what was to be written.
    #[error("the disk of the database is full: {0}")]
    Full(String),
    /// It can be read and not written.
    #[error("the database can only be read: {0}")]
    ReadOnly(String),
    /// No connection could be made when the store was opened.
    #[error("no connection to the database: {0}")]
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
    /// A copy is put into an empty database only.
    #[error("the database is not empty (`{0}` has rows): nothing is overwritten")]
    Occupied(String),
    /// A stored text is not what was written.
    #[error("a stored {0} cannot be read")]
    Corrupt(&'static str),
    /// A thread that worked on it died.
    #[error("a thread died")]
    Thread,
}

/// Tables of which two writers may make the same row at once; the keys of their partitions
/// begin with the same words.
const FIRST_ROWS: [&str; 7] = [
    "idempotency_",
    "ledger_heads_",
    "notices_",
    "shortage_watches_",
    "sites_",
    "supplier_orders_",
    "webhooks_",
];

/// What words of a database mean.
type Meaning = fn(String) -> StoreError;

/// What a store says in words alone, and what it means.
///
/// # Source
/// Messages of SQLite's result codes 5, 8, 10, 13 and 14; of PostgreSQL's conditions 25006,
/// 40P01, 53100, 53300, 55P03, 57014 and 57P01 to 57P03.
const WORDS: [(&str, Meaning); 18] = [
    ("database is locked", |_| StoreError::Busy),
    ("deadlock detected", |_| StoreError::Busy),
    ("lock timeout", |_| StoreError::Busy),
    ("statement timeout", |_| StoreError::Busy),
    ("too many clients", |_| StoreError::Busy),
    ("connection slots", |_| StoreError::Busy),
    ("disk is full", StoreError::Full),
    ("No space left on device", StoreError::Full),
    ("disk quota exceeded", StoreError::Full),
    ("readonly database", StoreError::ReadOnly),
    ("read-only", StoreError::ReadOnly),
    ("hot standby", StoreError::ReadOnly),
    ("unable to open database", |said| {
        StoreError::Away(format!("{said}: its folder must be there, and writable for this user"))
    }),
    ("disk I/O error", StoreError::Away),
    ("terminating connection", StoreError::Away),
    ("closed the connection", StoreError::Away),
    ("the database system is", StoreError::Away),
    ("no connection", StoreError::Away),
];

impl From<QueryError> for StoreError {
    fn from(error: QueryError) -> Self {
        match error {
            QueryError::DatabaseError(kind, info) => match kind {
                DatabaseErrorKind::SerializationFailure => Self::Busy,
                // Two writers made the first row of a shop, or the same request came twice at
                // once: the second sees the row of the first when it tries again.
                DatabaseErrorKind::UniqueViolation
                    if info.constraint_name().is_some_and(is_first_row) =>
                {
                    Self::Busy
                }
                DatabaseErrorKind::ClosedConnection | DatabaseErrorKind::UnableToSendCommand => {
                    Self::Away(info.message().to_owned())
                }
                DatabaseErrorKind::ReadOnlyTransaction => Self::ReadOnly(info.message().to_owned()),
                _ => match in_words(info.message()) {
                    Some(meant) => meant(info.message().to_owned()),
                    None => Self::Query(QueryError::DatabaseError(kind, info)),
                },
            },
            QueryError::BrokenTransactionManager => Self::Away("it broke off".to_owned()),
            QueryError::RollbackErrorOnCommit { commit_error, .. } => Self::from(*commit_error),
            other => Self::Query(other),
        }
    }
}

fn is_first_row(constraint: &str) -> bool {
    FIRST_ROWS.iter().any(|table| constraint.starts_with(table))
}

fn in_words(message: &str) -> Option<Meaning> {
    let found = WORDS.iter().find(|(words, _)| message.contains(words));
    found.map(|(_, meant)| *meant)
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
