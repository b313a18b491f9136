//! What whoever runs it can count: the numbers behind `GET /metrics`.
//!
//! Labels are few and come from closed lists (operations of the route list, classes of status,
//! words of outcomes), so that the number of lines does not grow with use. Nothing here says
//! anything of a customer, an order or a token.

use prometheus_client::{
    encoding::prometheus_text::encode,
    metrics::{counter::Counter, family::Family, gauge::Gauge, histogram::Histogram},
    registry::{Registry, Unit},
};
use std::{borrow::Cow, fs, time::Duration};

type Label = (&'static str, Cow<'static, str>);
type Times<const LABELS: usize> = Family<[Label; LABELS], Histogram, fn() -> Histogram>;

/// Classes of times by their upper ends in seconds: from a kept answer to one nobody waits for.
fn times() -> Histogram {
    Histogram::new([0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0])
}

/// What the store counts.
#[derive(Debug, Clone)]
pub struct StoreMetrics {
    waits: Histogram,
    lines: Histogram,
    writes: Counter,
    commits: Counter,
    away: Counter,
    conflicts: Counter,
}

impl Default for StoreMetrics {
    fn default() -> Self {
        Self {
            waits: times(),
            lines: times(),
            writes: Counter::default(),
            commits: Counter::default(),
            away: Counter::default(),
            conflicts: Counter::default(),
        }
    }
}

impl StoreMetrics {
    fn register(&self, all: &mut Registry) {
        all.register_with_unit(
            "connection_wait",
            "Time for which a connection was waited for",
            Unit::Seconds,
            self.waits.clone(),
        );
        all.register_with_unit(
            "write_wait",
            "Time for which a write stood in line",
            Unit::Seconds,
            self.lines.clone(),
        );
        all.register("writes", "Writes that were committed", self.writes.clone());
        all.register("commits", "Commits that they shared", self.commits.clone());
        all.register("database_away", "Times that the database did not answer", self.away.clone());
        all.register(
            "write_conflicts",
            "Writes that met another and were tried again",
            self.conflicts.clone(),
        );
    }

    /// A connection was waited for.
    pub fn waited(&self, time: Duration) {
        self.waits.observe(time.as_secs_f64());
    }

    /// A write stood in line.
    pub fn stood_in_line(&self, time: Duration) {
        self.lines.observe(time.as_secs_f64());
    }

    /// So many writes were committed together.
    pub fn committed(&self, writes: u32) {
        self.writes.inc_by(writes.into());
        self.commits.inc();
    }

    /// What was written, and in how many commits.
    #[cfg(test)]
    pub fn writes_and_commits(&self) -> (u64, u64) {
        (self.writes.get(), self.commits.get())
    }

    /// The database did not answer.
    pub fn was_away(&self) {
        self.away.inc();
    }

    /// A write met another and is tried again.
    pub fn met_another(&self) {
        self.conflicts.inc();
    }
}

/// How a plan was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanFrom {
    /// It was made before.
    Kept,
    /// One made before, and the orders that came since.
    Changed,
    /// Made whole.
    Whole,
}

impl PlanFrom {
    const fn word(self) -> &'static str {
        match self {
            Self::Kept => "kept",
            Self::Changed => "changed",
            Self::Whole => "whole",
        }
    }
}

/// What plans are counted in.
#[derive(Debug, Clone)]
pub struct PlanMetrics(Times<1>);

impl Default for PlanMetrics {
    fn default() -> Self {
        Self(Family::new_with_constructor(times))
    }
}

impl PlanMetrics {
    /// A plan was come by in so much time, reading included.
    pub fn made(&self, from: PlanFrom, time: Duration) {
        let Self(family) = self;
        let label = [("from", Cow::Borrowed(from.word()))];
        family.get_or_create(&label).observe(time.as_secs_f64());
    }
}

/// What the books of the shop say at the moment of asking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Books {
    /// Its plan revision.
    pub plan_revision: i64,
    /// Entries in the chain of its ledger.
    pub ledger_entries: i64,
    /// Deliveries of its webhooks that were given up.
    pub dead_letters: i64,
}

/// All that is counted.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    requests: Times<2>,
    under_way: Gauge,
    orders: Family<[Label; 1], Counter>,
    plan_revision: Gauge,
    ledger_entries: Gauge,
    dead_letters: Gauge,
    resident_bytes: Gauge,
}

impl Metrics {
    /// Nothing counted yet beside what store and plans count.
    #[must_use]
    pub fn new(store: &StoreMetrics, plans: &PlanMetrics) -> Self {
        let mut metrics = Self {
            registry: Registry::default(),
            requests: Family::new_with_constructor(times),
            under_way: Gauge::default(),
            orders: Family::default(),
            plan_revision: Gauge::default(),
            ledger_entries: Gauge::default(),
            dead_letters: Gauge::default(),
            resident_bytes: Gauge::default(),
        };
        metrics.register(store, plans);
        metrics
    }

    fn register(&mut self, store: &StoreMetrics, plans: &PlanMetrics) {
        let PlanMetrics(plans) = plans;
        let all = &mut self.registry;
        let process = "Memory of the process that is in use";
        all.register_with_unit(
            "process_resident_memory",
            process,
            Unit::Bytes,
            self.resident_bytes.clone(),
        );
        let all = all.sub_registry_with_prefix("weighhouse");
        let build = [("version", Cow::Borrowed(env!("CARGO_PKG_VERSION")))];
        let built = Family::<[Label; 1], Gauge>::default();
        built.get_or_create(&build).set(1);
        all.register("build", "Always 1; the version is its label", built);
        all.register_with_unit(
            "request_duration",
            "Time until an answer was begun",
            Unit::Seconds,
            self.requests.clone(),
        );
        all.register(
            "requests_under_way",
            "Requests that are not answered yet",
            self.under_way.clone(),
        );
        all.register(
            "orders",
            "Orders and cancellations by what became of them",
            self.orders.clone(),
        );
        all.register_with_unit(
            "plan_duration",
            "Time in which a plan was come by",
            Unit::Seconds,
            plans.clone(),
        );
        store.register(all);
        all.register(
            "plan_revision",
            "Plan revision of the shop that is served",
            self.plan_revision.clone(),
        );
        all.register(
            "ledger_entries",
            "Entries in the chain of the ledger",
            self.ledger_entries.clone(),
        );
        all.register(
            "webhook_dead_letters",
            "Deliveries of webhooks that were given up and not sent again",
            self.dead_letters.clone(),
        );
    }

    /// A request came in.
    pub fn begin(&self) {
        self.under_way.inc();
    }

    /// A request was answered: by which operation, with which status, after how long.
    pub fn end(&self, operation: Option<String>, status: u16, time: Duration) {
        self.under_way.dec();
        let operation = operation.map_or(Cow::Borrowed("other"), Cow::Owned);
        let class = match status / 100 {
            1 => "1xx",
            2 => "2xx",
            3 => "3xx",
            4 => "4xx",
            _ => "5xx",
        };
        let labels = [("operation", operation), ("status", Cow::Borrowed(class))];
        self.requests.get_or_create(&labels).observe(time.as_secs_f64());
    }

    /// Orders were settled and committed, each with the word of what became of it.
    pub fn settled(&self, outcomes: &[&'static str]) {
        for word in outcomes {
            self.orders.get_or_create(&[("outcome", Cow::Borrowed(*word))]).inc();
        }
    }

    /// All of it as text, with what the books say now.
    ///
    /// # Source
    /// The Prometheus text exposition format, version 0.0.4.
    #[must_use]
    pub fn text(&self, books: Books) -> String {
        let Books { plan_revision, ledger_entries, dead_letters } = books;
        self.plan_revision.set(plan_revision);
        self.ledger_entries.set(ledger_entries);
        self.dead_letters.set(dead_letters);
        self.resident_bytes.set(resident_bytes().unwrap_or(0));
        let mut text = String::new();
        // A text takes all that is written to it.
        let _ = encode(&mut text, &self.registry);
        text
    }
}

/// Memory in use, where the system says it as Linux does.
fn resident_bytes() -> Option<i64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    let kibibytes: i64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    kibibytes.checked_mul(1024)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_happened_is_in_the_text() {
        let (store, plans) = (StoreMetrics::default(), PlanMetrics::default());
        let metrics = Metrics::new(&store, &plans);
        metrics.begin();
        metrics.end(Some("take_order".to_owned()), 201, Duration::from_millis(7));
        metrics.begin();
        metrics.settled(&["taken", "taken", "stale"]);
        plans.made(PlanFrom::Whole, Duration::from_millis(3));
        store.was_away();
        let text = metrics.text(Books { plan_revision: 12, ledger_entries: 34, dead_letters: 5 });
        for line in [
            "weighhouse_request_duration_seconds_bucket{operation=\"take_order\",status=\"2xx\",le=\"0.01\"} 1",
            "weighhouse_request_duration_seconds_bucket{operation=\"take_order\",status=\"2xx\",le=\"0.005\"} 0",
            "weighhouse_requests_under_way 1",
            "weighhouse_orders_total{outcome=\"taken\"} 2",
            "weighhouse_orders_total{outcome=\"stale\"} 1",
            "weighhouse_plan_duration_seconds_count{from=\"whole\"} 1",
            "weighhouse_database_away_total 1",
            "weighhouse_plan_revision 12",
            "weighhouse_ledger_entries 34",
            "weighhouse_webhook_dead_letters 5",
        ] {
            assert!(text.lines().any(|found| found == line), "{line} is not in\n{text}");
        }
    }
}
