//! The house: its own settings, tokens, webhooks, and who wrote what. For the owner.

mod audit;
mod deliveries;
mod house;
mod once;
mod token;
mod tokens;
mod webhook;
mod webhooks;

use super::{Visit, visit};
use crate::{
    messages::Words,
    service::{Refusal, bakery},
    state::State,
    store::Tx,
    wire::amount::instant,
};
use actix_web::{HttpResponse, get};
use jiff::{Timestamp, tz::TimeZone};
use maud::{Markup, html};
use serde::Deserialize;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_settings);
    tokens::routes(config);
    webhooks::routes(config);
    deliveries::routes(config);
    audit::routes(config);
}

/// Shows the settings of the house.
///
/// As its bakery document states them, and the ways to tokens, webhooks and the audit list.
#[utoipa::path(
    tag = "tokens",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings")]
async fn show_settings(visit: Visit) -> HttpResponse {
    visit.show(house::page).await
}

/// Nothing need be said.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NothingBody {}

/// The pages of the house, on each of them.
fn ways(words: Words) -> Markup {
    let ways = [
        ("/settings", "settings-house"),
        ("/settings/tokens", "settings-tokens"),
        ("/settings/webhooks", "settings-webhooks"),
        ("/settings/deliveries", "settings-deliveries"),
        ("/settings/audit", "settings-audit"),
    ];
    html! {
        ul.links { @for (path, name) in ways { li { a href=(path) { (words.say(name)) } } } }
    }
}

/// The bakery's clock; UTC while no bakery is loaded.
fn zone(state: &State) -> TimeZone {
    state.store.read(|tx| Ok::<_, Refusal>(zone_in(state, tx))).unwrap_or(TimeZone::UTC)
}

/// The same in a transaction that is open already.
fn zone_in(state: &State, tx: &mut Tx) -> TimeZone {
    let bakery = bakery::load(state, tx);
    bakery.map_or(TimeZone::UTC, |bakery| bakery.site().time_zone.clone())
}

/// A moment on a clock, with its year: what is looked up here may be long ago.
fn moment(words: Words, zone: &TimeZone, at: Timestamp) -> String {
    let text = instant(zone, at);
    let date = text.get(..10).and_then(|date| date.parse().ok());
    match date.zip(text.get(11..16)) {
        Some((date, time)) => format!("{} · {time}", words.full_day(date)),
        None => text,
    }
}

/// Where a thing below the settings is shown.
fn address(kind: &str, name: &str) -> String {
    format!("/settings/{kind}/{}", visit::segment(name))
}
