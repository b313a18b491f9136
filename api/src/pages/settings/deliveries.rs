//! What webhooks were to tell and what became of it; dead letters are sent again from here.

use super::{NothingBody, address, moment, ways};
use crate::{
    messages::Words,
    page::last_of_full,
    pages::{
        Draft, Form, Page, Shown, Visit, field,
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
        visit::segment,
    },
    service::{
        idempotency::Answer,
        webhooks::deliveries::{self, Delivery, DeliveryState},
    },
    state::State,
    store::Tx,
    wire::webhook::WebhookDeliveryView,
};
use actix_web::{HttpResponse, get, post, web};
use jiff::tz::TimeZone;
use maud::{Markup, html};
use serde::Deserialize;
use utoipa_actix_web::service_config::ServiceConfig;

/// Deliveries of one page.
const ROWS_MAX: i64 = 50;
/// What can be asked for, all of them last.
const STATES: [&str; 4] = ["dead", "waiting", "delivered", "all"];

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_webhook_deliveries).service(send_again);
}

/// Which deliveries, before which one.
#[derive(Debug, Clone, Default, Deserialize)]
struct DeliveriesAsked {
    #[serde(default)]
    state: String,
    before: Option<String>,
}

/// Shows what webhooks told.
///
/// Newest first, in pages; with `state` only those that are `dead`, `waiting` or `delivered`.
#[utoipa::path(
    tag = "webhooks",
    params(
        ("state" = Option<String>, Query, description = "The word of a state.", example = "dead"),
        ("before" = Option<String>, Query, description = "The last id of the page before.")
    ),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings/deliveries")]
async fn show_webhook_deliveries(visit: Visit, asked: web::Query<DeliveriesAsked>) -> HttpResponse {
    let asked = asked.into_inner();
    visit.show(move |state, words| page(state, words, &asked)).await
}

/// Sends a delivery again from its page.
///
/// From its first try on, under the same name.
#[utoipa::path(
    tag = "webhooks",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to all deliveries."))
)]
#[post("/settings/deliveries/{id}/resend")]
async fn send_again(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let work = move |state: &State, tx: &mut Tx, _: &NothingBody| {
        let delivery = deliveries::resend(tx, state, &id)?;
        Answer::json(200, &WebhookDeliveryView::new(&delivery))
    };
    let path = form.post(&state, work).await.map(|_| "/settings/deliveries?done=sent-again".into());
    let all = DeliveriesAsked::default();
    visit.settle(path, form, move |state, words, _| page(state, words, &all)).await
}

fn page(state: &State, words: Words, asked: &DeliveriesAsked) -> Shown {
    let of = DeliveryState::from_word(&asked.state);
    let rows = deliveries::list(state, of, (asked.before.as_deref(), ROWS_MAX))?;
    let dead = deliveries::dead(state)?;
    let shown = of.map_or("all", DeliveryState::word);
    let more = last_of_full(&rows, ROWS_MAX);
    Ok(Page {
        title: words.say("settings-deliveries"),
        main: html! {
            (ways(words))
            @if dead > 0 { p.banner { (words.tell("delivery-dead-count", &[("count", dead.into())])) } }
            ul.links {
                @for state in STATES {
                    li {
                        a href=(format!("/settings/deliveries?state={state}"))
                            aria-current=[(state == shown).then_some("page")] { (words.say(&format!("delivery-{state}"))) }
                    }
                }
            }
            @if rows.is_empty() { p { (words.say("delivery-none")) } }
            @else { (table(state, words, &rows)) }
            @if let Some(last) = more {
                @let after = segment(&last.id);
                p { a href=(format!("/settings/deliveries?state={shown}&before={after}")) { (words.say("audit-more")) } }
            }
        },
    })
}

fn table(state: &State, words: Words, rows: &[Delivery]) -> Markup {
    wide(
        &words.say("settings-deliveries"),
        &html! {
            table {
                (columns(words, &[
                    Text("webhook-code"),
                    Text("token-state"),
                    Figure("delivery-tries"),
                    Text("delivery-last"),
                    Text("delivery-again"),
                ]))
                tbody { @for row in rows { (row_of(state, words, row)) } }
            }
        },
    )
}

/// Its moments are those of the computer's clock, in UTC.
fn row_of(state: &State, words: Words, row: &Delivery) -> Markup {
    let at = row.settled_at.or(row.next_try_at);
    let again = words.say("delivery-send");
    let path = format!("{}/resend", address("deliveries", &row.id));
    html! {
        tr {
            th scope="row" { a href=(address("webhooks", &row.webhook)) { (row.webhook) } }
            td.loud[row.state == DeliveryState::Dead] {
                (words.say(&format!("delivery-{}", row.state.word())))
                @if let Some(at) = at { br; (moment(words, &TimeZone::UTC, at)) " " (words.say("delivery-utc")) }
            }
            td.number { (row.tries) }
            td {
                @if let Some(status) = row.last_status { (status) }
                @if let Some(failure) = &row.last_words { " " (failure.told(words)) }
            }
            td {
                @if row.state != DeliveryState::Delivered {
                    (field::form(words, &Draft::new(state), (&path, &again), &html! {}))
                }
            }
        }
    }
}
