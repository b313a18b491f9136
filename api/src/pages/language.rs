//! The language that a reader chooses on a page.

use super::{
    form::Form,
    visit::{LANGUAGE_COOKIE, go_to},
};
use crate::{front::LANGUAGE, messages::Language};
use actix_web::{
    HttpRequest, HttpResponse,
    cookie::{Cookie, SameSite, time::Duration},
    post,
};
use utoipa_actix_web::service_config::ServiceConfig;

/// How long a browser remembers it.
const DAYS_KEPT: i64 = 365;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(choose_language);
}

/// Chooses the language of the pages.
///
/// Kept in a cookie of the browser, nowhere else; leads back to the page.
#[utoipa::path(
    tag = "running",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "Chosen: back to the page."))
)]
#[post("/language")]
async fn choose_language(request: HttpRequest, form: Form) -> HttpResponse {
    let mut response = go_to(own_path(form.text("back")));
    let Some(language) = Language::from_code(form.text("language")) else { return response };
    let cookie = Cookie::build(LANGUAGE_COOKIE, language.code())
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .secure(request.app_config().secure())
        .max_age(Duration::days(DAYS_KEPT));
    // A cookie that cannot be written leaves the language as it is.
    let _ = response.add_cookie(&cookie.finish());
    response
}

/// A path of this server; the first page for what could lead elsewhere.
fn own_path(path: &str) -> &str {
    let own = path.starts_with('/') && !path.starts_with("//") && !path.contains('\\');
    let plain = path.bytes().all(|byte| byte.is_ascii_graphic());
    if own && plain && path != LANGUAGE { path } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_led_to_another_site() {
        for (path, led) in [
            ("/orders", "/orders"),
            ("//example.org", "/"),
            ("/\\example.org", "/"),
            ("https://example.org", "/"),
            ("", "/"),
            ("/a\r\nb", "/"),
        ] {
            assert_eq!(own_path(path), led, "{path}");
        }
    }
}
