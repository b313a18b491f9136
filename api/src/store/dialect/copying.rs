//! How each dialect gives and takes whole tables.

use super::Tx;
use diesel::{
    PgConnection, QueryableByName, RunQueryDsl as _, SqliteConnection,
    connection::{AnsiTransactionManager, SimpleConnection as _},
    prelude::*,
    sql_query,
    sql_types::Text,
};

#[derive(QueryableByName)]
struct TextRow {
    #[diesel(sql_type = Text)]
    text: String,
}

/// What a page of rows is given to, each row as a JSON object.
type Taker<'a> = &'a mut dyn FnMut(&[String]) -> QueryResult<()>;

pub(in crate::store) const fn is_embedded(tx: &Tx) -> bool {
    matches!(tx, Tx::Sqlite(_))
}

/// The texts of a statement that gives one column of that name.
pub(in crate::store) fn texts(tx: &mut Tx, sql: &str) -> QueryResult<Vec<String>> {
    match tx {
        Tx::Sqlite(connection) => load(connection, sql),
        Tx::Postgres(connection) => load(connection, sql),
    }
}

/// Runs a statement with one text.
pub(in crate::store) fn execute_with(tx: &mut Tx, sql: &str, text: &str) -> QueryResult<()> {
    match tx {
        Tx::Sqlite(connection) => sql_query(sql).bind::<Text, _>(text).execute(connection)?,
        Tx::Postgres(connection) => sql_query(sql).bind::<Text, _>(text).execute(connection)?,
    };
    Ok(())
}

/// Copies the whole database into a new file, if the dialect can; says whether it did.
pub(in crate::store) fn copy_file(tx: &mut Tx, file: &str) -> QueryResult<bool> {
    match tx {
        Tx::Sqlite(connection) => {
            sql_query("VACUUM INTO ?").bind::<Text, _>(file).execute(connection)?;
            Ok(true)
        }
        Tx::Postgres(_) => Ok(false),
    }
}

/// Puts what stands in files beside the database into it.
pub(in crate::store) fn settle(tx: &mut Tx) -> QueryResult<()> {
    match tx {
        Tx::Sqlite(connection) => connection
            .batch_execute("PRAGMA wal_checkpoint(TRUNCATE); PRAGMA journal_mode = DELETE"),
        Tx::Postgres(_) => Ok(()),
    }
}

/// Begins the transaction in which a database is filled.
pub(in crate::store) fn begin_copy(tx: &mut Tx) -> QueryResult<()> {
    match tx {
        Tx::Sqlite(connection) => {
            AnsiTransactionManager::begin_transaction_sql(connection, "BEGIN IMMEDIATE")
        }
        Tx::Postgres(connection) => {
            // A page of rows may take longer than any request.
            connection.batch_execute("SET statement_timeout = 0")?;
            AnsiTransactionManager::begin_transaction_sql(connection, "BEGIN")
        }
    }
}

/// The statement that inserts a JSON list of rows.
pub(in crate::store) fn insert_of_json(tx: &Tx, table: &str, columns: &[String]) -> String {
    let list =
        |each: fn(&String) -> String| columns.iter().map(each).collect::<Vec<_>>().join(", ");
    let names = list(|name| format!("\"{name}\""));
    match tx {
        Tx::Sqlite(_) => {
            let values = list(|name| format!("json_extract(value, '$.{name}')"));
            format!("INSERT INTO \"{table}\" ({names}) SELECT {values} FROM json_each(?)")
        }
        Tx::Postgres(_) => format!(
            "INSERT INTO \"{table}\" ({names}) SELECT {names} \
             FROM json_populate_recordset(NULL::\"{table}\", $1::json)"
        ),
    }
}

/// Gives all rows of a table, a page at a time, in the order in which they may be inserted.
pub(in crate::store) fn pages_as_json(
    tx: &mut Tx,
    (table, columns, key): (&str, &[String], &str),
    page: i64,
    take: Taker<'_>,
) -> QueryResult<()> {
    match tx {
        Tx::Sqlite(connection) => embedded_pages(connection, (table, columns), page, take),
        Tx::Postgres(connection) => served_pages(connection, (table, key), page, take),
    }
}

fn load<C>(connection: &mut C, sql: &str) -> QueryResult<Vec<String>>
where
    for<'q> diesel::query_builder::SqlQuery: diesel::query_dsl::methods::LoadQuery<'q, C, TextRow>,
{
    let rows: Vec<TextRow> = sql_query(sql).load(connection)?;
    Ok(rows.into_iter().map(|TextRow { text }| text).collect())
}

/// In the order of insertion, by windows of row numbers.
fn embedded_pages(
    connection: &mut SqliteConnection,
    (table, columns): (&str, &[String]),
    page: i64,
    take: Taker<'_>,
) -> QueryResult<()> {
    let pairs: Vec<_> = columns.iter().map(|name| format!("'{name}', \"{name}\"")).collect();
    let pairs = pairs.join(", ");
    let last = format!("SELECT CAST(ifnull(max(rowid), 0) AS TEXT) AS text FROM \"{table}\"");
    let last = load(connection, &last)?.pop().and_then(|text| text.parse().ok()).unwrap_or(0_i64);
    let mut from = 0;
    while from < last {
        let until = from.saturating_add(page);
        let rows = load(
            connection,
            &format!(
                "SELECT json_object({pairs}) AS text FROM \"{table}\" \
                 WHERE rowid > {from} AND rowid <= {until} ORDER BY rowid"
            ),
        )?;
        if !rows.is_empty() {
            take(&rows)?;
        }
        from = until;
    }
    Ok(())
}

/// In the order of the key, by a cursor of the transaction.
fn served_pages(
    connection: &mut PgConnection,
    (table, key): (&str, &str),
    page: i64,
    take: Taker<'_>,
) -> QueryResult<()> {
    connection.batch_execute(&format!(
        "DECLARE copying NO SCROLL CURSOR FOR \
         SELECT row_to_json(t)::text AS text FROM \"{table}\" t ORDER BY {key}"
    ))?;
    loop {
        let rows = load(connection, &format!("FETCH {page} FROM copying"))?;
        if rows.is_empty() {
            return connection.batch_execute("CLOSE copying");
        }
        take(&rows)?;
    }
}
