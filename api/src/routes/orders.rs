//! Orders: taken whole and by version, cancelled, looked up.

use crate::{
    answer,
    document::parse_date,
    extract::Posted,
    page::{self, Page},
    problem::{Kind, Problem},
    service::{
        Refusal, bakery, decisions,
        idempotency::Answer,
        orders::{self, Desk, Effect, Judging, Order},
    },
    state::State,
    store::Tx,
    wire::order::{
        CancelBody, HistoryView, OrderBody, OrderView,
        batch::{BatchBody, BatchEntry, OutcomeView, OutcomesView},
        check::{CheckBody, OrderCheckView},
    },
};
use actix_web::{HttpResponse, get, post, web};
use jiff::civil::Date;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config.service(take_orders).service(check_order).service(cancel_order).service(take_order);
    config.service(list_orders).service(find_order);
}

/// Which orders of which page.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
struct OrdersQuery {
    /// Only orders of this local service date.
    #[param(example = "2026-06-13")]
    service_date: Option<String>,
    /// Most rows of the page: 1 to 1000, 100 if absent.
    #[param(example = 100)]
    limit: Option<i64>,
    /// The `next` of the page before; absent for the first page.
    cursor: Option<String>,
}

/// Takes one order.
///
/// The order comes whole; an amendment is the whole order again under the next version.
/// The same version with the same content gets the same answer and has no second effect,
/// with other content it is refused. A lower version than the one that is held is
/// answered as stale. A bad line refuses itself only, unless the order is all or nothing.
/// An order after the cutoff is counted and answered as `taken-late-asking`.
#[utoipa::path(
    tag = "orders",
    request_body = OrderBody,
    responses(
        (status = 201, description = "The order is new and held.", body = OrderView),
        (status = 200, description = "Another version of it is held, or was.", body = OrderView)
    )
)]
#[post("/v1/orders")]
async fn take_order(
    state: web::Data<State>,
    posted: Posted<OrderBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, take).await
}

/// Takes an order in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn take(state: &State, tx: &mut Tx, body: &OrderBody) -> Result<Answer, Refusal> {
    let asked = body.read().map_err(Refusal::Body)?;
    let mut desk = desk(state, tx)?;
    let (order, effect) = orders::take(tx, &state.site, &mut desk, &asked)?;
    answered(&order, effect)
}

/// Cancels an order in its transaction.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn cancel(
    (state, tx): (&State, &mut Tx),
    order_ref: &str,
    body: &CancelBody,
) -> Result<Answer, Refusal> {
    let version = body.read(order_ref).map_err(Refusal::Body)?;
    let mut desk = desk(state, tx)?;
    let (order, effect) = orders::cancel(tx, &state.site, &mut desk, order_ref, version)?;
    answered(&order, effect)
}

/// Where orders are taken, at this moment.
fn desk(state: &State, tx: &mut Tx) -> Result<Desk, Refusal> {
    let bakery = bakery::load(state, tx)?;
    Ok(Desk::new(bakery, state.now(), Judging::AsAsked).sharing(&state.mornings))
}

/// Takes up to 1,000 orders.
///
/// Each order has its own outcome, with the status that it alone would have been
/// answered with; one bad order never costs a good one.
#[utoipa::path(
    tag = "orders",
    request_body = BatchBody,
    responses((status = 200, description = "One outcome for each order.", body = OutcomesView))
)]
#[post("/v1/orders/batch")]
async fn take_orders(
    state: web::Data<State>,
    posted: Posted<BatchBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, |state, tx, body| {
        let entries = body.read().map_err(Refusal::Body)?;
        let mut desk = desk(state, tx)?;
        let one = |entry| outcome(state, tx, &mut desk, entry);
        let settled: Vec<_> = entries.into_iter().map(one).collect::<Result<_, _>>()?;
        let (outcomes, words): (_, Vec<_>) = settled.into_iter().unzip();
        let answer = Answer::json(200, &OutcomesView { outcomes })?;
        Ok(Answer { outcomes: words, ..answer })
    })
    .await
}

/// Asks whether an order could still be made.
///
/// The same body as an order, and nothing of it is kept. Line by line: how many pieces
/// could be made and from where, what stands in the way, the cutoff, the first step that
/// cannot be undone, and the next time that works. Judged by the plan with the order in it
/// against the plan without it, after all orders that are held.
#[utoipa::path(
    tag = "orders",
    request_body = CheckBody,
    responses((status = 200, description = "What would become of it.", body = OrderCheckView))
)]
#[post("/v1/orders/check")]
async fn check_order(
    state: web::Data<State>,
    posted: Posted<CheckBody>,
) -> Result<web::Json<OrderCheckView>, Problem> {
    // A question has no effect that a retry could double, so its key keeps no answer.
    let Posted { key: _, body } = posted;
    let asked = body.read().map_err(Refusal::Body)?;
    let work = move |state: &State| {
        let check = orders::check::check(state, &asked, body.version)?;
        Ok(OrderCheckView::new(&asked, &check))
    };
    Ok(web::Json(answer::read(state, work).await?))
}

/// Cancels an order.
///
/// The cancellation carries the next version. If it comes before its order it leaves a
/// tombstone, and the order stays cancelled unless it comes with a higher version.
#[utoipa::path(
    tag = "orders",
    params(("order_ref" = String, Path, description = "The sender's name for the order.")),
    request_body = CancelBody,
    responses(
        (status = 201, description = "The order never came; it is cancelled.", body = OrderView),
        (status = 200, description = "It is cancelled, or a higher version is held.", body = OrderView)
    )
)]
#[post("/v1/orders/{order_ref}/cancel")]
async fn cancel_order(
    state: web::Data<State>,
    order_ref: web::Path<String>,
    posted: Posted<CancelBody>,
) -> Result<HttpResponse, Problem> {
    answer::post(state, posted, move |state, tx, body| cancel((state, tx), &order_ref, body)).await
}

/// Reads one order.
///
/// The version that is held, what became of its lines, and every version that came.
#[utoipa::path(
    tag = "orders",
    params(("order_ref" = String, Path, description = "The sender's name for the order.")),
    responses((status = 200, description = "The order with its history.", body = HistoryView))
)]
#[get("/v1/orders/{order_ref}")]
async fn find_order(
    state: web::Data<State>,
    order_ref: web::Path<String>,
) -> Result<web::Json<HistoryView>, Problem> {
    let work = move |state: &State| history(state, &order_ref);
    Ok(web::Json(answer::read(state, work).await?))
}

/// An order with all its versions.
///
/// # Errors
/// [`Refusal`]
pub(crate) fn history(state: &State, order_ref: &str) -> Result<HistoryView, Refusal> {
    state.store.read(|tx| {
        let zone = bakery::load(state, tx)?.site().time_zone.clone();
        let (order, history) = orders::find(tx, &state.site, &zone, order_ref)?;
        let caps = decisions::caps_of(tx, &state.site, &order)?;
        Ok(HistoryView::new(&order, &history, &caps))
    })
}

/// Lists orders.
///
/// As they are held, by the sender's name, in pages; of one service date if it is given.
#[utoipa::path(
    tag = "orders",
    params(OrdersQuery),
    responses((status = 200, description = "A page of orders.", body = Page<OrderView>))
)]
#[get("/v1/orders")]
async fn list_orders(
    state: web::Data<State>,
    query: web::Query<OrdersQuery>,
) -> Result<Page<OrderView>, Problem> {
    let OrdersQuery { service_date, limit, cursor } = query.into_inner();
    let date = service_date.as_deref().map(date).transpose()?;
    let limit = page::limit(limit)?;
    let after = page::after(cursor.as_deref())?.unwrap_or_default();
    let work = move |state: &State| {
        state.store.read(|tx| {
            let zone = bakery::load(state, tx)?.site().time_zone.clone();
            orders::list(tx, &state.site, &zone, date, &after, limit)
        })
    };
    let found = answer::read(state, work).await?;
    let rows = found.iter().map(|order| OrderView::new(order, false)).collect();
    Ok(Page::new(rows, limit, |last: &OrderView| last.order_ref.clone()))
}

fn date(text: &str) -> Result<Date, Problem> {
    parse_date(text).ok_or_else(|| {
        let detail = "service_date is no date: write year-month-day, such as 2026-06-12";
        Problem::new(Kind::InvalidQuery, detail)
    })
}

fn answered(order: &Order, effect: Effect) -> Result<Answer, Refusal> {
    let view = OrderView::new(order, effect == Effect::Stale);
    Ok(Answer {
        outcomes: vec![outcome_word(order, effect)],
        ..Answer::json(status(effect), &view)?
    })
}

/// What became of an order, in the word under which it is counted.
const fn outcome_word(order: &Order, effect: Effect) -> &'static str {
    match effect {
        Effect::Created | Effect::Changed => order.held.state.word(),
        Effect::Refused => "refused",
        Effect::Repeated => "repeated",
        Effect::Stale => "stale",
    }
}

const fn status(effect: Effect) -> u16 {
    match effect {
        Effect::Created => 201,
        Effect::Changed | Effect::Refused | Effect::Repeated | Effect::Stale => 200,
    }
}

/// Takes one order of a batch; only a failure of the store ends the batch.
fn outcome(
    state: &State,
    tx: &mut Tx,
    desk: &mut Desk,
    entry: BatchEntry,
) -> Result<(OutcomeView, &'static str), Refusal> {
    let BatchEntry { order_ref, order } = entry;
    let taken = match &order {
        Ok(asked) => orders::take(tx, &state.site, desk, asked),
        Err(problem) => return Ok((OutcomeView::refused(order_ref, problem), "problem")),
    };
    match taken {
        Ok((order, effect)) => {
            let view = OrderView::new(&order, effect == Effect::Stale);
            Ok((OutcomeView::taken(view, status(effect)), outcome_word(&order, effect)))
        }
        Err(refusal @ Refusal::Store(_)) => Err(refusal),
        Err(refusal) => Ok((OutcomeView::refused(order_ref, &Problem::from(refusal)), "problem")),
    }
}
