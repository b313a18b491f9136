//! Amounts and instants as answers write them.

use domain::{
    money::Currency,
    quantity::{Unit, micro_decimal},
    ratio::Ratio,
};
use jiff::{Timestamp, tz::TimeZone};
use serde::Serialize;
use utoipa::ToSchema;

/// An exact amount in a base unit; one with an endless fraction is rounded half up to six places.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(example = json!({"amount": "5160", "unit": "g"}))]
pub struct QuantityView {
    /// A plain decimal as text.
    #[schema(example = "5160")]
    pub amount: String,
    /// `g`, `mL`, `each`, or `batch` for what is made by the batch.
    #[schema(example = "g")]
    pub unit: &'static str,
}

impl QuantityView {
    /// Millionths of a base unit.
    #[must_use]
    pub fn new(micro: Ratio, unit: Unit) -> Self {
        Self { amount: micro_decimal(micro), unit: unit.symbol() }
    }

    /// Whole millionths of a base unit.
    #[must_use]
    pub fn whole(micro: i64, unit: Unit) -> Self {
        Self::new(Ratio::whole(micro.into()), unit)
    }

    /// A mass in micrograms.
    #[must_use]
    pub fn mass(ug: Ratio) -> Self {
        Self::new(ug, Unit::Gram)
    }

    /// A number of batches.
    #[must_use]
    pub fn batches(batches: Ratio) -> Self {
        Self { amount: batches.to_decimal(6), unit: "batch" }
    }
}

/// A sum of money in whole minor units, such as cents.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(example = json!({"minor_units": 2125, "currency": "EUR"}))]
pub struct MoneyView {
    /// Whole minor units.
    #[schema(example = 2125)]
    pub minor_units: i64,
    /// Three letters of ISO 4217.
    #[schema(example = "EUR")]
    pub currency: String,
}

impl MoneyView {
    /// Whole minor units of a currency.
    #[must_use]
    pub fn new(minor_units: i64, currency: Currency) -> Self {
        Self { minor_units, currency: currency.to_string() }
    }

    /// The sum as people write it: `21.25 EUR`.
    #[must_use]
    pub fn said(&self) -> String {
        format!("{} {}", money_text(self.minor_units), self.currency)
    }
}

/// Whole minor units with two decimals.
#[must_use]
pub fn money_text(minor: i64) -> String {
    let sign = if minor < 0 { "-" } else { "" };
    let minor = minor.unsigned_abs();
    format!("{sign}{}.{:02}", minor / 100, minor % 100)
}

/// Minutes as hands say them: `1 h 30 min`.
#[must_use]
pub fn span(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// An instant with the bakery's offset at that moment.
///
/// # Source
/// RFC 3339.
#[must_use]
pub fn instant(zone: &TimeZone, at: Timestamp) -> String {
    at.display_with_offset(zone.to_offset(at)).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_instant_shows_the_offset_of_its_moment() {
        // Source: the contract's example of the hour that a clock change repeats.
        let zone = TimeZone::get("Europe/Amsterdam").expect("a zone");
        let at = |text: &str| instant(&zone, text.parse().expect("an instant"));
        assert_eq!(at("2026-10-25T01:30:00Z"), "2026-10-25T02:30:00+01:00");
        assert_eq!(at("2026-10-25T00:30:00Z"), "2026-10-25T02:30:00+02:00");
    }

    #[test]
    fn an_endless_fraction_is_rounded_half_up_to_six_places() {
        let third = Ratio::new(1_000_000, 3).expect("a fraction");
        assert_eq!(QuantityView::mass(third).amount, "0.333333");
        assert_eq!(QuantityView::whole(12_500_000, Unit::Each).amount, "12.5");
    }
}
