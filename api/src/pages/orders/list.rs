//! The orders of a service date.

use super::{Names, address};
use crate::{
    messages::Words,
    page::last_of_full,
    pages::{
        Page, Shown, days,
        frame::{
            Column::{Figure, Text},
            columns, wide,
        },
        visit::segment,
    },
    service::{Refusal, bakery, orders},
    state::State,
    wire::order::OrderView,
};
use jiff::{ToSpan, civil::Date};
use maud::{Markup, html};

/// Orders of one page.
const ROWS_MAX: i64 = 200;
/// Dates that are offered, today first.
const DAYS: usize = 8;

pub(super) fn page(state: &State, words: Words, date: Option<Date>, after: &str) -> Shown {
    let names = Names::load(state)?;
    let today = bakery::today(state)?;
    let (date, rows) = read(state, (today, date), after)?;
    Ok(Page {
        title: words.tell("orders-title", &[("day", words.full_day(date).into())]),
        main: html! {
            (dates(words, today, date))
            p { a.button href=(format!("/orders/new?date={date}")) { (words.say("orders-new")) } }
            @if rows.is_empty() { p { (words.say("orders-none")) } } @else { (table(words, &names, &rows)) }
            @if let Some(last) = last_of_full(&rows, ROWS_MAX) {
                @let after = segment(&last.order_ref);
                p { a href=(format!("/orders?date={date}&after={after}")) { (words.say("orders-more")) } }
            }
        },
    })
}

/// The orders of a date; of the next one that has some if none is asked for.
fn read(
    state: &State,
    (today, date): (Date, Option<Date>),
    after: &str,
) -> Result<(Date, Vec<OrderView>), Refusal> {
    let (first, days) = date.map_or((today, DAYS), |date| (date, 1));
    state.store.read(|tx| {
        let bakery = bakery::load(state, tx)?;
        let zone = &bakery.site().time_zone;
        let (mut shown, mut found) = (first, Vec::new());
        for date in first.series(1.day()).take(days) {
            shown = date;
            found = orders::list(tx, &state.site, zone, Some(date), after, ROWS_MAX)?;
            if !found.is_empty() {
                break;
            }
        }
        Ok((shown, found.iter().map(|order| OrderView::new(order, false)).collect()))
    })
}

/// The coming dates, and any other by hand.
fn dates(words: Words, today: Date, shown: Date) -> Markup {
    html! {
        (days::links(words, ("/orders?date=", shown), today.series(1.day()).take(DAYS)))
        form.inline method="get" action="/orders" {
            label for="date" { (words.say("orders-date")) }
            input #date type="date" name="date" value=(shown);
            button.quiet type="submit" { (words.say("orders-show")) }
        }
    }
}

fn table(words: Words, names: &Names, rows: &[OrderView]) -> Markup {
    html! {
        (wide(&words.say("orders-table"), &html! {
            table {
                (columns(words, &[
                    Text("orders-customer"),
                    Text("orders-drop"),
                    Figure("orders-pieces"),
                    Text("orders-state"),
                    Text("orders-ref"),
                ]))
                tbody { @for row in rows { (order(words, names, row)) } }
            }
        }))
    }
}

fn order(words: Words, names: &Names, row: &OrderView) -> Markup {
    let pieces: i64 = row.lines.iter().map(|line| line.quantity_taken).sum();
    let customer = row.customer.as_deref().unwrap_or("–");
    let loud = !["taken", "cancelled"].contains(&row.state);
    html! {
        tr {
            th scope="row" { a href=(address(&row.order_ref)) { (names.customer(customer)) } }
            td { (row.drop.as_deref().unwrap_or("–")) }
            td.number { (pieces) }
            td.loud[loud] { (words.say(&format!("order-state-{}", row.state))) }
            td { (row.order_ref) " · " (row.version_held) }
        }
    }
}
