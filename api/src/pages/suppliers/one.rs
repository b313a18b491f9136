//! One supplier: its days, its goods, its orders.

use super::list::minimum;
use crate::{
    messages::Words,
    pages::{
        Draft, Page, Shown, desk,
        field::{self, Field, hidden},
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
        supplier_orders::{address, lines},
        suppliers::goods,
        visit,
    },
    service::{
        plan::{self, Morning},
        supplier_orders::{self as orders, SupplierOrder},
    },
    state::State,
    wire::{
        amount::instant,
        deliveries::{DeliveryView, coming_deliveries},
        supplier_order::SupplierOrderRowView,
    },
};
use domain::supplier::Supplier;
use jiff::civil::Weekday;
use maud::{Markup, html};

/// Most orders that are shown, newest first.
const PAST_MAX: i64 = 50;

pub(super) fn page(state: &State, words: Words, code: &str, draft: &Draft) -> Shown {
    let morning = plan::load_reference(state)?;
    let supplier = morning.supplier(code)?;
    let coming = coming_deliveries(&morning, supplier).map_err(plan::refused)?;
    let all = state.store.read(|tx| orders::of_supplier(tx, &state.site, code, PAST_MAX))?;
    let (open, past): (Vec<_>, Vec<_>) = all.iter().partition(|order| order.state.is_open());
    let open: Vec<_> =
        open.into_iter().map(|order| SupplierOrderRowView::new(&morning.bakery, order)).collect();
    let title = words.say("desk-open-orders");
    let main = html! {
        (facts(words, &morning, supplier, &coming))
        @if !open.is_empty() {
            section {
                h2 { (title) }
                (desk::table(words, &title, (&open, morning.now), |_| supplier.name.as_str()))
            }
        }
        @if coming.iter().any(|one| !one.ask_supplier) {
            (ordering(words, (&morning, supplier, &coming), draft))
        }
        (rhythm(words, supplier))
        (deliveries(words, &coming))
        (goods::draw(words, &morning, supplier))
        (history(words, &morning, &past))
        @if i64::try_from(all.len()) == Ok(PAST_MAX) {
            p.hint { (words.tell("suppliers-newest", &[("count", PAST_MAX.into())])) }
        }
    };
    Ok(Page { title: supplier.name.clone(), main })
}

fn facts(words: Words, morning: &Morning, supplier: &Supplier, coming: &[DeliveryView]) -> Markup {
    let today = morning.today();
    let holidays = supplier.holidays.iter().filter(|&&date| date >= today);
    let holidays: Vec<String> = holidays.map(|&date| words.day(date)).collect();
    let zone = supplier.time_zone.iana_name().unwrap_or("UTC");
    let foreign = morning.bakery.site().time_zone.iana_name() != Some(zone);
    html! {
        dl {
            dt { (words.say("suppliers-next-cutoff")) }
            dd {
                @match coming.iter().find(|one| !one.ask_supplier) {
                    Some(next) => { b { (words.moment_on(today, &next.cutoff)) } }
                    None => { (words.say("suppliers-no-delivery")) }
                }
            }
            dt { (words.say("desk-minimum")) } dd { (minimum(words, supplier)) }
            @for step in &supplier.value_breaks {
                dt { (words.say("supplier-order-off")) }
                dd { (goods::off(words, step)) }
            }
            @if let Some(email) = &supplier.email {
                dt { (words.say("suppliers-email")) } dd { a href={ "mailto:" (email) } { (email) } }
            }
            @if foreign { dt { (words.say("suppliers-clock")) } dd { (zone) } }
            @if !holidays.is_empty() {
                dt { (words.say("suppliers-holidays")) } dd { (holidays.join("; ")) }
            }
        }
    }
}

/// An order of one's own choice, beside what the plan proposes.
fn ordering(
    words: Words,
    (morning, supplier, coming): (&Morning, &Supplier, &[DeliveryView]),
    draft: &Draft,
) -> Markup {
    let packs = lines::choices(words, &morning.bakery, supplier.code.as_str());
    let (cutoff, who, note) =
        (words.say("desk-cutoff"), words.say("desk-who"), words.say("supplier-order-note"));
    let button = words.say("desk-draft");
    let choices = cutoffs(words, coming);
    let fields = html! {
        (hidden("supplier", supplier.code.as_str()))
        (Field::choice("cutoff", &cutoff, &choices).needed().draw(words, draft))
        (lines::boxes(words, &packs, draft))
        (Field::text("who", &who).needed().draw(words, draft))
        (Field::text("note", &note).draw(words, draft))
    };
    let action = format!("/suppliers/{}/orders", visit::segment(supplier.code.as_str()));
    html! {
        details.not-on-paper open[draft.is_refused()] {
            summary { (words.say("suppliers-order")) }
            p.hint { (words.say("suppliers-order-hint")) }
            (field::form(words, draft, (&action, &button), &fields))
        }
    }
}

/// Cutoffs to order by, each with what it brings first: a holiday may put two on one moment.
fn cutoffs(words: Words, coming: &[DeliveryView]) -> Vec<(String, String)> {
    let mut open: Vec<&DeliveryView> = coming.iter().filter(|one| !one.ask_supplier).collect();
    open.dedup_by(|later, first| later.cutoff == first.cutoff);
    let label = |one: &DeliveryView| {
        words.tell(
            "suppliers-by-and-comes",
            &[
                ("cutoff", words.moment(&one.cutoff).into()),
                ("arrives", words.moment(&one.arrives).into()),
            ],
        )
    };
    open.into_iter().map(|one| (one.cutoff.clone(), label(one))).collect()
}

fn weekday(words: Words, day: Weekday) -> String {
    words.say(&format!("weekday-long-{}", day.to_monday_one_offset()))
}

/// Its table, week by week: cutoffs by its own clock.
fn rhythm(words: Words, supplier: &Supplier) -> Markup {
    let title = words.say("suppliers-rhythm");
    html! {
        section {
            h2 { (title) }
            (wide(&title, &html! {
                table {
                    (columns(words, &[Text("desk-cutoff"), Text("suppliers-delivery")]))
                    tbody {
                        @for row in &supplier.deliveries {
                            tr {
                                td { (weekday(words, row.order_day)) ", " (row.cutoff.strftime("%H:%M")) }
                                td {
                                    (weekday(words, row.delivery_day)) ", " (row.window_from.strftime("%H:%M"))
                                    @if row.window_to != row.window_from { "–" (row.window_to.strftime("%H:%M")) }
                                }
                            }
                        }
                    }
                }
            }))
        }
    }
}

/// The deliveries of the coming days as they really fall, holidays considered.
fn deliveries(words: Words, coming: &[DeliveryView]) -> Markup {
    let title = words.say("suppliers-deliveries");
    html! {
        @if !coming.is_empty() {
            section {
                h2 { (title) }
                (wide(&title, &html! {
                    table {
                        (columns(words, &[Text("desk-cutoff"), Text("desk-arrives")]))
                        tbody {
                            @for one in coming {
                                tr {
                                    td { (words.moment(&one.cutoff)) }
                                    td {
                                        (words.moment(&one.arrives))
                                        @if one.ask_supplier { br; span.loud { (words.say("suppliers-ask")) } }
                                        @else if let Some(from) = &one.moved_from {
                                            br; span.loud { (words.tell("suppliers-moved", &[("day", words.day_of(from).into())])) }
                                        }
                                    }
                                }
                            }
                        }
                    }
                }))
            }
        }
    }
}

/// What it brought before: packs ordered, come and sent back.
fn history(words: Words, morning: &Morning, past: &[&SupplierOrder]) -> Markup {
    let title = words.say("suppliers-history");
    let zone = &morning.bakery.site().time_zone;
    html! {
        @if !past.is_empty() {
            section {
                h2 { (title) }
                (wide(&title, &html! {
                    table {
                        (columns(words, &[
                            Text("desk-order"),
                            Text("lot-state"),
                            Text("desk-arrives"),
                            Figure("desk-packs"),
                            Figure("supplier-order-received"),
                            Figure("supplier-order-refused"),
                        ]))
                        tbody {
                            @for order in past {
                                @let lines = &order.body.lines;
                                @let packs: i64 = lines.iter().map(|line| line.packs).sum();
                                @let came: i64 = lines.iter().map(|line| line.received).sum();
                                @let back: i64 = lines.iter().map(|line| line.refused).sum();
                                tr {
                                    th scope="row" { a href=(address(&order.id)) { (order.reference()) } }
                                    td { (words.say(&format!("supplier-order-state-{}", order.state.word()))) }
                                    td { (words.moment(&instant(zone, order.arrives))) }
                                    td.number { (packs) }
                                    td.number.loud[came < packs] { (came) }
                                    td.number.loud[back > 0] { (back) }
                                }
                            }
                        }
                    }
                }))
            }
        }
    }
}
