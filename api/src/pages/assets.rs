//! The looks and the script of the pages, under addresses that change with their content.

use crate::{
    digest,
    problem::{Kind, Problem},
};
use actix_web::{HttpResponse, get, http::header, web};
use std::sync::LazyLock;
use utoipa_actix_web::service_config::ServiceConfig;

/// Letters of the digest that stand in an address.
const DIGEST_CHARS: usize = 12;
/// A year: what has another content has another address.
const KEPT: &str = "public, max-age=31536000, immutable";

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(read_asset);
}

/// A file that pages refer to.
#[derive(Debug)]
pub struct Asset {
    media_type: &'static str,
    text: &'static str,
    address: String,
}

impl Asset {
    fn new(stem: &str, ending: &str, media_type: &'static str, text: &'static str) -> Self {
        let mut digest = digest::of([text.as_bytes()]);
        digest.truncate(DIGEST_CHARS);
        Self { media_type, text, address: format!("/assets/{stem}-{digest}.{ending}") }
    }

    /// Where it is served.
    #[must_use]
    pub fn address(&self) -> &str {
        &self.address
    }
}

/// The style sheet of all pages.
pub static STYLE: LazyLock<Asset> = LazyLock::new(|| {
    Asset::new("page", "css", "text/css; charset=utf-8", include_str!("page.css"))
});
/// The script of all pages; each of them works without it.
pub static SCRIPT: LazyLock<Asset> = LazyLock::new(|| {
    Asset::new("page", "js", "text/javascript; charset=utf-8", include_str!("page.js"))
});

/// Gives a file that pages refer to.
///
/// Its address holds a digest of its content, so that it may be kept for ever.
#[utoipa::path(
    tag = "running",
    params(("asset" = String, Path, description = "Name, digest and ending, as pages refer to it.")),
    responses((status = 200, description = "The file.", body = String, content_type = "text/css"))
)]
#[get("/assets/{asset}")]
async fn read_asset(asset: web::Path<String>) -> Result<HttpResponse, Problem> {
    let address = format!("/assets/{asset}");
    let found = [&*STYLE, &*SCRIPT].into_iter().find(|one| one.address == address);
    let found = found.ok_or_else(|| Problem::new(Kind::NoSuchPath, "open the page again"))?;
    Ok(HttpResponse::Ok()
        .content_type(found.media_type)
        .insert_header((header::CACHE_CONTROL, KEPT))
        .body(found.text))
}
