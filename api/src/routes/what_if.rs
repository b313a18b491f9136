//! What would be otherwise.

use crate::{
    answer,
    extract::Posted,
    problem::Problem,
    service::what_if::what_if,
    state::State,
    wire::what_if::{WhatIfBody, WhatIfView},
};
use actix_web::{post, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(ask_what_if);
}

/// Says what a change would mean.
///
/// Orders, stock, mixers, hours, the moment of asking, lost loads: the change goes into a
/// copy, the same plan is made of it, and the answer shows what differs: pieces, doughs and
/// loads, needs, shortages, remarks and the orders that are hit. Nothing of it is kept.
#[utoipa::path(
    tag = "sheets",
    request_body = WhatIfBody,
    responses((status = 200, description = "What would differ.", body = WhatIfView))
)]
#[post("/v1/what-if")]
async fn ask_what_if(
    state: web::Data<State>,
    posted: Posted<WhatIfBody>,
) -> Result<web::Json<WhatIfView>, Problem> {
    // A question has no effect that a retry could double, so its key keeps no answer.
    let Posted { key: _, body } = posted;
    let work = move |state: &State| {
        let (proposed, faults) = body.read();
        let found = what_if(state, &proposed, faults)?;
        Ok(WhatIfView::new(&proposed, &found, state.now()))
    };
    Ok(web::Json(answer::read(state, work).await?))
}
