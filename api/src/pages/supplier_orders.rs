//! Orders to suppliers: one with what can be done with it, and its goods when they come.

mod goods_in;
pub(super) mod lines;
mod one;
mod steps;

use super::{Draft, Form, Visit, moment, visit};
use crate::{
    answer,
    problem::{Kind, Problem},
    routes::supplier_orders as orders,
    service::{Refusal, idempotency::Answer, reference::Precondition},
    sheets::Offer,
    state::State,
    store::Tx,
    wire::supplier_order::{
        AcknowledgeBody, EndOrderBody, ReceiveOrderBody, SendOrderBody, SupplierOrderLinesBody,
    },
};
use actix_web::{
    HttpRequest, HttpResponse, get,
    http::header::{self, HeaderValue},
    post, web,
};
use serde::de::DeserializeOwned;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(save_supplier_order).service(show_supplier_order);
    config.service(edit_order_on_page).service(send_order_on_page);
    config.service(acknowledge_order_on_page).service(close_order_on_page);
    config.service(cancel_order_on_page);
    config.service(show_order_goods_in).service(receive_order_on_page);
}

/// Where an order is shown.
pub(super) fn address(id: &str) -> String {
    format!("/supplier-orders/{}", visit::segment(id))
}

/// Where an order is shown, with what was done to it.
pub(super) fn address_after(id: &str, done: &str) -> String {
    format!("{}?done=supplier-order-{done}", address(id))
}

/// Shows an order to a supplier.
///
/// Its lines and sums, what can be done with it now, and all that happened to it.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/supplier-orders/{id}")]
async fn show_supplier_order(visit: Visit, id: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| one::page(state, words, &id, &Draft::new(state))).await
}

/// The ways in which an order is saved, by the ending of the file.
const FILES: [(&str, Offer); 3] = [
    ("csv", Offer("text", "csv")),
    ("xml", Offer("application", "xml")),
    ("pdf", Offer("application", "pdf")),
];

/// Saves an order as a file.
///
/// `csv` a table, `xml` an OASIS UBL 2.1 Order, `pdf` to print or attach; as the API gives them.
#[utoipa::path(
    tag = "purchase",
    params(
        ("id" = String, Path, description = "Its UUID."),
        ("ending" = String, Path, description = "`csv`, `xml` or `pdf`.", example = "csv")
    ),
    responses((status = 200, description = "The file.", content((String = "text/csv"), (String = "application/xml"), (Vec<u8> = "application/pdf"))))
)]
#[get("/supplier-orders/{id}/order.{ending}")]
async fn save_supplier_order(
    state: web::Data<State>,
    path: web::Path<(String, String)>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let (id, ending) = path.into_inner();
    let (_, wanted) = FILES.iter().find(|(own, _)| *own == ending).ok_or_else(|| {
        Problem::new(Kind::NotFound, format!("no file of an order ends in `{ending}`"))
    })?;
    let view = answer::read(state, move |state| orders::read(state, &id)).await?;
    let name = format!("attachment; filename=\"{}.{ending}\"", view.reference);
    let mut response = orders::written(&request, view, wanted).await?;
    if let Ok(name) = HeaderValue::from_str(&name) {
        response.headers_mut().insert(header::CONTENT_DISPOSITION, name);
    }
    Ok(response)
}

/// Writes other lines into a draft from its page.
///
/// Boxes that are empty are no lines. Whoever saw an older state is shown the newer one.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order."))
)]
#[post("/supplier-orders/{id}/lines")]
async fn edit_order_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let edited = edit(&state, &id, &form).await;
    let path =
        edited.map(|()| address_after(&id, "edited")).map_err(|problem| form.placed(problem));
    visit.settle(path, form, move |state, words, draft| one::page(state, words, &id, &draft)).await
}

async fn edit(state: &web::Data<State>, id: &str, form: &Form) -> Result<(), Problem> {
    let body: SupplierOrderLinesBody = form.body()?;
    let seen = Precondition::Tags(vec![form.text("_etag").to_owned()]);
    let id = id.to_owned();
    let work = move |state: &State| orders::edit(state, &id, &body, &seen).map(drop);
    answer::read(state.clone(), work).await
}

/// A step of an order in its transaction.
type Step<B> = fn((&State, &mut Tx), &str, &B) -> Result<Answer, Refusal>;

/// Takes an order one step further, and back to its page.
async fn step<B: DeserializeOwned + Send + 'static>(
    state: &web::Data<State>,
    visit: Visit,
    (id, form): (String, Form),
    (step, done): (Step<B>, &str),
) -> HttpResponse {
    let of = id.clone();
    let work = move |state: &State, tx: &mut Tx, body: &B| step((state, tx), &of, body);
    let path = form.post(state, work).await.map(|_| address_after(&id, done));
    visit.settle(path, form, move |state, words, draft| one::page(state, words, &id, &draft)).await
}

/// Notes from its page that an order went out.
///
/// As the API does; after the cutoff it must be said who there agreed.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order."))
)]
#[post("/supplier-orders/{id}/send")]
async fn send_order_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let by: Step<SendOrderBody> = orders::send;
    step(&state, visit, (id.into_inner(), form), (by, "sent")).await
}

/// Notes the supplier's answer; when it comes is written on the bakery's clock.
fn acknowledge(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &AcknowledgeBody,
) -> Result<Answer, Refusal> {
    let arrives = body.arrives.as_deref();
    let arrives = arrives.map(|text| moment::with_offset(state, tx, text)).transpose()?;
    orders::acknowledge((state, tx), id, &AcknowledgeBody { arrives, ..body.clone() })
}

/// Notes on its page what the supplier will bring.
///
/// As the API does, line by line.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order."))
)]
#[post("/supplier-orders/{id}/acknowledge")]
async fn acknowledge_order_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let by: Step<AcknowledgeBody> = acknowledge;
    step(&state, visit, (id.into_inner(), form), (by, "acknowledged")).await
}

/// Closes an order from its page.
///
/// As the API does, with the reason.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order."))
)]
#[post("/supplier-orders/{id}/close")]
async fn close_order_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let by: Step<EndOrderBody> = orders::close;
    step(&state, visit, (id.into_inner(), form), (by, "closed")).await
}

/// Gives up a draft from its page.
///
/// As the API does, with the reason.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the order."))
)]
#[post("/supplier-orders/{id}/cancel")]
async fn cancel_order_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let by: Step<EndOrderBody> = orders::cancel;
    step(&state, visit, (id.into_inner(), form), (by, "cancelled")).await
}

/// Shows where the goods of an order are taken in.
///
/// Line by line against what was promised.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/supplier-orders/{id}/goods-in")]
async fn show_order_goods_in(visit: Visit, id: web::Path<String>) -> HttpResponse {
    visit.show(move |state, words| goods_in::page(state, words, &id, &Draft::new(state))).await
}

/// Takes in goods against an order from its page.
///
/// As the API does: each line that came becomes a lot. Pressed twice it has one effect.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to what is still to come."))
)]
#[post("/supplier-orders/{id}/goods-in")]
async fn receive_order_on_page(
    state: web::Data<State>,
    visit: Visit,
    id: web::Path<String>,
    form: Form,
) -> HttpResponse {
    let of = id.clone();
    let work = move |state: &State, tx: &mut Tx, body: &ReceiveOrderBody| {
        orders::receive((state, tx), &of, body)
    };
    let path = form.post(&state, work).await;
    let path = path.map(|_| format!("{}/goods-in?done=received", address(&id)));
    visit
        .settle(path, form, move |state, words, draft| goods_in::page(state, words, &id, &draft))
        .await
}
