//! How a browser shows its token: a form, without scripts.

use crate::{
    answer,
    front::{COOKIE, Limits, SIGN_IN},
    pages::{self, Visit, form::Form},
    problem::Problem,
    service::tokens::{self, Shown},
    state::State,
    store::Tx,
};
use actix_web::{
    HttpRequest, HttpResponse,
    cookie::{Cookie, SameSite},
    get,
    http::{StatusCode, header},
    post, web,
};
use serde::Deserialize;
use utoipa::ToSchema;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_sign_in).service(sign_in).service(sign_out);
}

/// The form as a browser sends it.
#[derive(Debug, Deserialize, ToSchema)]
struct SignInBody {
    /// The whole token.
    token: String,
}

/// Shows where a browser signs in.
///
/// One field for the token; the page needs no script.
#[utoipa::path(
    tag = "running",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/sign-in")]
async fn show_sign_in(visit: Visit) -> HttpResponse {
    visit.show(|_, words| Ok(pages::sign_in::draw(words, false))).await
}

/// Signs a browser in.
///
/// The token goes into a cookie that no script can read and no other site can send.
#[utoipa::path(
    tag = "running",
    request_body(content = SignInBody, content_type = "application/x-www-form-urlencoded"),
    responses(
        (status = 303, description = "Signed in: on to the first page."),
        (status = 401, description = "The token opens nothing.", body = String, content_type = "text/html")
    )
)]
#[post("/sign-in")]
async fn sign_in(
    state: web::Data<State>,
    limits: web::Data<Limits>,
    request: HttpRequest,
    visit: Visit,
    form: Form,
) -> Result<HttpResponse, Problem> {
    let SignInBody { token } = form.body()?;
    let shown = token.clone();
    let judge = move |state: &State, tx: &mut Tx| tokens::judge(state, tx, Some(&shown));
    let (judged, _) = answer::one_row(state, judge).await?;
    if matches!(judged, Shown::Token(_)) {
        let on = (header::LOCATION, "/");
        let cookie = cookie(token, &request).finish();
        return Ok(HttpResponse::SeeOther().insert_header(on).cookie(cookie).finish());
    }
    // Guesses are slowed down here as at the door.
    if let Err(problem) = limits.take_stranger(request.peer_addr()) {
        return Ok(visit.refuse(&problem).await);
    }
    let draw = |_: &State, words| Ok(pages::sign_in::draw(words, true));
    Ok(visit.show_as(StatusCode::UNAUTHORIZED, draw).await)
}

/// Signs a browser out.
///
/// Takes the cookie back; the token itself goes on.
#[utoipa::path(tag = "running", responses((status = 303, description = "Signed out.")))]
#[post("/sign-out")]
async fn sign_out(request: HttpRequest) -> HttpResponse {
    let mut cookie = cookie(String::new(), &request).finish();
    cookie.make_removal();
    HttpResponse::SeeOther().insert_header((header::LOCATION, SIGN_IN)).cookie(cookie).finish()
}

fn cookie<'a>(token: String, request: &HttpRequest) -> actix_web::cookie::CookieBuilder<'a> {
    let secure = request.app_config().secure();
    Cookie::build(COOKIE, token)
        .path("/")
        .http_only(true)
        .same_site(SameSite::Strict)
        .secure(secure)
}
