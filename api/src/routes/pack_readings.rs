//! What the packs of lots say of allergens.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::{Refusal, bakery, idempotency::Answer, stock},
    state::State,
    wire::pack_reading::{LotAllergensView, PackReadingBody},
};
use actix_web::{HttpResponse, get, post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_lot_allergens).service(read_pack);
}

/// Says what a lot's item and its own packs say of allergens.
///
/// The record of the item, every reading of this lot, and what the last one adds. Product lots
/// that it goes into have what its own pack says.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "Record and readings.", body = LotAllergensView))
)]
#[get("/v1/lots/{id}/allergens")]
async fn read_lot_allergens(
    state: web::Data<State>,
    id: web::Path<String>,
) -> Result<web::Json<LotAllergensView>, Problem> {
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let bakery = bakery::load(state, tx)?;
            let found = stock::lot_allergens(tx, &state.site, &bakery, &id)?;
            Ok(LotAllergensView::new(&bakery, &found))
        })
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Writes down what the pack of a lot says.
///
/// In a person's name, beside earlier readings. Where it says otherwise than the record of the
/// item, the lot goes on hold with the products and customers that it touches; once somebody
/// releases it, what is made of it has what its pack says, and new labels are asked for.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = PackReadingBody,
    responses((status = 201, description = "Record and readings.", body = LotAllergensView))
)]
#[post("/v1/lots/{id}/allergens")]
async fn read_pack(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<PackReadingBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| {
        let (who, record) = body.read().map_err(Refusal::Body)?;
        let bakery = bakery::load(state, tx)?;
        let of = (id.as_str(), &record, who.as_str());
        let found = stock::read_pack(tx, &state.site, state.now(), &bakery, of)?;
        Answer::json(201, &LotAllergensView::new(&bakery, &found))
    })
    .await
}
