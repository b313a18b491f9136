//! Too little of a product: who gets how much.

use crate::{
    answer,
    extract::Body,
    problem::Problem,
    service::{
        Refusal,
        plan::{self, Horizon},
    },
    state::State,
    wire::fair_share::{FairShareBody, FairShareView, fair_share},
};
use actix_web::{post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(share_fairly);
}

/// Shares what there is of a product.
///
/// Tier by tier, in each by largest remainder, ties to the older order; whoever would get
/// less than is useful gets nothing and the tier is shared again. Stores nothing: a person
/// decides.
#[utoipa::path(
    tag = "purchase",
    request_body = FairShareBody,
    responses((status = 200, description = "A share for each customer.", body = FairShareView))
)]
#[post("/v1/fair-share")]
async fn share_fairly(
    state: web::Data<State>,
    body: Body<FairShareBody>,
) -> Result<web::Json<FairShareView>, Problem> {
    let view = answer::read(state, move |state| {
        let asked = body.0.read().map_err(Refusal::Body)?;
        let morning = plan::load(state, Horizon::ServiceDate(asked.service_date))?;
        let product = morning.product(asked.product.as_str())?;
        fair_share(&morning, product, &asked).map_err(plan::refused)
    });
    Ok(web::Json(view.await?))
}
