//! Connections that are kept, and found out when the database went away under them.

use super::{StoreError, Tx, dialect};
use crate::{config::Storage, metrics::StoreMetrics};
use diesel::r2d2::{ManageConnection, PooledConnection};
use std::{
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicBool, Ordering},
    },
    time::{Duration, Instant},
};

/// Connections kept: SQLite has one writer, and reads are short.
const CONNECTIONS_MAX: u32 = 8;
/// How long a request waits for a connection, or its turn, while the database answers others.
pub(super) const WAIT_MAX: Duration = Duration::from_secs(10);
/// After this long without one it is asked whether the database is there at all.
pub(super) const LOOK: Duration = Duration::from_millis(200);
/// A database that went away is tried again after half of this, or sooner.
const RETRY: Duration = Duration::from_secs(2);

/// What a connection to PostgreSQL is told unless its address says otherwise: give up soon
/// on a server that does not answer, and find out within seconds that a network is gone.
///
/// # Source
/// The PostgreSQL manual, "Parameter Key Words" of libpq; milliseconds in the last.
const PATIENCE: [(&str, &str); 6] = [
    ("application_name", "weighhouse"),
    ("connect_timeout", "3"),
    ("keepalives_idle", "10"),
    ("keepalives_interval", "5"),
    ("keepalives_count", "3"),
    ("tcp_user_timeout", "15000"),
];

pub(super) struct Manager {
    storage: Storage,
    /// Whether the last try to connect failed.
    away: Arc<AtomicBool>,
}

impl Manager {
    pub(super) fn new(storage: &Storage) -> Self {
        Self { storage: storage.clone(), away: Arc::default() }
    }

    fn establish(&self) -> Result<Tx, StoreError> {
        let mut tx = match &self.storage {
            Storage::Embedded(folder) => {
                dialect::open_file(&database_file(folder).to_string_lossy())?
            }
            Storage::Postgres(url) => dialect::reach(&patient(url))?,
        };
        dialect::set_up(&mut tx)?;
        Ok(tx)
    }
}

/// An address with what is to be said of patience.
fn patient(url: &str) -> String {
    let mut url = url.to_owned();
    for (name, value) in PATIENCE {
        if !url.contains(&format!("{name}=")) {
            url.push(if url.contains('?') { '&' } else { '?' });
            url.push_str(&format!("{name}={value}"));
        }
    }
    url
}

impl ManageConnection for Manager {
    type Connection = Tx;
    type Error = StoreError;

    fn connect(&self) -> Result<Tx, StoreError> {
        let made = self.establish();
        self.away.store(made.is_err(), Ordering::Relaxed);
        made
    }

    fn is_valid(&self, tx: &mut Tx) -> Result<(), StoreError> {
        Ok(dialect::ping(tx)?)
    }

    fn has_broken(&self, tx: &mut Tx) -> bool {
        dialect::in_transaction(tx)
    }
}

/// The file of an embedded database in its folder.
#[must_use]
pub fn database_file(folder: &Path) -> PathBuf {
    folder.join("weighhouse.sqlite")
}

/// Kept connections. Cheap to clone.
#[derive(Clone)]
pub(super) struct Pool {
    /// Whether the database is a file of this machine.
    embedded: bool,
    kept: diesel::r2d2::Pool<Manager>,
    away: Arc<AtomicBool>,
    pub(super) metrics: StoreMetrics,
}

impl Pool {
    pub(super) fn new(manager: Manager) -> Result<Self, StoreError> {
        let away = Arc::clone(&manager.away);
        let embedded = matches!(manager.storage, Storage::Embedded(_));
        let kept = diesel::r2d2::Pool::builder()
            .max_size(CONNECTIONS_MAX)
            .min_idle(Some(1))
            .test_on_check_out(false)
            .connection_timeout(RETRY)
            .build(manager)
            .map_err(|_| StoreError::Busy)?;
        Ok(Self { embedded, kept, away, metrics: StoreMetrics::default() })
    }

    /// A connection with a transaction begun. Connections of before a restart of the database
    /// are dead: each is found out here once, and nothing was done on it.
    pub(super) fn begin(
        &self,
        begin: impl Fn(&mut Tx) -> diesel::QueryResult<()>,
    ) -> Result<PooledConnection<Manager>, StoreError> {
        let mut tries = 0;
        loop {
            let mut tx = self.connection()?;
            match begin(&mut tx).map_err(StoreError::from) {
                Ok(()) => return Ok(tx),
                Err(StoreError::Away(_)) if tries < CONNECTIONS_MAX => {
                    self.metrics.was_away();
                    dialect::give_up(&mut tx);
                    tries += 1;
                }
                Err(error) => {
                    dialect::give_up(&mut tx);
                    return Err(error);
                }
            }
        }
    }

    /// A connection that nobody has to wait for, without a transaction.
    pub(super) fn at_once(&self) -> Option<PooledConnection<Manager>> {
        if self.embedded { self.kept.try_get() } else { None }
    }

    fn connection(&self) -> Result<PooledConnection<Manager>, StoreError> {
        let asked = Instant::now();
        loop {
            if let Ok(tx) = self.kept.get_timeout(LOOK) {
                self.metrics.waited(asked.elapsed());
                return Ok(tx);
            }
            if let Some(why) = self.why_not(asked.elapsed() > WAIT_MAX) {
                return Err(why);
            }
        }
    }

    /// Why it is of no use to wait longer, if it is not.
    pub(super) fn why_not(&self, waited_long: bool) -> Option<StoreError> {
        if self.away.load(Ordering::Relaxed) {
            self.metrics.was_away();
            return Some(StoreError::Away("no connection can be made".to_owned()));
        }
        waited_long.then_some(StoreError::Busy)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_keeps_what_it_says_itself() {
        assert_eq!(
            patient("postgres://shop@db/book?connect_timeout=9"),
            "postgres://shop@db/book?connect_timeout=9&application_name=weighhouse\
             &keepalives_idle=10&keepalives_interval=5&keepalives_count=3&tcp_user_timeout=15000"
        );
        assert!(patient("postgres://shop@db/book").contains("book?application_name="));
    }
}
