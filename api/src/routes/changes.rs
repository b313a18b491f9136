//! What differs from the sheets that hang on the wall.

use crate::{
    answer, extract,
    problem::{Kind, Problem},
    service::{
        Refusal,
        plan::{self, Horizon},
        prints::{self, PrintRow, Printed},
    },
    sheets::{self, Format},
    state::State,
    wire::changes::{ChangesView, SHEETS, changes},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use jiff::civil::Date;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_changes);
}

/// Against which print.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ChangesQuery {
    /// The plan revision that the printed sheet shows.
    #[param(example = 42)]
    since: i64,
    /// `weigh-out` or `pick-list`; every sheet that was printed at that revision if absent.
    #[param(example = "weigh-out")]
    sheet: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Prints the change slip of a work date.
///
/// Was, now and difference of each line that differs from the print of a plan revision, lines
/// added and gone; nothing else. A revision that was not printed is refused with those that
/// were. HTML prints on A4; JSON is the default.
#[utoipa::path(
    tag = "sheets",
    params(
        ("date" = String, Path, description = "The local date of the sheets.", example = "2026-06-11"),
        ChangesQuery
    ),
    responses((status = 200, description = "The slip, as JSON or HTML.", content((ChangesView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/changes")]
async fn read_changes(
    state: web::Data<State>,
    date: web::Path<String>,
    query: web::Query<ChangesQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let date = extract::date("date", &date)?;
    let format = Format::wanted(&request)?;
    let ChangesQuery { since, sheet, _language: _ } = query.into_inner();
    let sheet = sheet.map(known).transpose()?;
    let view = answer::read(state, move |state| {
        let prints = prints_of(state, date, since, sheet)?;
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        changes(&morning, (date, since), &prints)
    });
    format.respond(&view.await?, sheets::changes::draw).await
}

/// A sheet whose prints are kept.
fn known(sheet: String) -> Result<&'static str, Problem> {
    let found = SHEETS.iter().map(|(name, _)| *name).find(|name| *name == sheet);
    found.ok_or_else(|| {
        let names: Vec<&str> = SHEETS.iter().map(|(name, _)| *name).collect();
        let sheet: String = sheet.chars().take(40).collect();
        let detail = format!("no prints of `{sheet}` are kept: ask for {}", names.join(" or "));
        Problem::new(Kind::InvalidQuery, detail)
    })
}

type Kept = Vec<(Printed, Vec<PrintRow>)>;

/// Prints of a revision: of one sheet, or of all that were printed then.
fn prints_of(
    state: &State,
    date: Date,
    since: i64,
    sheet: Option<&'static str>,
) -> Result<Kept, Refusal> {
    let sheets: Vec<String> = match sheet {
        Some(sheet) => vec![sheet.to_owned()],
        None => {
            let of = |printed: &Printed| printed.plan_revision == since;
            let kept = prints::list(state, date)?.into_iter().filter(of);
            kept.map(|printed| printed.sheet).collect()
        }
    };
    if sheets.is_empty() {
        return Err(prints::none_printed(state, date, since)?);
    }
    sheets.iter().map(|sheet| prints::find(state, (date, sheet, since))).collect()
}
