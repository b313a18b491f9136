//! Pieces that are made ahead of orders: counter par, and what a forecast expects.

use crate::{
    bakery::Bakery,
    book::Book,
    calendar::{OutOfCalendar, add_days},
    id::Code,
    order::{OrderLine, Wanted},
};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What counters open with on service dates, both ends in; nothing on days without sale.
///
/// # Errors
/// [`OutOfCalendar`]
///
/// # Source
/// trade.md 2.2, step 1: par by weekday and event.
pub fn pars(bakery: &Bakery, (first, last): (Date, Date)) -> Result<Vec<OrderLine>, OutOfCalendar> {
    let mut found = Vec::new();
    let mut date = first;
    while date <= last && !bakery.lists().pars.is_empty() {
        let of_date = bakery.lists().pars.iter().filter(|_| bakery.site().sells_on(date));
        found.extend(of_date.flat_map(|par| {
            par.pattern.lines_on(date).iter().map(move |line| OrderLine {
                customer: par.customer.clone(),
                service_date: date,
                product: line.product.clone(),
                pieces: line.pieces,
                drop: Some(par.drop),
                taken_at: None,
                wanted: Wanted::Par,
            })
        }));
        date = add_days(date, 1)?;
    }
    Ok(found)
}

/// Puts what orders leave of par and forecast among the orders of a book.
///
/// Orders out of par lower the par of their customer and product, the earliest drop first;
/// a forecast is lowered by all other orders for its product and date. A decision that stands on
/// a line leaves of both what its orders leave. To do it again changes nothing.
///
/// # Source
/// trade.md 2.2, step 1; 1.2: each booking comes on top of par or out of it. Finished
/// pieces are taken off later, for orders and par together.
pub fn make_ahead(book: &mut Book) {
    if book.ahead.is_empty() {
        return;
    }
    book.orders.retain(|line| !line.wanted.is_ahead());
    let mut out_of_par: BTreeMap<(Code, Date, Code), i64> = BTreeMap::new();
    let mut ordered: BTreeMap<(Date, Code), i64> = BTreeMap::new();
    for line in &book.orders {
        let (date, product) = (line.service_date, line.product.clone());
        let sum = match line.wanted {
            Wanted::OutOfPar => {
                out_of_par.entry((line.customer.clone(), date, product)).or_default()
            }
            _ => ordered.entry((date, product)).or_default(),
        };
        *sum = sum.saturating_add(line.pieces);
    }
    book.ahead.sort_by(|a, b| key(a).cmp(&key(b)));
    for line in &book.ahead {
        let (date, product) = (line.service_date, line.product.clone());
        let taken = match line.wanted {
            Wanted::Par => out_of_par.get_mut(&(line.customer.clone(), date, product)),
            _ => ordered.get_mut(&(date, product)),
        };
        let mut pieces = line.pieces;
        if let Some(taken) = taken {
            let less = pieces.min(*taken);
            pieces -= less;
            *taken -= less;
        }
        pieces = pieces.min(left_by_decision(book, line));
        if pieces > 0 {
            book.orders.push(OrderLine { pieces, ..line.clone() });
        }
    }
}

fn key(line: &OrderLine) -> impl Ord {
    let OrderLine { customer, service_date, product, pieces, drop, wanted, .. } = line;
    (*service_date, product.clone(), *wanted, customer.clone(), *drop, *pieces)
}

/// What a decision on the lines of the same customer, product and drop leaves beside them.
fn left_by_decision(book: &Book, line: &OrderLine) -> i64 {
    let of = (&line.customer, line.service_date, &line.product, line.drop);
    let cap = book
        .caps
        .iter()
        .find(|cap| (&cap.customer, cap.service_date, &cap.product, cap.drop) == of);
    let Some(cap) = cap else { return i64::MAX };
    let own =
        |held: &&OrderLine| (&held.customer, held.service_date, &held.product, held.drop) == of;
    let there =
        book.orders.iter().filter(own).fold(0_i64, |sum, held| sum.saturating_add(held.pieces));
    cap.pieces.saturating_sub(there).max(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(customer: &str, pieces: i64, wanted: Wanted) -> OrderLine {
        OrderLine {
            customer: Code::parse(customer).expect("a code"),
            service_date: jiff::civil::date(2026, 6, 12),
            product: Code::parse("bun").expect("a code"),
            pieces,
            drop: None,
            taken_at: None,
            wanted,
        }
    }

    /// Pieces of par and of forecast that are left beside some orders.
    fn left(orders: Vec<OrderLine>) -> (i64, i64) {
        let ahead = vec![line("counter", 30, Wanted::Par), line("counter", 50, Wanted::Forecast)];
        let mut book = Book { orders, ahead, ..Book::default() };
        make_ahead(&mut book);
        make_ahead(&mut book);
        let of = |wanted| {
            let lines = book.orders.iter().filter(|line| line.wanted == wanted);
            lines.map(|line| line.pieces).sum()
        };
        (of(Wanted::Par), of(Wanted::Forecast))
    }

    #[test]
    fn a_booking_comes_out_of_par_or_on_top_of_it() {
        assert_eq!(left(Vec::new()), (30, 50));
        assert_eq!(left(vec![line("counter", 8, Wanted::OutOfPar)]), (22, 50));
        assert_eq!(left(vec![line("counter", 8, Wanted::Ordered)]), (30, 42));
        // Out of a par of 30 more than 30 are ordered: all of them are made, and no more.
        assert_eq!(left(vec![line("counter", 70, Wanted::OutOfPar)]), (0, 50));
        // Another customer's orders take nothing from this counter.
        assert_eq!(left(vec![line("cafe", 8, Wanted::OutOfPar)]), (30, 50));
        assert_eq!(left(vec![line("cafe", 60, Wanted::Ordered)]), (30, 0));
    }
}
