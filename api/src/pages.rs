//! Pages: what people look at on a screen, over the same services as the API.
//!
//! A page is drawn on the server and works without scripts; one small script makes it nicer.
//! Its words are [`crate::messages`], its looks one style sheet, and a form posts the same
//! body that the API takes, field by field ([`form`]). A page that was posted leads on to one
//! that is read.

pub mod assets;
mod costs;
mod counts;
mod cuts;
mod days;
mod desk;
pub mod field;
pub mod form;
mod formulas;
pub mod frame;
mod language;
mod menu;
mod moment;
mod orders;
mod products;
mod refusal;
mod settings;
pub mod sign_in;
mod stock;
mod supplier_orders;
mod suppliers;
mod timeline;
mod today;
pub mod visit;
mod weigh_out;
pub mod why;

pub use form::{Draft, Form};
pub use frame::Page;
pub use visit::Visit;

use crate::{
    messages::Words,
    service::Refusal,
    sheets,
    wire::amount::{MoneyView, QuantityView},
};
use actix_web::http::header::{self, HeaderMap};
use utoipa_actix_web::service_config::ServiceConfig;

/// A page, or why there is none.
type Shown = Result<Page, Refusal>;

/// An exact amount in the unit in which people say it.
fn amount(words: Words, quantity: &QuantityView) -> String {
    sheets::said(words, quantity)
}

/// A sum of money with the decimal mark of the language.
fn money(words: Words, sum: &MoneyView) -> String {
    words.digits(&sum.said())
}

/// Whether a request asks for a page, as a browser does.
#[must_use]
pub fn wanted(headers: &HeaderMap) -> bool {
    let accepts = headers.get(header::ACCEPT).and_then(|value| value.to_str().ok());
    accepts.is_some_and(|accepts| accepts.contains("text/html"))
}

/// Adds the routes of every page.
pub fn routes(config: &mut ServiceConfig<'_>) {
    assets::routes(config);
    language::routes(config);
    today::routes(config);
    orders::routes(config);
    weigh_out::routes(config);
    desk::routes(config);
    supplier_orders::routes(config);
    cuts::routes(config);
    suppliers::routes(config);
    stock::routes(config);
    counts::routes(config);
    timeline::routes(config);
    formulas::routes(config);
    products::routes(config);
    costs::routes(config);
    settings::routes(config);
}
