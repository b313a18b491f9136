//! The bakery out into a spreadsheet and in again.

use anyhow::{Context, Result, ensure};
use serde_json::Value;
use weighhouse_tests::{client::Reply, demo, server::Server};

const WORKBOOK: &str = "/v1/bakery/workbook";
const LINES: &str = "/v1/bakery/tables/formulas.lines";
const XLSX: &str = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

fn bakery(server: &Server) -> Result<Value> {
    server.client().get("/v1/bakery")?.success()
}

fn put_csv(server: &Server, path: &str, text: &str, etag: Option<&str>) -> Result<Reply> {
    server.client().put_file(path, "text/csv", text.as_bytes(), etag)
}

/// The text of a table with one cell written anew.
fn with_cell(table: &str, row: impl Fn(&str) -> bool, old: &str, new: &str) -> Result<String> {
    let line = table.lines().find(|line| row(line) && line.contains(old)).context("the row")?;
    Ok(table.replacen(line, &line.replacen(old, new, 1), 1))
}

#[test]
fn a_workbook_that_comes_back_unchanged_changes_nothing() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let before = bakery(&server)?;
    let out = server.client().get(WORKBOOK)?;
    ensure!(out.status == 200 && out.media_type.starts_with(XLSX), "{}", out.media_type);
    let back = server.client().put_file(WORKBOOK, XLSX, &out.body, out.etag.as_deref())?;
    assert_eq!(back.success()?["changes"], Value::Array(Vec::new()));
    assert_eq!(bakery(&server)?, before);
    // The same bakery gives the same bytes.
    assert_eq!(server.client().get(WORKBOOK)?.body, out.body);
    Ok(())
}

#[test]
fn a_table_is_tried_out_before_it_is_put() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let before = bakery(&server)?;
    let out = server.client().get(LINES)?;
    let rye = |line: &str| line.starts_with("country,") && line.contains("rye");
    let row = out.text().lines().find(|line| rye(line)).context("rye")?.to_owned();
    let changed = with_cell(&out.text(), rye, &row, &row.replace("rye", "wholemeal"))?;
    let tried = put_csv(&server, &format!("{LINES}?dry_run=true"), &changed, None)?.success()?;
    assert_eq!(tried["changes"][0]["list"], "formulas");
    assert_eq!(tried["changes"][0]["changed"], serde_json::json!(["country"]));
    assert_eq!(bakery(&server)?, before, "a trial writes nothing");
    ensure!(put_csv(&server, LINES, &changed, None)?.is_problem("precondition-required")?);
    put_csv(&server, LINES, &changed, out.etag.as_deref())?.success()?;
    ensure!(bakery(&server)? != before);
    ensure!(
        put_csv(&server, LINES, &changed, out.etag.as_deref())?
            .is_problem("precondition-failed")?
    );
    Ok(())
}

#[test]
fn every_fault_is_listed_by_its_cell() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let before = bakery(&server)?;
    // Semicolons, as a spreadsheet writes them where the comma is a decimal sign.
    let table = "code;name;kind\r\n\
                 dry-store;Dry store;dry\r\n\
                 Freezer One;Freezer;cellar\r\n";
    let tried = put_csv(
        &server,
        "/v1/bakery/tables/scales?dry_run=true",
        "code,capacity,division,from\r\nfloor,60kg,20 g,2 kg\r\nbench,6 kg,2 g,ten\r\n",
        None,
    )?
    .success()?;
    let places = |faults: &Value| -> Vec<String> {
        let rows = faults.as_array().into_iter().flatten();
        rows.filter_map(|fault| fault["pointer"].as_str().map(str::to_owned)).collect()
    };
    assert_eq!(places(&tried["faults"]), ["/scales/2/capacity", "/scales/3/from"]);
    let detail = tried["faults"][0]["detail"].as_str().context("a sentence")?;
    let of_unit = |one: &str| one.contains("such as 25 kg");
    ensure!(detail.starts_with("scales ") && of_unit(detail), "{detail}");
    // What the document itself finds wrong is said of the cell that it came from.
    let refused = put_csv(&server, "/v1/bakery/tables/places", table, Some("*"))?;
    assert_eq!(refused.status, 422, "{}", refused.text());
    ensure!(
        places(&refused.json()?["errors"]).iter().all(|at| at.starts_with("/places/3/")),
        "{}",
        refused.text()
    );
    assert_eq!(bakery(&server)?, before);
    Ok(())
}

#[test]
fn what_is_no_table_says_so() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    ensure!(client.put_file(WORKBOOK, XLSX, b"code,name", None)?.is_problem("not-a-table")?);
    ensure!(
        client
            .put_file(WORKBOOK, "text/csv", b"code,name", None)?
            .is_problem("not-declared-file")?
    );
    ensure!(client.get("/v1/bakery/tables/nothing")?.is_problem("not-found")?);
    ensure!(
        put_csv(&server, "/v1/bakery/tables/nothing", "code\r\n", Some("*"))?
            .is_problem("unknown-key")?
    );
    ensure!(
        put_csv(&server, "/v1/bakery/tables/places", "", Some("*"))?.is_problem("not-a-table")?
    );
    Ok(())
}

#[test]
fn an_empty_house_can_be_filled_from_a_workbook() -> Result<()> {
    let full = demo::serve(&demo::document("bakery")?)?;
    let workbook = full.client().get(WORKBOOK)?.body;
    let empty = Server::start("2026-06-10T09:30:00+02:00")?;
    let first = empty.client().put_file(WORKBOOK, XLSX, &workbook, None)?;
    assert_eq!(first.status, 201, "{}", first.text());
    assert_eq!(bakery(&empty)?, bakery(&full)?);
    Ok(())
}

#[test]
fn every_list_comes_as_a_table_with_a_link_to_its_next_page() -> Result<()> {
    let server = demo::serve(&demo::document("bakery")?)?;
    let client = server.client();
    let rows = client.get("/v1/lots?limit=1000")?.success()?["rows"].clone();
    let rows = rows.as_array().context("rows")?;
    let table = client.get_as("/v1/lots?limit=1000", "text/csv")?;
    ensure!(table.media_type.starts_with("text/csv"), "{}", table.media_type);
    assert_eq!(table.text().lines().count(), rows.len() + 1);
    ensure!(
        table.text().lines().next().context("a head")?.contains(".amount,"),
        "{}",
        table.text()
    );
    let first = client.get_as("/v1/lots?limit=1", "text/csv")?;
    let next = first.next.context("a link to the next page")?;
    ensure!(
        next.starts_with("</v1/lots?limit=1&cursor=") && next.ends_with("rel=\"next\""),
        "{next}"
    );
    ensure!(client.get_as("/v1/lots", "image/png")?.is_problem("not-acceptable")?);
    Ok(())
}
