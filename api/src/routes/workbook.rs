//! The bakery as a workbook of sheets, or as one table of separated values.

use crate::{
    answer,
    extract::{File, IfMatch},
    problem::{Kind, Problem},
    records,
    service::{Refusal, reference::Precondition, workbook},
    sheets,
    state::State,
    wire::workbook::{TableView, WorkbookView},
    workbook::{Grid, text, xlsx},
};
use actix_web::{HttpResponse, get, http::header, put, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(find_workbook).service(put_workbook);
    config.service(list_tables).service(find_table).service(put_table);
}

/// Whether to write.
#[derive(Debug, Clone, Copy, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct TrialQuery {
    /// With `true` nothing is written: the answer lists every fault and what would change.
    #[serde(default)]
    dry_run: bool,
}

/// Reads the bakery as a workbook.
///
/// One sheet for each list of the bakery document, and one for each list inside it; every cell
/// is a text, so that nothing is rounded or turned into a date.
#[utoipa::path(
    tag = "bakery",
    responses((status = 200, description = "The workbook.", body = Vec<u8>, content_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"))
)]
#[get("/v1/bakery/workbook")]
async fn find_workbook(state: web::Data<State>) -> Result<HttpResponse, Problem> {
    let (grids, etag) = answer::read(state, workbook::tables).await?;
    let bytes = web::block(move || xlsx::write(&grids)).await;
    let Ok(Ok(bytes)) = bytes else {
        return Err(Problem::new(Kind::Internal, "the workbook could not be written"));
    };
    let mut response = HttpResponse::Ok();
    response.content_type(xlsx::MEDIA_TYPE).insert_header((header::ETAG, etag));
    Ok(response.insert_header(saved_as("bakery.xlsx")).body(bytes))
}

/// Puts sheets of a workbook into the bakery.
///
/// Each sheet that is sent takes the place of that table, the others stay; all or nothing, and
/// every fault names its cell. Try it out first with `dry_run=true`.
#[utoipa::path(
    tag = "bakery",
    params(TrialQuery, ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")),
    request_body(content = Vec<u8>, content_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    responses(
        (status = 200, description = "What became of it, or would.", body = WorkbookView),
        (status = 201, description = "It is the first bakery.", body = WorkbookView)
    )
)]
#[put("/v1/bakery/workbook")]
async fn put_workbook(
    state: web::Data<State>,
    query: web::Query<TrialQuery>,
    IfMatch(precondition): IfMatch,
    file: File,
) -> Result<HttpResponse, Problem> {
    let bytes = file.of(xlsx::MEDIA_TYPE)?;
    taken(state, query.dry_run, precondition, move || xlsx::read(&bytes)).await
}

/// Lists the tables of the bakery.
///
/// One for each list of the bakery document, and one for each list inside it, with the heads of
/// their columns.
#[utoipa::path(tag = "bakery", responses((status = 200, description = "The tables.", body = Vec<TableView>)))]
#[get("/v1/bakery/tables")]
async fn list_tables(state: web::Data<State>) -> Result<web::Json<Vec<TableView>>, Problem> {
    let (grids, _) = answer::read(state, workbook::tables).await?;
    Ok(web::Json(grids.iter().map(TableView::new).collect()))
}

/// Reads one table of the bakery as separated values.
///
/// Its ETag is that of the whole bakery: send it as If-Match when you put a table.
#[utoipa::path(
    tag = "bakery",
    params(("table" = String, Path, description = "Its name.", example = "formulas.lines")),
    responses((status = 200, description = "The table.", body = String, content_type = "text/csv"))
)]
#[get("/v1/bakery/tables/{table}")]
async fn find_table(
    state: web::Data<State>,
    path: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let (grids, etag) = answer::read(state, workbook::tables).await?;
    let Some(grid) = grids.iter().find(|grid| grid.name == *path) else {
        let plain = |c: &char| c.is_ascii_alphanumeric() || ['.', '_', '-'].contains(c);
        let code = path.chars().filter(plain).take(60).collect();
        return Err(Problem::from(Refusal::Unknown { noun: "table", code }));
    };
    let mut response = sheets::csv(text::write(grid));
    if let Ok(tag) = header::HeaderValue::from_str(&etag) {
        response.headers_mut().insert(header::ETAG, tag);
    }
    Ok(response)
}

/// Puts one table into the bakery.
///
/// Its rows take the place of that table's; the rest of the bakery stays. Commas or semicolons
/// stand between cells, as the first line says.
#[utoipa::path(
    tag = "bakery",
    params(
        ("table" = String, Path, description = "Its name.", example = "formulas.lines"),
        TrialQuery,
        ("If-Match" = Option<String>, Header, description = "The ETag that was read, or `*`.")
    ),
    request_body(content = String, content_type = "text/csv"),
    responses(
        (status = 200, description = "What became of it, or would.", body = WorkbookView),
        (status = 201, description = "It is the first bakery.", body = WorkbookView)
    )
)]
#[put("/v1/bakery/tables/{table}")]
async fn put_table(
    state: web::Data<State>,
    path: web::Path<String>,
    query: web::Query<TrialQuery>,
    IfMatch(precondition): IfMatch,
    file: File,
) -> Result<HttpResponse, Problem> {
    let bytes = file.of("text/csv")?;
    let read = move || text::read(&path, &bytes).map(|grid| vec![grid]);
    taken(state, query.dry_run, precondition, read).await
}

/// Tries tables out, or puts them.
async fn taken(
    state: web::Data<State>,
    dry_run: bool,
    precondition: Precondition,
    read: impl FnOnce() -> Result<Vec<Grid>, String> + Send + 'static,
) -> Result<HttpResponse, Problem> {
    let work = move |state: &State| -> Result<_, Refusal> {
        let grids = read().map_err(|detail| Refusal::stated("not-a-table", detail))?;
        if dry_run {
            return Ok((None, workbook::try_out(state, &grids)?));
        }
        let (put, trial) = workbook::put(state, &grids, &precondition)?;
        Ok((Some(put), trial))
    };
    let (put, trial) = answer::read(state, work).await?;
    let status = put.map_or(actix_web::http::StatusCode::OK, records::status);
    Ok(HttpResponse::build(status).json(WorkbookView::new(&trial, dry_run)))
}

/// Under which name a browser keeps the answer.
fn saved_as(name: &str) -> (header::HeaderName, String) {
    (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\""))
}
