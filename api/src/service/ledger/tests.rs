use super::*;
use crate::{
    config::Config,
    document::{BakeryBody, decode},
    service::load,
    state::State,
};
use diesel::connection::SimpleConnection as _;

/// A state with the demo bakery in a folder of its own, which goes when it is dropped.
struct House {
    state: State,
    folder: std::path::PathBuf,
}

impl House {
    fn open(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("weighhouse-{name}-{}", std::process::id()));
        let now = "2026-06-10T09:30:00+02:00".parse().expect("an instant");
        let state = State::open(&Config::embedded(&folder), crate::clock::Clock::Fixed(now));
        let state = state.expect("a state");
        let text = include_bytes!("../../../../demo-data/bakery.json");
        let body: BakeryBody = decode(text).expect("a document");
        load::bakery(&state, &body).expect("a bakery");
        Self { state, folder }
    }

    fn write<T>(&self, body: impl FnMut(&mut Tx) -> Result<T, Refusal>) -> T {
        self.state.store.write(body).expect("a write")
    }

    fn check(&self) -> Checked {
        self.state.store.read(|tx| check(&self.state, tx)).expect("a check")
    }

    /// A lot of rye with 25 kg in it.
    fn rye(&self, name: &str) -> String {
        let sql = format!(
            "INSERT INTO lots (site, id, name, item, unit, received, state, usage, place) \
             VALUES ('main', '{name}', '{name}', 'rye', 'g', '2026-06-10', 'released', 'any', \
             'dry')"
        );
        self.write(|tx| {
            tx.batch_execute(&sql).map_err(crate::store::StoreError::from)?;
            enter(tx, "main", self.state.now(), self.entry(name, MovementKind::Receive, 25))
        })
    }

    fn entry<'a>(&self, lot: &'a str, kind: MovementKind, kilograms: i64) -> Entry<'a> {
        Entry::new(lot, kind, kilograms * 1_000_000_000, self.state.now())
    }

    fn enter(&self, lot: &str, kind: MovementKind, kilograms: i64) -> String {
        let entry = self.entry(lot, kind, kilograms);
        self.write(|tx| enter(tx, "main", self.state.now(), entry))
    }

    /// Changes the file behind the ledger's back, as somebody with a database tool would.
    fn tamper(&self, sql: &str) {
        let sql = format!(
            "DROP TRIGGER movements_never_change; DROP TRIGGER movements_never_vanish; {sql}"
        );
        self.write(|tx| Ok(tx.batch_execute(&sql).map_err(crate::store::StoreError::from)?));
    }

    fn kinds(&self) -> Vec<&'static str> {
        self.check().findings.iter().map(|finding| finding.kind).collect()
    }
}

impl Drop for House {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

#[test]
fn a_ledger_proves_itself_and_says_where_the_mass_went() {
    // Source: trade.md 4: received = used + waste + left + variance.
    let house = House::open("ledger-whole");
    house.rye("a");
    house.enter("a", MovementKind::Use, -10);
    house.enter("a", MovementKind::Waste, -2);
    house.enter("a", MovementKind::Count, -1);
    let checked = house.check();
    assert_eq!(checked.findings, []);
    assert_eq!((checked.entries, checked.lots), (4, 1));
    let mass = checked.balances["a"];
    let kilograms = [mass.came_micro, mass.used_micro, mass.wasted_micro, mass.variance_micro];
    assert_eq!(kilograms.map(|micro| micro / 1_000_000_000), [25, 10, 2, -1]);
    assert_eq!(mass.left_micro / 1_000_000_000, 12);
}

#[test]
fn tampering_shows_whatever_is_changed() {
    for (number, (sql, expected)) in [
        ("UPDATE movements SET amount_micro = -1 WHERE sequence = 2", "entry-changed"),
        ("UPDATE movements SET who = 'nobody' WHERE sequence = 2", "entry-changed"),
        ("UPDATE movements SET happened_at = '2026-01-01' WHERE sequence = 3", "entry-changed"),
        ("DELETE FROM movements WHERE sequence = 2", "sequence-gap"),
        ("DELETE FROM movements WHERE sequence = 3", "chain-cut"),
        ("UPDATE balances SET balance_micro = balance_micro + 1", "balance-differs"),
        ("DELETE FROM balances", "balance-differs"),
    ]
    .into_iter()
    .enumerate()
    {
        let house = House::open(&format!("ledger-tamper-{number}"));
        house.rye("a");
        house.enter("a", MovementKind::Use, -10);
        house.enter("a", MovementKind::Use, -1);
        assert_eq!(house.check().findings, []);
        house.tamper(sql);
        assert!(house.kinds().contains(&expected), "{sql}: {:?}", house.kinds());
    }
}

#[test]
fn entries_from_before_the_chain_are_covered_by_its_first_link() {
    let house = House::open("ledger-before");
    house.tamper(
        "INSERT INTO lots (site, id, name, item, unit, received, state, usage) \
         VALUES ('main', 'old', 'old', 'rye', 'g', '2026-06-01', 'released', 'any'); \
         INSERT INTO movements (site, id, lot, kind, amount_micro, happened_at, recorded_at) \
         VALUES ('main', 'm', 'old', 'receive', 7, 't', 't'); \
         INSERT INTO balances VALUES ('main', 'old', '', 7)",
    );
    house.rye("a");
    let checked = house.check();
    assert_eq!((checked.findings, checked.entries, checked.entries_before), (vec![], 1, 1));
    house.write(|tx| {
        let sql = "UPDATE movements SET amount_micro = 8 WHERE id = 'm'; \
                   UPDATE balances SET balance_micro = 8 WHERE lot = 'old'";
        Ok(tx.batch_execute(sql).map_err(crate::store::StoreError::from)?)
    });
    assert_eq!(house.kinds(), ["chain-broken"]);
}

#[test]
fn a_correction_takes_an_entry_back_once_at_its_own_moment() {
    // Source: check-values.md 6, invariant 3: the opposite sign; nothing is overwritten.
    let house = House::open("ledger-correct");
    house.rye("a");
    let wrong = house.enter("a", MovementKind::Use, -20);
    let bakery = house
        .state
        .store
        .read(|tx| crate::service::bakery::load(&house.state, tx))
        .expect("a bakery");
    let correction = Correction {
        reason: "typed 20 for 2".to_owned(),
        who: Some("Imre".to_owned()),
        instead: domain::quantity::Quantity::parse("2", "kg").ok(),
    };
    let now = house.state.now();
    let written = house.write(|tx| correct(tx, "main", now, &bakery, (&wrong, &correction)));
    let amounts: Vec<_> = written.iter().map(|entry| entry.amount_micro / 1_000_000_000).collect();
    assert_eq!(amounts, [20, -2]);
    assert_eq!(written[0].reverses.as_ref(), Some(&wrong));
    let again = house
        .state
        .store
        .write(|tx| correct(tx, "main", now, &bakery, (&wrong, &correction)).map(|_| ()));
    assert!(matches!(again, Err(Refusal::Stated { slug: "cannot-correct", .. })));
    let back = written[0].id.clone();
    let of_it = house
        .state
        .store
        .write(|tx| correct(tx, "main", now, &bakery, (&back, &correction)).map(|_| ()));
    assert!(matches!(of_it, Err(Refusal::Stated { slug: "cannot-correct", .. })));
    let checked = house.check();
    assert_eq!(checked.findings, []);
    // The figure that was wrong is right now, and the wrong one is gone from it.
    assert_eq!(checked.balances["a"].used_micro / 1_000_000_000, 2);
}

#[test]
fn an_entry_that_its_kind_does_not_allow_is_refused() {
    let house = House::open("ledger-direction");
    house.rye("a");
    let entry = house.entry("a", MovementKind::Use, 1);
    let outcome = house.state.store.write(|tx| enter(tx, "main", house.state.now(), entry));
    assert!(matches!(outcome, Err(Refusal::Stated { slug: "out-of-range", .. })));
    assert_eq!(house.check().entries, 1);
}
