use crate::{
    config::Storage,
    store::{Store, StoreError, Tx, sites},
};
use diesel::connection::SimpleConnection as _;
use std::{
    panic::{AssertUnwindSafe, catch_unwind},
    path::PathBuf,
    sync::atomic::{AtomicU32, Ordering},
    thread,
    time::Duration,
};

/// A store in a folder of its own.
struct Shop(Store, PathBuf);

impl Shop {
    fn open() -> Self {
        static SHOPS: AtomicU32 = AtomicU32::new(0);
        let number = SHOPS.fetch_add(1, Ordering::Relaxed);
        let name = format!("weighhouse-line-{}-{number}", std::process::id());
        let folder = std::env::temp_dir().join(name);
        Self(Store::open(&Storage::Embedded(folder.clone())).expect("a store"), folder)
    }

    /// Holds its first turn until so many stand in line behind it, then writes.
    fn write_before(&self, others: u32) -> Result<(), StoreError> {
        let mut waited = false;
        self.0.write(|tx| {
            while !waited && self.0.line.waiting() < others {
                thread::sleep(Duration::from_millis(1));
            }
            waited = true;
            bump(tx)
        })
    }

    fn revision(&self) -> i64 {
        self.0.read(|tx| sites::find(tx, "main")).expect("a row").plan_revision
    }
}

impl Drop for Shop {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.1).expect("the folder goes");
    }
}

fn bump(tx: &mut Tx) -> Result<(), StoreError> {
    let at = "2026-06-10T07:30:00Z".parse().expect("an instant");
    let change = sites::Change { at, cause: "the test says so", bakery_changed: false };
    sites::bump(tx, "main", change).map(drop)
}

/// One who writes before three others that do as `odd` says, or as usual; the outcomes of these.
fn together(
    shop: &Shop,
    odd: &(impl Fn(&mut Tx) -> Result<(), StoreError> + Sync),
) -> Vec<Result<(), StoreError>> {
    thread::scope(|scope| {
        let first = scope.spawn(|| shop.write_before(3));
        // The first has its turn before the others come.
        while shop.0.line.place().waiting > 0 || !shop.0.line.place().taken {
            thread::sleep(Duration::from_millis(1));
        }
        let odd = scope.spawn(|| {
            catch_unwind(AssertUnwindSafe(|| shop.0.write(odd))).unwrap_or(Err(StoreError::Thread))
        });
        let usual = [(); 2].map(|()| scope.spawn(|| shop.0.write(bump)));
        first.join().expect("the first").expect("its write");
        let odd = std::iter::once(odd.join().expect("the odd one"));
        odd.chain(usual.map(|thread| thread.join().expect("a usual one"))).collect()
    })
}

#[test]
fn those_who_stand_in_line_share_a_commit() {
    let shop = Shop::open();
    for outcome in together(&shop, &bump) {
        outcome.expect("a write");
    }
    assert_eq!(shop.revision(), 4);
    assert_eq!(shop.0.metrics().writes_and_commits(), (4, 1));
    assert_eq!(shop.0.losses().count(), 0);
}

#[test]
fn what_one_of_them_is_refused_costs_the_others_nothing() {
    let shop = Shop::open();
    let refused = |tx: &mut Tx| {
        bump(tx)?;
        Err(StoreError::Corrupt("nothing: the test says so"))
    };
    let outcomes = together(&shop, &refused);
    assert!(matches!(outcomes[0], Err(StoreError::Corrupt(_))), "{outcomes:?}");
    assert!(outcomes[1..].iter().all(Result::is_ok), "{outcomes:?}");
    assert_eq!(shop.revision(), 3);
}

#[test]
fn where_one_of_them_dies_the_others_write_again() {
    let shop = Shop::open();
    let outcomes = together(&shop, &|_| panic!("the test says so"));
    assert!(matches!(outcomes[0], Err(StoreError::Thread)), "{outcomes:?}");
    assert!(outcomes[1..].iter().all(Result::is_ok), "{outcomes:?}");
    assert_eq!(shop.revision(), 3);
    assert_eq!(shop.0.losses().count(), 1);
}

#[test]
fn where_a_shared_commit_fails_each_has_its_own_answer() {
    let shop = Shop::open();
    // A line of no order is found out at the commit.
    let orphan = |tx: &mut Tx| {
        let statements = "PRAGMA defer_foreign_keys = ON; \
             INSERT INTO order_versions (site, order_ref, version, lines_rule, state, \
                                         received_at, fingerprint, plan_revision) \
             VALUES ('main', 'nobody', 1, 'line_by_line', 'taken', 't', 'f', 1)";
        Ok(tx.batch_execute(statements)?)
    };
    let outcomes = together(&shop, &orphan);
    assert!(matches!(outcomes[0], Err(StoreError::Query(_))), "{outcomes:?}");
    assert!(outcomes[1..].iter().all(Result::is_ok), "{outcomes:?}");
    assert_eq!(shop.revision(), 3);
    assert!(shop.0.losses().count() > 0);
}
