//! Movements: the stock ledger.

use crate::{
    answer,
    page::{self, Page},
    problem::Problem,
    service::{bakery, stock},
    state::State,
    wire::movement::MovementView,
};
use actix_web::{get, web};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(list_movements);
}

/// Which entries of which page.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct MovementsQuery {
    /// Only entries of the lot with this id.
    lot: Option<String>,
    /// Most rows of the page: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    limit: Option<i64>,
    /// The `next` of the page before; absent for the first page.
    cursor: Option<String>,
}

/// Lists movements.
///
/// The entries of the ledger in the order in which they were written, in pages. Nothing
/// in it is ever changed: a correction is another entry.
#[utoipa::path(
    tag = "stock",
    params(MovementsQuery),
    responses((status = 200, description = "A page of entries.", body = Page<MovementView>))
)]
#[get("/v1/movements")]
async fn list_movements(
    state: web::Data<State>,
    query: web::Query<MovementsQuery>,
) -> Result<web::Json<Page<MovementView>>, Problem> {
    let MovementsQuery { lot, limit, cursor } = query.into_inner();
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work = move |state: &State| {
        state.store.read(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            stock::movements(tx, &state.site, &zone, lot.as_deref(), (&after, limit))
        })
    };
    let rows = answer::read(state, work).await?.iter().map(MovementView::new).collect();
    Ok(web::Json(Page::new(rows, limit, |last: &MovementView| last.id.clone())))
}
