use super::*;
use diesel::connection::SimpleConnection;
use diesel::{Connection as _, SqliteConnection};

/// A database in memory with the whole schema.
pub(crate) fn memory() -> Tx {
    let mut tx = Tx::Sqlite(SqliteConnection::establish(":memory:").expect("a database"));
    dialect::set_up(&mut tx).expect("settings");
    migrate::up(&mut tx).expect("a schema");
    tx
}

#[test]
fn the_schema_goes_up_down_and_up_again() {
    let mut tx = memory();
    migrate::down(&mut tx).expect("down");
    migrate::up(&mut tx).expect("up again");
}

#[test]
fn the_tables_are_the_same_text_in_both_dialects() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../migrations");
    let steps = |dialect: &str| {
        let folder = std::fs::read_dir(format!("{root}/{dialect}")).expect("a folder");
        let name = |entry: std::io::Result<std::fs::DirEntry>| {
            entry.expect("a step").file_name().to_string_lossy().into_owned()
        };
        folder.map(name).collect::<std::collections::BTreeSet<_>>()
    };
    assert_eq!(steps("sqlite"), steps("postgres"));
    // Triggers are the one thing that the two write differently.
    for step in steps("sqlite").iter().filter(|step| !step.ends_with("append_only")) {
        for file in ["up", "down"] {
            let read = |dialect: &str| {
                std::fs::read_to_string(format!("{root}/{dialect}/{step}/{file}.sql"))
                    .expect("a migration")
            };
            assert_eq!(read("sqlite"), read("postgres"), "{step}");
        }
    }
}

#[test]
fn the_database_itself_refuses_to_change_a_movement() {
    let mut tx = memory();
    tx.batch_execute(
        "INSERT INTO lots (site, id, name, item, unit, received, state, usage) \
         VALUES ('main', 'l', 'L-1', 'rye', 'g', '2026-06-10', 'released', 'any'); \
         INSERT INTO movements (site, id, lot, kind, amount_micro, happened_at, recorded_at) \
         VALUES ('main', 'm', 'l', 'receive', 1, 't', 't')",
    )
    .expect("a movement");
    for statement in ["UPDATE movements SET amount_micro = 2", "DELETE FROM movements"] {
        let error = tx.batch_execute(statement).expect_err(statement).to_string();
        assert!(error.contains("append-only"), "{error}");
    }
    let sums = movements::sums(&mut tx, "main").expect("sums");
    assert_eq!(sums[&("l".to_owned(), String::new())], 1);
}

#[test]
fn the_database_itself_refuses_to_change_what_happened_to_a_load() {
    let mut tx = memory();
    tx.batch_execute(
        "INSERT INTO loads (site, id, formula, service_date, number, state, starts_at, who, \
                            happened_at, body) \
         VALUES ('main', 'l', 'bun', '2026-06-12', 1, 'released', 't', 'Anna', 't', '{}'); \
         INSERT INTO load_events (site, id, load_id, step, who, happened_at, recorded_at, body, \
                                  plan_revision) \
         VALUES ('main', 'e', 'l', 'released', 'Anna', 't', 't', '{}', 1); \
         INSERT INTO overrides (site, id, service_date, kind, code, note, who, recorded_at, \
                                plan_revision) \
         VALUES ('main', 'o', '2026-06-12', 'loads', 'bun', 'n', 'Anna', 't', 2); \
         INSERT INTO revisions (site, plan_revision, made_at, cause) VALUES ('main', 1, 't', 'c')",
    )
    .expect("rows");
    for (table, column) in [("load_events", "who"), ("overrides", "note"), ("revisions", "cause")] {
        for statement in
            [format!("UPDATE {table} SET {column} = 'x'"), format!("DELETE FROM {table}")]
        {
            let error = tx.batch_execute(&statement).expect_err(&statement).to_string();
            assert!(error.contains("append-only"), "{error}");
        }
    }
    let twice = "INSERT INTO loads (site, id, formula, service_date, number, state, starts_at, \
                                    who, happened_at, body) \
                 VALUES ('main', 'm', 'bun', '2026-06-12', 1, 'released', 't', 'Bob', 't', '{}')";
    tx.batch_execute(twice).expect_err("a number is given once");
}

#[test]
fn a_balance_beyond_what_floats_hold_is_exact() {
    let mut tx = memory();
    // 2^53 + 1 has no double: a float sum would print an even number.
    tx.batch_execute(
        "INSERT INTO lots (site, id, name, item, unit, received, state, usage) \
         VALUES ('main', 'l', 'L-1', 'rye', 'g', '2026-06-10', 'released', 'any'); \
         INSERT INTO movements (site, id, lot, kind, amount_micro, happened_at, recorded_at) \
         VALUES ('main', 'a', 'l', 'receive', 9007199254740992, 't', 't'), \
                ('main', 'b', 'l', 'receive', 1, 't', 't')",
    )
    .expect("movements");
    let balance = movements::balance_at(&mut tx, "main", "l", "t").expect("a balance");
    assert_eq!(balance, 9_007_199_254_740_993);
}

#[test]
fn what_fails_inside_an_attempt_takes_back_only_itself() {
    let folder = std::env::temp_dir().join(format!("weighhouse-store-{}", std::process::id()));
    let store = Store::open(&Storage::Embedded(folder.clone())).expect("a store");
    let at = "2026-06-10T07:30:00Z".parse().expect("an instant");
    let change = sites::Change { at, cause: "the test says so", bakery_changed: false };
    store
        .write(|tx| {
            sites::bump(tx, "main", change)?;
            let outcome = attempt(tx, |tx| -> Result<(), StoreError> {
                sites::bump(tx, "main", change)?;
                Err(StoreError::Corrupt("nothing: the test says so"))
            })?;
            assert!(outcome.is_err());
            Ok::<_, StoreError>(())
        })
        .expect("a write");
    let row = store.read(|tx| sites::find(tx, "main")).expect("a row");
    assert_eq!(row.plan_revision, 1);
    std::fs::remove_dir_all(folder).expect("the folder goes");
}
