//! Tokens: all of them, a new one, another one in its place, and none any more.

use super::{
    NothingBody, address, moment,
    once::{self, Secret},
    token, ways, zone, zone_in,
};
use crate::{
    access::Job,
    messages::Words,
    pages::{
        Draft, Form, Page, Shown, Visit,
        field::{self, Field},
        frame::{Column::Text, columns, wide},
    },
    service::{
        Refusal,
        idempotency::Answer,
        tokens::{self, Token},
    },
    state::State,
    store::Tx,
    wire::token::{RotateBody, TokenBody, TokenView},
};
use actix_web::{HttpResponse, get, post, web};
use jiff::{SignedDuration, tz::TimeZone};
use maud::{Markup, html};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_tokens).service(make_token).service(show_token);
    config.service(rotate_token).service(end_token);
}

/// Shows all tokens.
///
/// With their jobs and ends, never with a secret; and where a new one is made.
#[utoipa::path(
    tag = "tokens",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings/tokens")]
async fn show_tokens(visit: Visit) -> HttpResponse {
    visit.show(|state, words| page(state, words, &Draft::new(state))).await
}

/// Makes a token.
///
/// The page that answers shows it, this once; a second press makes no second one and shows
/// nothing. The first token is an owner's.
#[utoipa::path(
    tag = "tokens",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 200, description = "The page with the token.", body = String, content_type = "text/html"))
)]
#[post("/settings/tokens")]
async fn make_token(state: web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    let secret = Secret::default();
    let left = secret.clone();
    let work = move |state: &State, tx: &mut Tx, body: &TokenBody| {
        let (name, job, until) = body.read(&zone_in(state, tx)).map_err(Refusal::Body)?;
        let (token, whole) = tokens::make_in_browser(tx, state, (&name, job), until)?;
        left.leave(whole);
        Answer::json(201, &TokenView::new(&token, state.now()))
    };
    match form.post(&state, work).await {
        Ok(_) => {
            let of = form.text("name").to_owned();
            visit.show(move |_, words| Ok(once::page(words, &secret, &shown(of)))).await
        }
        Err(problem) => {
            let again = |state: &State, words, draft: Draft| page(state, words, &draft);
            visit.settle(Err(problem), form, again).await
        }
    }
}

fn shown(of: String) -> once::Shown {
    let path = "/settings/tokens".to_owned();
    once::Shown { title: "token-made", what: "token-use", of, path }
}

/// Shows a token.
///
/// What it is for, and where it is exchanged or ended.
#[utoipa::path(
    tag = "tokens",
    params(("id" = String, Path, description = "Its open part: a UUID.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/settings/tokens/{id}")]
async fn show_token(visit: Visit, id: web::Path<String>) -> HttpResponse {
    let own = visit.caller().and_then(|caller| caller.token);
    visit.show(move |state, words| token::page(state, words, (&id, own), &Draft::new(state))).await
}

/// Exchanges a token.
///
/// Another one of the same name, job and end is shown, this once; the old one goes on for the
/// hours that are said.
#[utoipa::path(
    tag = "tokens",
    params(("id" = String, Path, description = "Its open part: a UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 200, description = "The page with the token.", body = String, content_type = "text/html"))
)]
#[post("/settings/tokens/{id}/rotate")]
async fn rotate_token(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let (secret, own) = (Secret::default(), visit.caller().and_then(|caller| caller.token));
    let (left, of) = (secret.clone(), id.clone());
    let work = move |state: &State, tx: &mut Tx, body: &RotateBody| {
        let grace = SignedDuration::from_hours(body.read().map_err(Refusal::Body)?);
        let (token, whole) = tokens::rotate_in(tx, state, &of, grace)?;
        left.leave(whole);
        Answer::json(201, &TokenView::new(&token, state.now()))
    };
    match form.post(&state, work).await {
        Ok(_) => {
            let draw =
                move |_: &State, words| Ok(once::page(words, &secret, &shown(String::new())));
            visit.show(draw).await
        }
        Err(problem) => {
            let again = move |state: &State, words, draft: Draft| {
                token::page(state, words, (&id, own), &draft)
            };
            visit.settle(Err(problem), form, again).await
        }
    }
}

/// Ends a token.
///
/// It opens nothing from this moment on.
#[utoipa::path(
    tag = "tokens",
    params(("id" = String, Path, description = "Its open part: a UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to all tokens."))
)]
#[post("/settings/tokens/{id}/revoke")]
async fn end_token(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let (of, own) = (id.clone(), visit.caller().and_then(|caller| caller.token));
    let work = move |state: &State, tx: &mut Tx, _: &NothingBody| {
        let token = tokens::revoke(tx, state, &of)?;
        Answer::json(200, &TokenView::new(&token, state.now()))
    };
    let path = form.post(&state, work).await.map(|_| "/settings/tokens?done=token-ended".into());
    let again =
        move |state: &State, words, draft: Draft| token::page(state, words, (&id, own), &draft);
    visit.settle(path, form, again).await
}

fn page(state: &State, words: Words, draft: &Draft) -> Shown {
    let all = tokens::list(state)?;
    let zone = zone(state);
    Ok(Page {
        title: words.say("settings-tokens"),
        main: html! {
            (ways(words))
            @if all.is_empty() {
                p.banner { (words.say("token-none")) }
                p { (words.say("token-first")) }
            } @else {
                (table(words, state, &zone, &all))
            }
            section {
                h2 { (words.say("token-new")) }
                (new(words, draft, all.is_empty()))
            }
        },
    })
}

fn table(words: Words, state: &State, zone: &TimeZone, all: &[Token]) -> Markup {
    wide(
        &words.say("settings-tokens"),
        &html! {
            table {
                (columns(words, &[
                    Text("token-name"),
                    Text("token-job"),
                    Text("token-made-at"),
                    Text("token-state"),
                ]))
                tbody {
                    @for token in all {
                        tr {
                            th scope="row" { a href=(address("tokens", &token.id.to_string())) { (token.name) } }
                            td { (words.say(&format!("token-job-{}", token.job.word()))) }
                            td { (moment(words, zone, token.made_at)) }
                            td { (token::standing(words, zone, token, state.now())) }
                        }
                    }
                }
            }
        },
    )
}

fn new(words: Words, draft: &Draft, first: bool) -> Markup {
    let jobs = Job::ALL.into_iter().filter(|job| !first || *job == Job::Owner);
    let jobs: Vec<(String, String)> = jobs
        .map(|job| (job.word().to_owned(), words.say(&format!("token-job-{}", job.word()))))
        .collect();
    let (name, job, until) =
        (words.say("token-name"), words.say("token-job"), words.say("token-until"));
    let (name_hint, until_hint) = (words.say("token-name-hint"), words.say("token-until-hint"));
    let fields = html! {
        (Field::text("name", &name).hint(&name_hint).needed().draw(words, draft))
        (Field::choice("job", &job, &jobs).needed().draw(words, draft))
        (Field::date("until", &until).hint(&until_hint).draw(words, draft))
    };
    let button = words.say("token-make");
    field::form(words, draft, ("/settings/tokens", &button), &fields)
}
