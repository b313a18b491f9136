//! What is mixed on a work date.

use crate::{
    answer, extract,
    problem::Problem,
    service::plan::{self, Horizon},
    sheets::{self, Format},
    state::State,
    wire::mix_sheet::{MixSheetView, mix_sheet},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use domain::plan::mixes::Temperatures;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_mix_sheet);
}

/// Temperatures as measured now, in degrees Celsius; the house's usual ones if absent.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct TemperatureQuery {
    /// Of the flour.
    #[param(example = "18")]
    flour: Option<String>,
    /// Of the room.
    #[param(example = "22")]
    room: Option<String>,
    /// Of the tap water.
    #[param(example = "14")]
    tap: Option<String>,
    /// Of preferments and old dough.
    #[param(example = "22")]
    preferment: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

impl TemperatureQuery {
    fn read(&self) -> Result<Temperatures, Problem> {
        Ok(Temperatures {
            flour: extract::celsius("flour", self.flour.as_deref())?,
            room: extract::celsius("room", self.room.as_deref())?,
            tap: extract::celsius("tap", self.tap.as_deref())?,
            preferment: extract::celsius("preferment", self.preferment.as_deref())?,
        })
    }
}

/// Prints the mix sheet of a work date.
///
/// Load after load by its start, with its mixer, water, ice, order of additions and boxes to
/// write measured temperatures into. Where a temperature is not on file the water's box is
/// blank and says what is missing.
#[utoipa::path(
    tag = "sheets",
    params(
        ("date" = String, Path, description = "The local date on which hands work.", example = "2026-06-11"),
        TemperatureQuery
    ),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((MixSheetView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/work-dates/{date}/mix-sheet")]
async fn read_mix_sheet(
    state: web::Data<State>,
    date: web::Path<String>,
    query: web::Query<TemperatureQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let (date, asked) = (extract::date("date", &date)?, query.read()?);
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| {
        let morning = plan::load(state, Horizon::WorkDate(date))?;
        mix_sheet(&morning, date, asked).map_err(plan::refused)
    });
    format.respond(&view.await?, sheets::mix_sheet::draw).await
}
