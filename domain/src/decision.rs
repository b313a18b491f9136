//! Decisions on too little: what order lines get at most, and who decided it.

use crate::{book::Book, id::Code, order::OrderLine};
use jiff::civil::{Date, Time};

/// What the lines of one customer, product and drop get at most.
///
/// The order keeps what was asked; the plan makes no more than this.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cap {
    /// The id of the decision.
    pub decision: String,
    /// Who ordered.
    pub customer: Code,
    /// For which service date.
    pub service_date: Date,
    /// What was ordered.
    pub product: Code,
    /// For which drop; none are the lines that name none.
    pub drop: Option<Time>,
    /// Whole pieces at most, 0 or more.
    pub pieces: i64,
    /// Pieces that are asked now; 0 until it is applied to a book.
    pub asked: i64,
    /// Who decided.
    pub who: String,
    /// Why, in words.
    pub note: String,
}

impl Cap {
    /// Whether two caps are of the same lines.
    #[must_use]
    pub fn is_of_same_lines(&self, other: &Self) -> bool {
        (&self.customer, self.service_date, &self.product, self.drop)
            == (&other.customer, other.service_date, &other.product, other.drop)
    }

    /// Whether anybody gets less by it.
    #[must_use]
    pub const fn cuts(&self) -> bool {
        self.pieces < self.asked
    }
}

/// Cuts the lines of a book to what was decided; older lines of the same key first,
/// what nobody ordered last.
///
/// To apply it again changes nothing.
pub fn apply(book: &mut Book) {
    let age = |line: &OrderLine| (line.wanted.is_ahead(), line.taken_at.is_none(), line.taken_at);
    book.orders.sort_by_key(age);
    for cap in &mut book.caps {
        let own = book.orders.iter_mut().filter(|line| {
            (&line.customer, line.service_date, &line.product, line.drop)
                == (&cap.customer, cap.service_date, &cap.product, cap.drop)
        });
        let (mut left, mut asked) = (cap.pieces.max(0), 0_i64);
        for line in own {
            asked = asked.saturating_add(line.pieces);
            line.pieces = line.pieces.min(left);
            left -= line.pieces;
        }
        cap.asked = cap.asked.max(asked);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::order::Wanted;

    #[test]
    fn a_cap_cuts_the_newest_line_first_and_keeps_what_was_asked() {
        let code = |text: &str| Code::parse(text).unwrap();
        let line = |pieces, at: &str| OrderLine {
            customer: code("cafe"),
            service_date: jiff::civil::date(2026, 6, 12),
            product: code("bun"),
            pieces,
            drop: None,
            taken_at: Some(at.parse().unwrap()),
            wanted: Wanted::Ordered,
        };
        let (old, new) = (line(10, "2026-06-01T08:00:00Z"), line(5, "2026-06-02T08:00:00Z"));
        let cap = Cap {
            decision: "d".to_owned(),
            customer: code("cafe"),
            service_date: old.service_date,
            product: code("bun"),
            drop: None,
            pieces: 12,
            asked: 0,
            who: "Anna".to_owned(),
            note: "no butter".to_owned(),
        };
        let mut book = Book { orders: vec![new, old], caps: vec![cap], ..Book::default() };
        for _ in 0..2 {
            apply(&mut book);
            let pieces: Vec<i64> = book.orders.iter().map(|line| line.pieces).collect();
            assert_eq!((pieces, book.caps[0].asked), (vec![10, 2], 15));
        }
    }
}
