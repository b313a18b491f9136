//! Stock: what is there of each item.

use crate::{
    answer, extract,
    page::{self, Page, PageQuery},
    problem::Problem,
    service::{bakery, expiring, stock},
    sheets::{self, Format},
    state::State,
    wire::{expiring::ExpiringView, lot::StockView},
};
use actix_web::{HttpRequest, HttpResponse, get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_stock).service(list_expiring);
}

/// Lists stock.
///
/// One row for each item or product that ever had a lot, by code, in pages. What is on
/// hold or on its way is never counted as on hand.
#[utoipa::path(
    tag = "stock",
    params(PageQuery),
    responses((status = 200, description = "A page of balances.", body = Page<StockView>))
)]
#[get("/v1/stock")]
async fn list_stock(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<StockView>, Problem> {
    let PageQuery { limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work =
        move |state: &State| state.store.read(|tx| stock::stock(tx, &state.site, &after, limit));
    let rows = answer::read(state, work).await?.iter().map(StockView::new).collect();
    Ok(Page::new(rows, limit, |last: &StockView| last.item.clone()))
}

/// Up to which date.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct ExpiringQuery {
    /// Last local date that is looked at; as far as the plan looks ahead if absent.
    #[param(example = "2026-06-20")]
    until: Option<String>,
    /// The language of the sheet, which its format reads.
    #[serde(rename = "language")]
    #[param(ignore)]
    _language: Option<String>,
}

/// Lists what goes out of date.
///
/// What the plan, which draws first expired first, will not have used by its end; in money,
/// with the formulas and products that could use it. A price that nobody knows is never a
/// zero. HTML prints on A4; JSON is the default.
#[utoipa::path(
    tag = "stock",
    params(ExpiringQuery),
    responses((status = 200, description = "The lots, as JSON or HTML.", content((ExpiringView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/stock/expiring")]
async fn list_expiring(
    state: web::Data<State>,
    query: web::Query<ExpiringQuery>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let until = query.until.as_deref().map(|text| extract::date("until", text)).transpose()?;
    let view = answer::read(state, move |state| {
        state.store.read(|tx| {
            let expired = expiring::expiring(state, tx, until)?;
            Ok(ExpiringView::new(&*bakery::load(state, tx)?, &expired, state.now()))
        })
    });
    format.respond(&view.await?, sheets::expiring::draw).await
}
