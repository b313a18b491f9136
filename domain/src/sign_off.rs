//! Substitutes that a person signed for: used on one service date, in what was named.

use crate::{decision::Cap, id::Code, order::OrderLine, ratio::Ratio};
use jiff::civil::Date;

/// A substitute in use.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignOff {
    /// Its id.
    pub id: String,
    /// For which service date.
    pub service_date: Date,
    /// Which substitute.
    pub substitute: Code,
    /// The formulas and products in which it is used.
    pub used_in: Vec<Code>,
    /// Share of each line that is replaced, percent: above 0, at most 100.
    pub share_percent: Ratio,
    /// Customers who must not be sent what it goes into, each with a product.
    pub excludes: Vec<(Code, Code)>,
    /// Who signed.
    pub who: String,
    /// Why, in words.
    pub note: String,
}

impl SignOff {
    /// Caps of 0 pieces for the lines of customers who must not be sent it.
    #[must_use]
    pub fn caps(&self, orders: &[OrderLine]) -> Vec<Cap> {
        let mut caps: Vec<Cap> = Vec::new();
        for line in orders.iter().filter(|line| line.service_date == self.service_date) {
            let named = |(customer, product): &(Code, Code)| {
                (customer, product) == (&line.customer, &line.product)
            };
            let held = caps.iter().any(|cap| {
                (&cap.customer, &cap.product, cap.drop)
                    == (&line.customer, &line.product, line.drop)
            });
            if held || !self.excludes.iter().any(named) {
                continue;
            }
            caps.push(Cap {
                decision: self.id.clone(),
                customer: line.customer.clone(),
                service_date: line.service_date,
                product: line.product.clone(),
                drop: line.drop,
                pieces: 0,
                asked: 0,
                who: self.who.clone(),
                note: format!("must not be sent {}: {}", self.substitute, self.note),
            });
        }
        caps
    }
}
