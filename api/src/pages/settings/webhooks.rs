//! Webhooks: all of them, a new one, one of them changed, and its secret.

use super::{
    NothingBody, address,
    once::{self, Secret},
    ways, webhook,
};
use crate::{
    messages::Words,
    notice::NoticeKind,
    pages::{
        Draft, Form, Page, Shown, Visit,
        field::{self, Field},
        frame::{Column::Text, columns, wide},
    },
    service::{
        idempotency::Answer,
        reference::Precondition,
        webhooks::{self, Asked, Webhook},
    },
    state::State,
    store::Tx,
    wire::webhook::WebhookView,
};
use actix_web::{HttpResponse, get, post, web};
use jiff::SignedDuration;
use maud::{Markup, html};
use serde::Deserialize;
use std::collections::BTreeMap;
use utoipa_actix_web::service_config::ServiceConfig;

/// For how long the secret before signs beside a new one.
const GRACE: SignedDuration = SignedDuration::from_hours(24);

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_webhooks).service(keep_webhook).service(show_webhook);
    config.service(make_webhook_secret);
}

/// A webhook as the form sends it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WebhookForm {
    code: String,
    url: String,
    #[serde(default)]
    kinds: BTreeMap<NoticeKind, bool>,
    #[serde(default)]
    active: bool,
    /// The state that was changed; none for a new one.
    etag: Option<String>,
}

/// Shows all webhooks.
///
/// Where each posts to, what it tells of and whether it has a secret; and where a new one is
/// set.
#[utoipa::path(
    tag = "webhooks",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings/webhooks")]
async fn show_webhooks(visit: Visit) -> HttpResponse {
    visit.show(|state, words| page(state, words, &blank(state))).await
}

/// Sets a webhook.
///
/// A new one, or one as it was read before. Pressed twice it has one effect.
#[utoipa::path(
    tag = "webhooks",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the webhook."))
)]
#[post("/settings/webhooks")]
async fn keep_webhook(state: web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    let path = format!("{}?done=webhook-kept", address("webhooks", form.text("code")));
    let work = |state: &State, tx: &mut Tx, body: &WebhookForm| {
        let WebhookForm { code, url, kinds, active, etag } = body;
        let kinds = kinds.keys().copied().collect();
        let asked = Asked { url: url.clone(), kinds, active: *active };
        let precondition = match etag {
            Some(etag) => Precondition::Tags(vec![etag.clone()]),
            None => Precondition::None,
        };
        let (webhook, _) = webhooks::put_in(tx, state, code, (&asked, &precondition))?;
        Answer::json(200, &WebhookView::from(&webhook))
    };
    let outcome = form.post(&state, work).await.map(|_| path);
    let again = |state: &State, words, draft: Draft| match draft.text("etag") {
        "" => page(state, words, &draft),
        _ => webhook::page(state, words, draft.text("code"), Some(&draft)),
    };
    visit.settle(outcome, form, again).await
}

/// Shows a webhook.
///
/// Where it is changed, and where its secret is made.
#[utoipa::path(
    tag = "webhooks",
    params(("code" = String, Path, description = "Its code.", example = "till")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings/webhooks/{code}")]
async fn show_webhook(visit: Visit, code: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| webhook::page(state, words, &code, None)).await
}

/// Makes a secret of a webhook.
///
/// The page that answers shows it, this once; the one before signs beside it for a day.
#[utoipa::path(
    tag = "webhooks",
    params(("code" = String, Path, description = "Its code.", example = "till")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 200, description = "The page with the secret.", body = String, content_type = "text/html"))
)]
#[post("/settings/webhooks/{code}/secret")]
async fn make_webhook_secret(
    state: web::Data<State>,
    visit: Visit,
    code: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let (secret, of) = (Secret::default(), code.clone());
    let left = secret.clone();
    let work = move |state: &State, tx: &mut Tx, _: &NothingBody| {
        left.leave(webhooks::make_secret_in(tx, state, &of, GRACE)?);
        Answer::json(201, &serde_json::json!({}))
    };
    let code = code.into_inner();
    match form.post(&state, work).await {
        Ok(_) => {
            let (title, what) = ("webhook-secret-made", "webhook-secret-use");
            let shown = once::Shown { title, what, path: address("webhooks", &code), of: code };
            visit.show(move |_, words| Ok(once::page(words, &secret, &shown))).await
        }
        Err(problem) => {
            let again = move |state: &State, words, _| webhook::page(state, words, &code, None);
            visit.settle(Err(problem), form, again).await
        }
    }
}

/// A new webhook that tells.
fn blank(state: &State) -> Draft {
    Draft::new(state).with("active", "on")
}

fn page(state: &State, words: Words, draft: &Draft) -> Shown {
    let all = webhooks::list(state)?;
    Ok(Page {
        title: words.say("settings-webhooks"),
        main: html! {
            (ways(words))
            p.hint { (words.say("webhook-hint")) }
            @if all.is_empty() { p { (words.say("webhook-none")) } } @else { (table(words, &all)) }
            section {
                h2 { (words.say("webhook-new")) }
                (form(words, draft, &words.say("webhook-make"), true))
            }
        },
    })
}

fn table(words: Words, all: &[Webhook]) -> Markup {
    wide(
        &words.say("settings-webhooks"),
        &html! {
            table {
                (columns(words, &[
                    Text("webhook-code"),
                    Text("webhook-url"),
                    Text("webhook-kinds"),
                    Text("token-state"),
                ]))
                tbody {
                    @for webhook in all {
                        tr {
                            th scope="row" { a href=(address("webhooks", &webhook.code)) { (webhook.code) } }
                            td { (webhook.asked.url) }
                            td { (kinds(words, &webhook.asked.kinds)) }
                            td { (standing(words, webhook)) }
                        }
                    }
                }
            }
        },
    )
}

fn kinds(words: Words, kinds: &[NoticeKind]) -> String {
    let named = kinds.iter().map(|kind| words.say(&format!("webhook-kind-{}", kind.word())));
    named.collect::<Vec<_>>().join(", ")
}

/// Whether it tells.
pub(super) fn standing(words: Words, webhook: &Webhook) -> String {
    words.say(match (webhook.asked.active, webhook.signed) {
        (false, _) => "webhook-state-rests",
        (true, false) => "webhook-state-unsigned",
        (true, true) => "webhook-state-tells",
    })
}

/// The form of a webhook; the code of one that is there stands.
pub(super) fn form(words: Words, draft: &Draft, button: &str, new: bool) -> Markup {
    let (code, url, active) =
        (words.say("webhook-own-code"), words.say("webhook-url"), words.say("webhook-active"));
    let (code_hint, url_hint) = (words.say("webhook-code-hint"), words.say("webhook-url-hint"));
    let fields = html! {
        @if new { (Field::text("code", &code).hint(&code_hint).needed().draw(words, draft)) }
        @else {
            (field::hidden("code", draft.text("code")))
            (field::hidden("etag", draft.text("etag")))
        }
        (Field::text("url", &url).hint(&url_hint).needed().draw(words, draft))
        fieldset {
            legend { (words.say("webhook-kinds")) }
            (field::fault_of(words, draft, "kinds"))
            @for kind in NoticeKind::ALL {
                @let label = words.say(&format!("webhook-kind-{}", kind.word()));
                (Field::tick(&format!("kinds/{}:flag", kind.word()), &label).draw(words, draft))
            }
        }
        (Field::tick("active:flag", &active).draw(words, draft))
    };
    field::form(words, draft, ("/settings/webhooks", button), &fields)
}
