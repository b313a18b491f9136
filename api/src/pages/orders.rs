//! Orders: by service date, entered, amended, called off, and what became of each line.

mod entry;
mod list;
mod one;

use super::{Draft, Form, Visit, visit};
use crate::{
    answer, routes,
    service::{Refusal, bakery, orders},
    state::State,
    wire::order::{
        CancelBody, OrderBody,
        check::{CheckBody, OrderCheckView},
    },
};
use actix_web::{HttpResponse, get, post, web};
use jiff::civil::Date;
use serde::Deserialize;
use serde_json::Value;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_orders).service(show_new_order).service(enter_order);
    config.service(show_order).service(show_amendment).service(call_off_order);
}

/// Orders of which date, from which one on.
#[derive(Debug, Deserialize)]
struct OrdersAsked {
    date: Option<String>,
    after: Option<String>,
    // What the frame shows.
    #[serde(rename = "done")]
    _done: Option<String>,
}

impl OrdersAsked {
    fn date(&self) -> Option<Date> {
        self.date.as_deref()?.parse().ok()
    }
}

/// Shows the orders of a service date.
///
/// Of the next date with orders if none is asked for.
#[utoipa::path(
    tag = "orders",
    params(("date" = Option<String>, Query, description = "The service date.", example = "2026-06-12")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/orders")]
async fn show_orders(visit: Visit, asked: web::Query<OrdersAsked>) -> HttpResponse {
    let date = asked.date();
    let after = asked.into_inner().after.unwrap_or_default();
    visit.show(move |state, words| list::page(state, words, date, &after)).await
}

/// Shows where an order is entered.
///
/// One row for each product; an empty one is not ordered.
#[utoipa::path(
    tag = "orders",
    params(("date" = Option<String>, Query, description = "The service date.", example = "2026-06-12")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/orders/new")]
async fn show_new_order(visit: Visit, asked: web::Query<OrdersAsked>) -> HttpResponse {
    let date = asked.date();
    visit.show(move |state, words| entry::page(state, words, &entry::blank(state, date))).await
}

/// Enters an order, or its next version.
///
/// The form's fields are those of the order that the API takes. Pressed twice it has one
/// effect. With `_ask` it only says what would become of it.
#[utoipa::path(
    tag = "orders",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order and what became of its lines."))
)]
#[post("/orders")]
async fn enter_order(state: web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    if !form.text("_ask").is_empty() {
        return ask(&state, visit, form).await;
    }
    let outcome = form.post::<OrderBody>(&state, routes::orders::take).await;
    let path = outcome.map(|answer| address_after(&answer.body));
    visit.settle(path, form, |state, words, draft| entry::page(state, words, &draft)).await
}

/// Answers whether the order in a form could be made, above the form.
async fn ask(state: &web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    let answered = match form.body::<CheckBody>() {
        Ok(body) => {
            let work = move |state: &State| checked(state, &body);
            answer::read(state.clone(), work).await.map_err(|problem| form.placed(problem))
        }
        Err(problem) => Err(problem),
    };
    match answered {
        Ok(view) => {
            visit
                .show(move |state, words| {
                    let draft = Draft::of_form(state, form);
                    entry::page_with_answer(state, words, &draft, Some(&view))
                })
                .await
        }
        Err(problem) => {
            let again = |state: &State, words, draft: Draft| entry::page(state, words, &draft);
            visit.settle(Err(problem), form, again).await
        }
    }
}

fn checked(state: &State, body: &CheckBody) -> Result<OrderCheckView, Refusal> {
    let asked = body.read().map_err(Refusal::Body)?;
    let check = orders::check::check(state, &asked, body.version)?;
    Ok(OrderCheckView::new(&asked, &check))
}

/// Shows an order.
///
/// What became of each line, and what changed from version to version.
#[utoipa::path(
    tag = "orders",
    params(("order_ref" = String, Path, description = "The sender's name for the order.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/orders/{order_ref}")]
async fn show_order(visit: Visit, order_ref: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| one::page(state, words, &order_ref, &Draft::new(state))).await
}

/// Shows an order to be amended.
///
/// The same form, filled, under the next version.
#[utoipa::path(
    tag = "orders",
    params(("order_ref" = String, Path, description = "The sender's name for the order.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/orders/{order_ref}/amend")]
async fn show_amendment(visit: Visit, order_ref: web::Path<String>) -> HttpResponse {
    visit
        .show(move |state, words| {
            let held = routes::orders::history(state, &order_ref)?.order;
            entry::page(state, words, &entry::filled(state, &held))
        })
        .await
}

/// Calls an order off.
///
/// As the next version, once.
#[utoipa::path(
    tag = "orders",
    params(("order_ref" = String, Path, description = "The sender's name for the order.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order."))
)]
#[post("/orders/{order_ref}/cancel")]
async fn call_off_order(
    state: web::Data<State>,
    visit: Visit,
    order_ref: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let name = order_ref.clone();
    let work = move |state: &State, tx: &mut _, body: &CancelBody| {
        routes::orders::cancel((state, tx), &name, body)
    };
    let outcome = form.post(&state, work).await;
    let path = outcome.map(|answer| address_after(&answer.body));
    visit
        .settle(path, form, move |state, words, draft| one::page(state, words, &order_ref, &draft))
        .await
}

/// Where an order is shown.
fn address(order_ref: &str) -> String {
    format!("/orders/{}", visit::segment(order_ref))
}

/// Where the order of an answer is shown, with what has become of it.
fn address_after(answer: &str) -> String {
    let view: Value = serde_json::from_str(answer).unwrap_or_default();
    let state = if view["stale"] == true { "stale" } else { view["state"].as_str().unwrap_or("") };
    format!("{}?done=order-{state}", address(view["order_ref"].as_str().unwrap_or("")))
}

/// Customers and products by code, with what people call them.
pub(super) struct Names {
    customers: Vec<(String, String)>,
    products: Vec<(String, String)>,
}

impl Names {
    pub(super) fn load(state: &State) -> Result<Self, Refusal> {
        let bakery = state.store.read(|tx| bakery::load(state, tx))?;
        let lists = bakery.lists();
        let customers = lists.customers.iter().map(|one| (one.code.to_string(), one.name.clone()));
        let products = lists.products.iter().map(|one| (one.code.to_string(), one.name.clone()));
        Ok(Self { customers: customers.collect(), products: products.collect() })
    }

    /// What people call a customer.
    pub(super) fn customer<'a>(&'a self, code: &'a str) -> &'a str {
        named(&self.customers, code)
    }

    /// What people call a product.
    pub(super) fn product<'a>(&'a self, code: &'a str) -> &'a str {
        named(&self.products, code)
    }
}

/// What people call what has a code; the code if nobody does.
pub(super) fn named<'a>(names: &'a [(String, String)], code: &'a str) -> &'a str {
    names.iter().find(|(own, _)| own == code).map_or(code, |(_, name)| name)
}
