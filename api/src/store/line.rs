//! Writers in line: one works at a time, and those who come one upon another share a commit.
//!
//! A shop's writes follow one another whatever is done, for each counts the plan revision on.
//! What a durable write costs is mostly the disk at its commit. So a writer hands the open
//! transaction on to the next in line, who works in a savepoint of its own, and the last one
//! commits for all. Nobody is answered before that commit: what was answered survives a power
//! cut. If the commit fails, nothing of it is there, and each writer tries again.

use super::{
    StoreError, Tx, dialect,
    pool::{LOOK, Manager, Pool, WAIT_MAX},
};
use diesel::r2d2::PooledConnection;
use std::{
    sync::{
        Arc, Condvar, Mutex, MutexGuard, PoisonError,
        atomic::{AtomicU64, Ordering},
    },
    time::{Duration, Instant},
};

/// Most writes that share a commit.
const SHARING_MAX: u32 = 32;
/// A transaction that is open this long is committed, whoever waits.
const OPEN_MAX: Duration = Duration::from_millis(50);

/// How often something happened in one server's line. Cheap to clone; it never goes down.
#[derive(Debug, Clone, Default)]
pub struct Count(Arc<AtomicU64>);

impl Count {
    /// How often by now.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.0.load(Ordering::Acquire)
    }

    /// Once more.
    pub(crate) fn another(&self) {
        self.0.fetch_add(1, Ordering::AcqRel);
    }
}

/// The line of one server's writers.
#[derive(Default)]
pub(super) struct Line {
    place: Mutex<Place>,
    moved: Condvar,
    /// Shared transactions that were lost: what was read in one of them and kept must not
    /// answer for what is written later.
    pub(super) losses: Count,
    /// Transactions that were begun: the one that is open has a number that no other has.
    pub(super) begun: Count,
}

/// The head of the line.
#[derive(Default)]
struct Place {
    /// Whether somebody writes.
    taken: bool,
    /// How many stand in line.
    waiting: u32,
    /// The transaction that the one before left open for the next; somebody waits then.
    open: Option<Open>,
}

/// A transaction that is handed on.
struct Open {
    tx: PooledConnection<Manager>,
    /// Writes that are done in it.
    writes: u32,
    since: Instant,
    fate: Arc<Fate>,
}

/// What becomes of a shared transaction: none while it is open, then whether it was committed.
#[derive(Default)]
struct Fate {
    committed: Mutex<Option<bool>>,
    told: Condvar,
}

impl Fate {
    fn tell(&self, committed: bool) {
        *self.committed.lock().unwrap_or_else(PoisonError::into_inner) = Some(committed);
        self.told.notify_all();
    }

    /// Waits for the commit; whoever was lost with others tries again.
    fn wait(&self) -> Result<(), StoreError> {
        let open = self.committed.lock().unwrap_or_else(PoisonError::into_inner);
        let told = self.told.wait_while(open, |committed| committed.is_none());
        let committed = *told.unwrap_or_else(PoisonError::into_inner);
        if committed == Some(true) { Ok(()) } else { Err(StoreError::Busy) }
    }
}

impl Line {
    /// Waits for a turn and a transaction to write in; one of its own for who wants to be alone.
    ///
    /// # Errors
    /// [`StoreError::Busy`] after a long wait, [`StoreError::Away`] without a database.
    pub(super) fn turn<'a>(&'a self, pool: &'a Pool, alone: bool) -> Result<Turn<'a>, StoreError> {
        let asked = Instant::now();
        let mut place = self.place();
        place.waiting += 1;
        while place.taken {
            let moved = self.moved.wait_timeout(place, LOOK);
            place = moved.unwrap_or_else(PoisonError::into_inner).0;
            let why = pool.why_not(asked.elapsed() > WAIT_MAX);
            if let (true, Some(why)) = (place.taken, why) {
                place.waiting -= 1;
                return Err(why);
            }
        }
        place.waiting -= 1;
        place.taken = true;
        let mut turn = Turn { line: self, pool, alone, open: place.open.take() };
        drop(place);
        pool.metrics.stood_in_line(asked.elapsed());
        if alone && turn.open.is_some() {
            // Those before hear of it themselves.
            let _ = turn.commit();
        }
        if turn.open.is_none() {
            let (tx, fate) = (pool.begin(dialect::begin_write)?, Arc::default());
            self.begun.another();
            turn.open = Some(Open { tx, writes: 0, since: Instant::now(), fate });
        }
        Ok(turn)
    }

    /// How many stand in line.
    #[cfg(test)]
    pub(super) fn waiting(&self) -> u32 {
        self.place().waiting
    }

    fn place(&self) -> MutexGuard<'_, Place> {
        self.place.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The turn of one writer. If it is dropped with its transaction, all of that is taken back.
pub(super) struct Turn<'a> {
    line: &'a Line,
    pool: &'a Pool,
    alone: bool,
    /// None once it was committed or handed on.
    open: Option<Open>,
}

impl Turn<'_> {
    /// The transaction.
    ///
    /// # Errors
    /// [`StoreError::Thread`] after the turn was settled, which takes it.
    pub(super) fn tx(&mut self) -> Result<&mut Tx, StoreError> {
        self.open.as_mut().map(|open| &mut *open.tx).ok_or(StoreError::Thread)
    }

    /// Whether others wrote in the transaction before.
    pub(super) fn is_shared(&self) -> bool {
        self.open.as_ref().is_some_and(|open| open.writes > 0)
    }

    /// Keeps what was written; returns when it is committed, by this writer or a later one.
    ///
    /// # Errors
    /// Why it cannot be committed; [`StoreError::Busy`] if that may be the fault of others.
    pub(super) fn settle(mut self) -> Result<(), StoreError> {
        let Some(mut open) = self.open.take() else { return Err(StoreError::Thread) };
        open.writes += 1;
        let shared = open.writes > 1;
        let mut place = self.line.place();
        let full = open.writes >= SHARING_MAX || open.since.elapsed() > OPEN_MAX;
        if place.waiting > 0 && !full && !self.alone {
            let fate = Arc::clone(&open.fate);
            place.open = Some(open);
            drop(place);
            drop(self);
            return fate.wait();
        }
        drop(place);
        self.open = Some(open);
        let committed = self.commit();
        if shared { committed.map_err(|_| StoreError::Busy) } else { committed }
    }

    /// Commits the transaction for all who wrote in it, or takes it back.
    fn commit(&mut self) -> Result<(), StoreError> {
        let Some(mut open) = self.open.take() else { return Err(StoreError::Thread) };
        let committed = dialect::commit(&mut open.tx);
        if committed.is_ok() {
            self.pool.metrics.committed(open.writes);
            open.fate.tell(true);
        } else {
            self.lose(open);
        }
        Ok(committed?)
    }

    /// Takes a transaction back from all who wrote in it.
    fn lose(&self, mut open: Open) {
        dialect::end(&mut open.tx);
        if open.writes > 0 {
            self.line.losses.another();
        }
        open.fate.tell(false);
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        if let Some(open) = self.open.take() {
            self.lose(open);
        }
        self.line.place().taken = false;
        self.line.moved.notify_one();
    }
}

#[cfg(test)]
mod tests;
