//! Stock: what is there of each item.

use crate::{
    answer,
    page::{self, Page, PageQuery},
    problem::Problem,
    service::stock,
    state::State,
    wire::lot::StockView,
};
use actix_web::{get, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_stock);
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
) -> Result<web::Json<Page<StockView>>, Problem> {
    let PageQuery { limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work =
        move |state: &State| state.store.read(|tx| stock::stock(tx, &state.site, &after, limit));
    let rows = answer::read(state, work).await?.iter().map(StockView::new).collect();
    Ok(web::Json(Page::new(rows, limit, |last: &StockView| last.item.clone())))
}
