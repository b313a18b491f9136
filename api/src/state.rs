//! What every request shares: the store, the clock, and which shop this server serves.

use crate::{
    clock::Clock,
    config::Config,
    messages::Language,
    metrics::Metrics,
    service::{audit, plan::KeptMornings},
    store::{MayConflict, Store, StoreError, Tx},
};
use domain::bakery::Bakery;
use jiff::Timestamp;
use paper::Size;
use std::sync::{
    Arc, Mutex, PoisonError,
    atomic::{AtomicBool, Ordering},
};

/// The status of a write that is not answered word for word.
const STATUS_DONE: u16 = 200;

/// The store, the clock and the shop that is served.
pub struct State {
    /// The database.
    pub store: Store,
    /// Where "now" comes from.
    pub clock: Clock,
    /// First part of every key in the store.
    pub site: String,
    /// Which paper sheets are printed on.
    pub paper: Size,
    /// Which language is spoken to whoever asks for none of ours.
    pub language: Language,
    /// Plans made before, for requests that ask the same again.
    pub mornings: KeptMornings,
    /// What is counted.
    pub metrics: Metrics,
    /// Whether the server was told to stop.
    stopping: AtomicBool,
    /// The bakery compiled last, with what it was read at.
    compiled: Mutex<Option<(CompiledAt, Arc<Bakery>)>>,
}

/// What a compiled bakery answers for: a bakery revision, and the losses of shared transactions
/// before it was read.
type CompiledAt = (i64, u64);

impl State {
    /// Opens the database that `config` names.
    ///
    /// # Errors
    /// [`StoreError`]
    pub fn open(config: &Config, clock: Clock) -> Result<Self, StoreError> {
        let store = Store::open(&config.storage)?;
        let mornings = KeptMornings::new(store.losses().clone(), store.begun().clone());
        let site = config.site.clone();
        let metrics = Metrics::new(store.metrics(), mornings.metrics());
        let (paper, language) = (config.paper, config.language);
        let (stopping, compiled) = (AtomicBool::new(false), Mutex::new(None));
        Ok(Self { store, clock, site, paper, language, mornings, metrics, stopping, compiled })
    }

    /// Runs `body` in a write transaction that says who wrote.
    ///
    /// # Errors
    /// What `body` says, or a [`StoreError`]; then nothing was written.
    pub fn write<T, E: MayConflict>(
        &self,
        mut body: impl FnMut(&mut Tx) -> Result<T, E>,
    ) -> Result<T, E> {
        self.store.write(|tx| {
            let value = body(tx)?;
            audit::note(tx, self, STATUS_DONE)?;
            Ok(value)
        })
    }

    /// Notes that the server was told to stop: it is ready for nobody new.
    pub fn stop(&self) {
        self.stopping.store(true, Ordering::Relaxed);
    }

    /// Whether the server was told to stop: answers without an end come to theirs.
    #[must_use]
    pub fn is_stopping(&self) -> bool {
        self.stopping.load(Ordering::Relaxed)
    }

    /// The present instant.
    #[must_use]
    pub fn now(&self) -> Timestamp {
        self.clock.now()
    }

    /// The compiled bakery of a revision, if it is the one that was kept.
    #[must_use]
    pub fn compiled(&self, revision: i64) -> Option<Arc<Bakery>> {
        let kept = self.compiled.lock().unwrap_or_else(PoisonError::into_inner);
        let at = self.compiled_at(revision);
        kept.as_ref().filter(|(of, _)| *of == at).map(|(_, bakery)| Arc::clone(bakery))
    }

    /// Keeps the compiled bakery of a committed revision.
    pub fn keep_compiled(&self, revision: i64, bakery: Arc<Bakery>) {
        let mut kept = self.compiled.lock().unwrap_or_else(PoisonError::into_inner);
        *kept = Some((self.compiled_at(revision), bakery));
    }

    fn compiled_at(&self, revision: i64) -> CompiledAt {
        (revision, self.store.losses().count())
    }
}
