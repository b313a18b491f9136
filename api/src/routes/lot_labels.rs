//! Labels of lots and tubs, with a code that a scanner reads.

use crate::{
    answer,
    problem::{Kind, Problem},
    service::{Refusal, bakery, stock},
    sheets::{self, Format, lot_label::LabelSize},
    state::State,
    wire::lot_label::LotLabelView,
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use paper::Size;
use serde::Deserialize;
use utoipa::{IntoParams, ToSchema};
use utoipa_actix_web::service_config::ServiceConfig;

/// Labels on one page at most.
const COPIES_MAX: usize = 64;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_lot_label).service(draw_lot_code);
}

/// How a label is printed.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct LabelQuery {
    /// `roll`, 100 mm by 62 mm each, or `a4`, eight on a sheet; `roll` if absent.
    #[serde(default)]
    #[param(inline)]
    size: LabelSizeBody,
    /// How many, 1 to 64; 1 if absent.
    #[param(example = 1)]
    copies: Option<usize>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// How labels are cut.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
enum LabelSizeBody {
    /// One below the other on a roll.
    #[default]
    Roll,
    /// Eight on a sheet.
    A4,
}

/// Makes out the label of a lot.
fn label(state: &State, id: &str) -> Result<LotLabelView, Refusal> {
    let now = state.now();
    let (bakery, label) = state.store.read(|tx| -> Result<_, Refusal> {
        let bakery = bakery::load(state, tx)?;
        let label = stock::lot_label(tx, &state.site, now, &bakery, id)?;
        Ok((bakery, label))
    })?;
    let mut cautions = vec!["lot-label-from-records"];
    if label.is_made {
        cautions.push("caution-taste");
    }
    if label.lot.frozen_at.is_some() {
        cautions.push("lot-label-no-freezing");
    }
    cautions.push("calculated");
    Ok(LotLabelView::new(&bakery, &label, now, cautions))
}

/// Makes out the label of a lot or tub.
///
/// What it is, its lot, when it was made, until when it may be used and by which rule, its
/// allergens in words, how long it is used once opened, and a QR code: a GS1 Digital Link
/// where a pack of it has a number, else the id of the lot.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Id of the lot."), LabelQuery),
    responses((status = 200, description = "The label, as JSON or HTML.", content((LotLabelView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/lots/{id}/label")]
async fn read_lot_label(
    state: web::Data<State>,
    id: web::Path<String>,
    query: web::Query<LabelQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let LabelQuery { size, copies, _language: _ } = query.into_inner();
    let copies = copies.unwrap_or(1);
    if !(1..=COPIES_MAX).contains(&copies) {
        let detail = format!("{copies} copies: ask for 1 to {COPIES_MAX}");
        return Err(Problem::new(Kind::InvalidQuery, detail));
    }
    let size = match size {
        LabelSizeBody::A4 => LabelSize::Sheet,
        LabelSizeBody::Roll => LabelSize::Roll,
    };
    let format = match (format, size) {
        (Format::Pdf(words, _), LabelSize::Roll) => Format::Pdf(words, Size::Label),
        (format, _) => format,
    };
    let view = answer::read(state, move |state| label(state, &id)).await?;
    format.respond(&view, |words, view| sheets::lot_label::draw(words, view, size, copies)).await
}

/// Draws the code of a lot.
///
/// The QR code of its label alone, as a drawing that any program prints.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Id of the lot.")),
    responses((status = 200, description = "The code.", body = String, content_type = "image/svg+xml"))
)]
#[get("/v1/lots/{id}/code")]
async fn draw_lot_code(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    let view = answer::read(state, move |state| label(state, &id)).await?;
    let drawn = sheets::symbol::draw(&view.code).ok_or_else(|| {
        Problem::new(Kind::Internal, "the code of the lot is too long to be drawn")
    })?;
    Ok(HttpResponse::Ok().content_type("image/svg+xml").body(drawn.into_string()))
}
