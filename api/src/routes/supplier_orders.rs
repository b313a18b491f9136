//! Orders to suppliers: drafted, edited, sent, answered, received against, closed.

use crate::{
    answer,
    extract::{Body, IfMatch, Posted},
    page::{self, Page, PageQuery},
    problem::{Kind, Problem},
    service::{
        Refusal, bakery,
        idempotency::Answer,
        reference::Precondition,
        supplier_orders::{self as orders, OrderHistory},
    },
    sheets::{self, Format, Offer},
    state::State,
    store::Tx,
    wire::supplier_order::{
        AcknowledgeBody, EndOrderBody, ReceiveOrderBody, SendOrderBody, SupplierOrderBody,
        SupplierOrderLinesBody, SupplierOrderRowView, SupplierOrderView, ubl,
    },
};
use actix_web::{HttpRequest, HttpResponse, get, http::header, post, put, web};
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(list_supplier_orders)
        .service(draft_supplier_order)
        .service(find_supplier_order)
        .service(edit_supplier_order)
        .service(send_supplier_order)
        .service(acknowledge_supplier_order)
        .service(receive_supplier_order)
        .service(close_supplier_order)
        .service(cancel_supplier_order)
        .service(read_receiving_sheet);
}

/// Lists orders to suppliers.
///
/// Oldest first, in pages, whatever their state.
#[utoipa::path(
    tag = "purchase",
    params(PageQuery),
    responses((status = 200, description = "A page of orders.", body = Page<SupplierOrderRowView>))
)]
#[get("/v1/supplier-orders")]
async fn list_supplier_orders(
    state: web::Data<State>,
    query: web::Query<PageQuery>,
) -> Result<Page<SupplierOrderRowView>, Problem> {
    let limit = page::limit(query.limit)?;
    let after = match page::after(query.cursor.as_deref())? {
        None => 0,
        Some(text) => text.parse().map_err(|_| {
            Problem::new(Kind::InvalidQuery, "cursor is none of ours: send the `next` of a page")
        })?,
    };
    let work = move |state: &State| {
        state.store.read(|tx| -> Result<_, Refusal> {
            let bakery = bakery::load(state, tx)?;
            let rows = orders::list(tx, &state.site, after, limit)?;
            Ok(rows.iter().map(|row| SupplierOrderRowView::new(&bakery, row)).collect::<Vec<_>>())
        })
    };
    let rows = answer::read(state, work).await?;
    Ok(Page::new(rows, limit, |row| row.number.to_string()))
}

/// An order as it is answered.
fn answered(
    state: &State,
    tx: &mut Tx,
    status: u16,
    history: &OrderHistory,
) -> Result<Answer, Refusal> {
    let bakery = bakery::load(state, tx)?;
    let view = SupplierOrderView::new(&bakery, history, state.now());
    Ok(Answer { etag: Some(history.etag.clone()), ..Answer::json(status, &view)? })
}

/// Drafts an order in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn draft(
    state: &State,
    tx: &mut Tx,
    body: &SupplierOrderBody,
) -> Result<Answer, Refusal> {
    let history = orders::draft(state, tx, &body.read().map_err(Refusal::Body)?)?;
    answered(state, tx, 201, &history)
}

/// Drafts an order.
///
/// From what the plan proposes for the supplier's next cutoff, or from lines of its own.
/// What drafts and sent orders bring already is not proposed again. Nothing leaves the house.
#[utoipa::path(
    tag = "purchase",
    request_body = SupplierOrderBody,
    responses((status = 201, description = "The draft.", body = SupplierOrderView))
)]
#[post("/v1/supplier-orders")]
async fn draft_supplier_order(
    state: web::Data<State>,
    posted: Posted<SupplierOrderBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, draft).await
}

/// Reads an order, with its history.
///
/// # Errors
/// [`Refusal::Unknown`]
pub(crate) fn read(state: &State, id: &str) -> Result<SupplierOrderView, Refusal> {
    state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let history = orders::find(tx, &state.site, id)?;
        Ok(SupplierOrderView::new(&bakery, &history, state.now()))
    })
}

/// The formats of an order, the first by default.
const OFFERS: [Offer; 5] = [
    Offer("application", "json"),
    Offer("text", "html"),
    Offer("text", "csv"),
    Offer("application", "xml"),
    Offer("application", "pdf"),
];

/// Reads one order.
///
/// With its history; to print, as CSV, or as an OASIS UBL 2.1 Order for the supplier's desk.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The order.", content((SupplierOrderView = "application/json"), (String = "text/html"), (String = "text/csv"), (String = "application/xml"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/supplier-orders/{id}")]
async fn find_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let wanted = sheets::preferred(&request, &OFFERS)?;
    let view = answer::read(state, move |state| read(state, &id)).await?;
    written(&request, view, &OFFERS[wanted]).await
}

/// An order in a format that is offered.
///
/// # Errors
/// [`Kind::OrderUnsound`] of what cannot go out as UBL.
pub(crate) async fn written(
    request: &HttpRequest,
    view: SupplierOrderView,
    format: &Offer,
) -> Result<HttpResponse, Problem> {
    let draw = |view| Ok::<_, Problem>(sheets::supplier_order::draw(sheets::words(request)?, view));
    match format {
        Offer("text", "html") => Ok(sheets::html(draw(&view)?)),
        Offer("text", "csv") => Ok(sheets::csv(view.csv())),
        Offer(_, "xml") => Ok(sheets::file("application/xml", ubl(&view).map_err(unsound)?)),
        Offer(_, "pdf") => sheets::on_paper(request, draw(&view)?).await,
        _ => Ok(HttpResponse::Ok().insert_header((header::ETAG, view.etag.clone())).json(view)),
    }
}

fn unsound(wrong: Vec<String>) -> Problem {
    let detail = format!("the order cannot go out as it is: {}", wrong.join("; "));
    Problem::new(Kind::OrderUnsound, detail)
}

/// Writes other lines into a draft.
///
/// All lines at once, priced anew. Takes the ETag that was read as If-Match.
#[utoipa::path(
    tag = "purchase",
    params(
        ("id" = String, Path, description = "Its UUID."),
        ("If-Match" = Option<String>, Header, description = "The ETag that was read.")
    ),
    request_body = SupplierOrderLinesBody,
    responses((status = 200, description = "The draft.", body = SupplierOrderView))
)]
#[put("/v1/supplier-orders/{id}/lines")]
async fn edit_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    IfMatch(precondition): IfMatch,
    Body(body): Body<SupplierOrderLinesBody>,
) -> Result<HttpResponse, Problem> {
    let view = answer::read(state, move |state| edit(state, &id, &body, &precondition)).await?;
    Ok(HttpResponse::Ok().insert_header((header::ETAG, view.etag.clone())).json(view))
}

/// Writes other lines into a draft, in a transaction of its own.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn edit(
    state: &State,
    id: &str,
    body: &SupplierOrderLinesBody,
    precondition: &Precondition,
) -> Result<SupplierOrderView, Refusal> {
    let (said, lines) = body.read().map_err(Refusal::Body)?;
    state.write(|tx| {
        let history = orders::edit(state, tx, (id, &said), &lines, precondition)?;
        let bakery = bakery::load(state, tx)?;
        Ok(SupplierOrderView::new(&bakery, &history, state.now()))
    })
}

/// Notes that an order went out in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn send(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &SendOrderBody,
) -> Result<Answer, Refusal> {
    let (said, agreed) = body.read().map_err(Refusal::Body)?;
    let history = orders::send(state, tx, (id, &said), agreed.as_deref())?;
    answered(state, tx, 200, &history)
}

/// Notes that an order went out.
///
/// From now on plans count on its goods. After the cutoff, or below a minimum under which the
/// supplier takes no order, it must be said who there agreed.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = SendOrderBody,
    responses((status = 200, description = "The order.", body = SupplierOrderView))
)]
#[post("/v1/supplier-orders/{id}/send")]
async fn send_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<SendOrderBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| send((state, tx), &id, body)).await
}

/// Notes what the supplier will bring in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn acknowledge(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &AcknowledgeBody,
) -> Result<Answer, Refusal> {
    let (said, agreement) = body.read().map_err(Refusal::Body)?;
    let history = orders::acknowledge(state, tx, (id, &said), &agreement)?;
    answered(state, tx, 200, &history)
}

/// Notes what the supplier will bring.
///
/// What it cut is no longer on its way: the next shortage sheet shows it. Lines that are not
/// named stand as ordered.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = AcknowledgeBody,
    responses((status = 200, description = "The order.", body = SupplierOrderView))
)]
#[post("/v1/supplier-orders/{id}/acknowledge")]
async fn acknowledge_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<AcknowledgeBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| acknowledge((state, tx), &id, body)).await
}

/// Takes in goods against an order in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn receive(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &ReceiveOrderBody,
) -> Result<Answer, Refusal> {
    let (said, lines) = body.read().map_err(Refusal::Body)?;
    let history = orders::receive(state, tx, (id, &said), &lines)?;
    answered(state, tx, 200, &history)
}

/// Takes in goods against an order.
///
/// Each line that came becomes a lot at the order's price. What is short stays on its way
/// until it is settled; more than promised must be accepted; what was sent back says why.
#[utoipa::path(
    tag = "stock",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = ReceiveOrderBody,
    responses((status = 200, description = "The order.", body = SupplierOrderView))
)]
#[post("/v1/supplier-orders/{id}/receipts")]
async fn receive_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<ReceiveOrderBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| receive((state, tx), &id, body)).await
}

/// Closes an order in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn close(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &EndOrderBody,
) -> Result<Answer, Refusal> {
    let said = body.read().map_err(Refusal::Body)?;
    let history = orders::close(state, tx, (id, &said))?;
    answered(state, tx, 200, &history)
}

/// Closes an order.
///
/// What did not come is waited for no longer.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = EndOrderBody,
    responses((status = 200, description = "The order.", body = SupplierOrderView))
)]
#[post("/v1/supplier-orders/{id}/close")]
async fn close_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<EndOrderBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| close((state, tx), &id, body)).await
}

/// Gives up a draft in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn cancel(
    (state, tx): (&State, &mut Tx),
    id: &str,
    body: &EndOrderBody,
) -> Result<Answer, Refusal> {
    let said = body.read().map_err(Refusal::Body)?;
    let history = orders::cancel(state, tx, (id, &said))?;
    answered(state, tx, 200, &history)
}

/// Gives up a draft.
///
/// It stays on record, and its cutoff is free for another draft.
#[utoipa::path(
    tag = "purchase",
    params(("id" = String, Path, description = "Its UUID.")),
    request_body = EndOrderBody,
    responses((status = 200, description = "The order.", body = SupplierOrderView))
)]
#[post("/v1/supplier-orders/{id}/cancel")]
async fn cancel_supplier_order(
    state: web::Data<State>,
    id: web::Path<String>,
    posted: Posted<EndOrderBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| cancel((state, tx), &id, body)).await
}

/// Prints what to check when an order comes.
///
/// What was promised, line by line, with boxes for packs, lot, date and temperature.
#[utoipa::path(
    tag = "sheets",
    params(("id" = String, Path, description = "Its UUID.")),
    responses((status = 200, description = "The sheet, as JSON or HTML.", content((SupplierOrderView = "application/json"), (String = "text/html"), (Vec<u8> = "application/pdf"))))
)]
#[get("/v1/supplier-orders/{id}/receiving-sheet")]
async fn read_receiving_sheet(
    state: web::Data<State>,
    id: web::Path<String>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let format = Format::wanted(&request)?;
    let view = answer::read(state, move |state| read(state, &id)).await?;
    format.respond(&view, sheets::receiving_sheet::draw).await
}
