//! The shortage desk: what runs short, until when to ring whom, and what else can be done.

mod order;
mod short;

pub(super) use order::table;

use super::{Draft, Form, Page, Shown, Visit, field, orders::named, supplier_orders, visit};
use crate::{
    messages::{Sentence, Words},
    routes,
    service::{
        Refusal,
        plan::{self, Horizon, Morning},
        supplier_orders as orders,
    },
    state::State,
    wire::{
        proposals::ProposalView,
        shortages::{ShortagesView, shortages},
        supplier_order::SupplierOrderRowView,
    },
};
use actix_web::{HttpResponse, get, post, web};
use jiff::{Timestamp, civil::Date};
use maud::{Markup, html};
use serde_json::Value;
use utoipa_actix_web::service_config::ServiceConfig;

/// Adds the routes.
pub(super) fn routes(config: &mut ServiceConfig<'_>) {
    config.service(show_desk).service(draft_on_desk);
}

/// Shows what runs short, by the latest moment to ring.
///
/// With whom it hits, who still delivers, what else can be done, and what to order in whole
/// packs by each cutoff.
#[utoipa::path(
    tag = "purchase",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
#[get("/desk")]
async fn show_desk(visit: Visit) -> HttpResponse {
    visit.show(|state, words| page(state, words, &Draft::new(state))).await
}

/// Drafts what the plan proposes to order from a supplier by a cutoff.
///
/// The form's fields are those of the draft that the API takes. Pressed twice it has one
/// effect, and nothing leaves the house.
#[utoipa::path(
    tag = "purchase",
    request_body(content = String, content_type = "application/x-www-form-urlencoded"),
    responses((status = 303, description = "On to the draft."))
)]
#[post("/desk")]
async fn draft_on_desk(state: web::Data<State>, visit: Visit, form: Form) -> HttpResponse {
    let path = form.post(&state, routes::supplier_orders::draft).await.map(|answer| {
        let view: Value = serde_json::from_str(&answer.body).unwrap_or_default();
        supplier_orders::address_after(view["id"].as_str().unwrap_or_default(), "drafted")
    });
    visit.settle(path, form, |state, words, draft| page(state, words, &draft)).await
}

/// Where an item that runs short stands on the desk.
pub(super) fn place(item: &str) -> String {
    format!("/desk#short-{}", visit::segment(item))
}

/// What the desk shows.
struct Desk {
    view: ShortagesView,
    /// Drafts and orders on their way.
    open: Vec<SupplierOrderRowView>,
    /// What people call the suppliers, by code.
    names: Vec<(String, String)>,
    today: Date,
    now: Timestamp,
    /// Service dates of orders that a shortage hits which can no longer be ordered.
    undecided: Vec<String>,
}

impl Desk {
    fn of(state: &State, morning: &Morning) -> Result<Self, Refusal> {
        let view = shortages(morning).map_err(plan::refused)?;
        let open = state.store.read(|tx| orders::open(tx, &state.site))?;
        let open = open.iter().map(|order| SupplierOrderRowView::new(&morning.bakery, order));
        let suppliers = morning.bakery.lists().suppliers.iter();
        let names = suppliers.map(|one| (one.code.to_string(), one.name.clone()));
        let gone = view.groups.iter().filter(|group| group.gone);
        let hits = gone.flat_map(|group| &group.lines).flat_map(|line| &line.hits);
        let mut undecided: Vec<String> = hits.map(|hit| hit.service_date.clone()).collect();
        undecided.sort_unstable();
        undecided.dedup();
        let (open, names) = (open.collect(), names.collect());
        Ok(Self { view, open, names, today: morning.today(), now: morning.now, undecided })
    }

    /// What people call a supplier.
    fn name<'a>(&'a self, code: &'a str) -> &'a str {
        named(&self.names, code)
    }

    /// The forms that the desk offers: of proposals without a draft.
    fn parts(&self) -> Vec<String> {
        let sent = self.view.groups.iter().filter_map(|group| group.order.as_ref());
        let all = sent.chain(&self.view.other_orders);
        all.filter(|order| self.draft_of(order).is_none()).map(order::part).collect()
    }

    /// The draft that is open for the cutoff of a proposal.
    fn draft_of(&self, order: &ProposalView) -> Option<&SupplierOrderRowView> {
        self.open.iter().find(|open| {
            (open.state, &open.supplier, &open.cutoff) == ("draft", &order.supplier, &order.cutoff)
        })
    }
}

fn page(state: &State, words: Words, draft: &Draft) -> Shown {
    let morning = plan::load(state, Horizon::Usual)?;
    let desk = Desk::of(state, &morning)?;
    let (later, now): (Vec<_>, Vec<_>) = desk.view.groups.iter().partition(|group| group.can_wait);
    let main = html! {
        p.hint { (words.tell("desk-hint", &[("day", words.day_of(&desk.view.until).into())])) }
        (field::unplaced(words, draft, &desk.parts()))
        (cuts(words, &desk))
        @if desk.view.groups.is_empty() { p { (words.say("desk-nothing")) } }
        @for group in now {
            (short::group(words, &desk, group, &order::to_send(state, words, &desk, (draft, group.order.as_ref()))))
        }
        (order::open(words, &desk))
        @if !desk.view.other_orders.is_empty() {
            section {
                h2 { (words.say("desk-other-orders")) }
                @for order in &desk.view.other_orders {
                    h3 { (desk.name(&order.supplier)) }
                    (order::to_send(state, words, &desk, (draft, Some(order))))
                }
            }
        }
        @if !later.is_empty() { h2 { (words.say("desk-later")) } }
        @for group in later {
            (short::group(words, &desk, group, &order::to_send(state, words, &desk, (draft, group.order.as_ref()))))
        }
        (short::covered(words, &desk.view.covered))
        (notes(words, &desk.view.notes))
        p.links { a href="/v1/shortages" { (words.say("desk-print")) } }
    };
    Ok(Page { title: words.say("desk-title"), main })
}

/// Where it is too late to order, somebody decides who gets how much.
fn cuts(words: Words, desk: &Desk) -> Markup {
    html! {
        @if !desk.undecided.is_empty() {
            section.answer {
                p { b { (words.say("desk-undecided")) } }
                ul.links {
                    @for date in &desk.undecided {
                        li {
                            a href={ "/cuts/" (date) } {
                                (words.tell("desk-cuts", &[("day", words.day_of(date).into())]))
                            }
                        }
                    }
                }
            }
        }
    }
}

fn notes(words: Words, notes: &[Sentence]) -> Markup {
    html! {
        @if !notes.is_empty() {
            details {
                summary { (words.tell("desk-notes", &[("count", notes.len().into())])) }
                ul { @for note in notes { li { (note.told(words)) } } }
            }
        }
    }
}
