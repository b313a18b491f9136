//! Checks of standing orders and counter par.

use super::check::Check;
use crate::{
    fault::FaultKind,
    id::Code,
    limits::{LINES_MAX, PIECES_MAX},
    standing_order::{Pattern, StandingLine},
};
use std::collections::BTreeSet;

impl Check<'_> {
    pub(super) fn pattern(&mut self, customer: &Code, order: &Pattern) {
        let found = self.index.customer(customer.as_str());
        self.known("customer", "customer", found, customer);
        if order.until.is_some_and(|until| until < order.from) {
            let detail = "until must not be before from".to_owned();
            self.fault("until", FaultKind::OutOfRange, detail);
        }
        let mut weekdays = BTreeSet::new();
        for (row, day) in order.days.iter().enumerate() {
            for (at, weekday) in day.weekdays.iter().enumerate() {
                if !weekdays.insert(weekday.to_monday_zero_offset()) {
                    self.fault(
                        &format!("days/{row}/weekdays/{at}"),
                        FaultKind::DuplicateCode,
                        "the weekday stands twice: put all that is wanted on it together"
                            .to_owned(),
                    );
                }
            }
            self.standing_lines(&format!("days/{row}/lines"), &day.lines);
        }
        for (row, pause) in order.pauses.iter().enumerate() {
            if pause.until < pause.from {
                let detail = "until must not be before from".to_owned();
                self.fault(&format!("pauses/{row}/until"), FaultKind::OutOfRange, detail);
            }
        }
        let mut dates = BTreeSet::new();
        for (row, exception) in order.exceptions.iter().enumerate() {
            let outside = exception.date < order.from
                || order.until.is_some_and(|until| exception.date > until);
            if outside {
                self.fault(
                    &format!("exceptions/{row}/date"),
                    FaultKind::OutOfRange,
                    format!("{} lies outside from and until of the order", exception.date),
                );
            }
            if !dates.insert(exception.date) {
                self.fault(
                    &format!("exceptions/{row}/date"),
                    FaultKind::DuplicateCode,
                    format!("{} stands twice: put all that is wanted together", exception.date),
                );
            }
            self.standing_lines(&format!("exceptions/{row}/lines"), &exception.lines);
        }
    }

    fn standing_lines(&mut self, field: &str, lines: &[StandingLine]) {
        if lines.len() > LINES_MAX {
            let detail = format!("{} lines: at most {LINES_MAX}", lines.len());
            self.fault(field, FaultKind::TooMany, detail);
        }
        for (row, line) in lines.iter().enumerate() {
            let product = self.index.product(line.product.as_str());
            self.known(&format!("{field}/{row}/product"), "product", product, &line.product);
            self.whole(&format!("{field}/{row}/quantity"), line.pieces, 1, PIECES_MAX);
        }
    }
}
