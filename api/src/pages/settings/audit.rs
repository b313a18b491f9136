//! Who wrote what, newest first.

use super::{moment, ways, zone};
use crate::{
    messages::Words,
    page::last_of_full,
    pages::{
        Page, Shown, Visit,
        frame::{Column::Text, columns, wide},
        visit::segment,
    },
    service::audit,
    state::State,
    store::audit_entries::AuditRow,
};
use actix_web::{HttpResponse, get, web};
use jiff::tz::TimeZone;
use maud::{Markup, html};
use serde::Deserialize;
use utoipa_actix_web::service_config::ServiceConfig;

/// Writes of one page.
const ROWS_MAX: i64 = 100;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_audit);
}

/// Before which write.
#[derive(Debug, Deserialize)]
struct AuditAsked {
    before: Option<String>,
}

/// Shows who wrote what.
///
/// One row for each write that was answered, newest first, in pages. Nobody can change one.
#[utoipa::path(
    tag = "tokens",
    params(("before" = Option<String>, Query, description = "The last id of the page before.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings/audit")]
async fn show_audit(visit: Visit, asked: web::Query<AuditAsked>) -> HttpResponse {
    let before = asked.into_inner().before;
    visit.show(move |state, words| page(state, words, before.as_deref())).await
}

fn page(state: &State, words: Words, before: Option<&str>) -> Shown {
    let rows = audit::list(state, before, ROWS_MAX)?;
    let zone = zone(state);
    let more = last_of_full(&rows, ROWS_MAX);
    Ok(Page {
        title: words.say("settings-audit"),
        main: html! {
            (ways(words))
            p.hint { (words.say("audit-hint")) }
            @if rows.is_empty() { p { (words.say("audit-none")) } }
            @else { (table(words, &zone, &rows)) }
            @if let Some(last) = more {
                p { a href=(format!("/settings/audit?before={}", segment(&last.id))) { (words.say("audit-more")) } }
            }
        },
    })
}

fn table(words: Words, zone: &TimeZone, rows: &[AuditRow]) -> Markup {
    wide(
        &words.say("settings-audit"),
        &html! {
            table {
                (columns(words, &[
                    Text("audit-when"),
                    Text("audit-who"),
                    Text("audit-what"),
                    Text("audit-answer"),
                    Text("audit-request"),
                ]))
                tbody { @for row in rows { (row_of(words, zone, row)) } }
            }
        },
    )
}

fn row_of(words: Words, zone: &TimeZone, row: &AuditRow) -> Markup {
    let when = match row.written_at.parse() {
        Ok(at) => moment(words, zone, at),
        Err(_) => row.written_at.clone(),
    };
    let said = match row.status {
        200..=299 => words.say("audit-done"),
        _ => words.say("audit-refused"),
    };
    html! {
        tr {
            th scope="row" { (when) }
            td {
                @if let Some(token) = &row.token_id {
                    a href=(super::address("tokens", token)) { (row.who) }
                } @else { (row.who) }
            }
            td { (row.method) " " (row.path) }
            td { (said) " · " (row.status) }
            td { (row.request_id) }
        }
    }
}
