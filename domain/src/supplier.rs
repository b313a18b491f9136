//! Suppliers, their packs and prices, and substitutes.

use crate::{id::Code, money::Money, quantity::Quantity, ratio::Ratio};
use jiff::{
    civil::{Date, Time, Weekday},
    tz::TimeZone,
};

/// What a supplier does with a delivery that falls on a day without one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HolidayRule {
    /// No delivery; order for another.
    Skip,
    /// The working day before.
    Earlier,
    /// The next working day.
    Later,
    /// Nothing is agreed: ask, never assume.
    Ask,
}

/// What happens below the minimum order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BelowMinimum {
    /// Carriage is charged.
    Carriage,
    /// The order is refused.
    Refused,
}

/// One row of a supplier's table: order by then, delivered then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Delivery {
    /// Day of the cutoff.
    pub order_day: Weekday,
    /// Cutoff on the supplier's clock.
    pub cutoff: Time,
    /// Day of delivery: the next such day after the cutoff's day.
    pub delivery_day: Weekday,
    /// Start of the delivery window on our clock.
    pub window_from: Time,
    /// End of it; goods count from here.
    pub window_to: Time,
}

/// Who sells to us.
#[derive(Debug, Clone)]
pub struct Supplier {
    /// Its name.
    pub code: Code,
    /// What people call it.
    pub name: String,
    /// The zone of its cutoffs.
    pub time_zone: TimeZone,
    /// Days on which it neither takes orders nor delivers.
    pub holidays: Vec<Date>,
    /// What it does with a delivery on such a day.
    pub delivery_on_holiday: HolidayRule,
    /// Weekdays on which it works; all if empty.
    pub working_days: Vec<Weekday>,
    /// Goods that an order must reach.
    pub minimum_order: Money,
    /// What happens below it.
    pub below_minimum: BelowMinimum,
    /// What carriage costs.
    pub carriage: Money,
    /// Its table.
    pub deliveries: Vec<Delivery>,
    /// What it takes off goods from an order's value on.
    pub value_breaks: Vec<ValueBreak>,
    /// Where orders are sent.
    pub email: Option<String>,
}

/// A price that holds from a number of packs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Break {
    /// From this many packs, of the pack or of its whole price group.
    pub from_packs: i64,
    /// Price of one pack then.
    pub price: Money,
}

/// Percent off all goods from a value of them on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ValueBreak {
    /// From this value of goods.
    pub from: Money,
    /// What is taken off, in percent.
    pub percent_off: Ratio,
}

/// What a pack costs from a date on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackPrice {
    /// First date of delivery for which it holds.
    pub valid_from: Date,
    /// The price, for `per` or for the whole pack.
    pub price: Money,
    /// What the price is for, if not the pack.
    pub per: Option<Quantity>,
    /// Prices for many packs.
    pub breaks: Vec<Break>,
}

/// What can be ordered: one pack of an item from a supplier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pack {
    /// Its name.
    pub code: Code,
    /// What is in it.
    pub item: Code,
    /// Who sells it.
    pub supplier: Code,
    /// How much it holds.
    pub holds: Quantity,
    /// The pack inside that is opened at once.
    pub inner: Option<Quantity>,
    /// What it costs; each price holds until a later one does.
    pub prices: Vec<PackPrice>,
    /// Packs with one word here are counted together for their breaks.
    pub price_group: Option<Code>,
    /// Life agreed at arrival, in minutes.
    pub minimum_life_minutes: Option<i64>,
    /// Least and most that a pack sold by received weight holds.
    pub catch_weight: Option<(Quantity, Quantity)>,
    /// Its number for scanners and electronic orders.
    pub gtin: Option<Gtin>,
    /// Whether it may be ordered; a level that is only counted or scanned may not.
    pub orderable: bool,
    /// Packs are ordered in multiples of this, such as a pallet layer.
    pub multiple: i64,
    /// The larger pack that is split for it.
    pub split_of: Option<Code>,
    /// What the supplier asks for a line of split packs.
    pub split_surcharge: Option<Money>,
    /// What is paid for the crate and comes back with it.
    pub deposit: Option<Money>,
    /// Tax on its price, in percent; apart from every price here.
    pub tax_percent: Option<Ratio>,
}

/// The number of a pack.
///
/// Invariant: 8, 12, 13 or 14 digits, the last of which checks the others.
///
/// # Source
/// GS1 General Specifications, check digit: from the right, weights 3 and 1 in turn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gtin(String);

/// The text is no number of a pack.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotAGtin {
    /// Other than 8, 12, 13 or 14 digits.
    #[error("write 8, 12, 13 or 14 digits")]
    Length,
    /// The last digit does not fit the others.
    #[error("the last digit checks the others and should be {0}: read the number again")]
    CheckDigit(u32),
}

impl Gtin {
    /// Reads the digits.
    ///
    /// # Errors
    /// [`NotAGtin`]
    pub fn parse(text: &str) -> Result<Self, NotAGtin> {
        let digits: Option<Vec<u32>> = text.chars().map(|c| c.to_digit(10)).collect();
        let digits = digits.filter(|digits| [8, 12, 13, 14].contains(&digits.len()));
        let Some((last, others)) = digits.as_deref().and_then(<[u32]>::split_last) else {
            return Err(NotAGtin::Length);
        };
        let weights = [3, 1].into_iter().cycle();
        let sum: u32 = others.iter().rev().zip(weights).map(|(digit, by)| digit * by).sum();
        match (10 - sum % 10) % 10 {
            check if check == *last => Ok(Self(text.to_owned())),
            check => Err(NotAGtin::CheckDigit(check)),
        }
    }

    /// Its digits.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// What may be used instead; directed, never chained.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Substitute {
    /// Its name.
    pub code: Code,
    /// What is replaced.
    pub item: Code,
    /// How much of it the amounts below replace.
    pub per: Quantity,
    /// What is used instead.
    pub uses: Vec<(Code, Quantity)>,
    /// Whether a competent person approved it.
    pub approved: bool,
    /// The formulas in which it is allowed; all if empty.
    pub only_in: Vec<Code>,
    /// Largest share of a line that may be replaced, percent.
    pub max_share_percent: Option<Ratio>,
    /// Whether labels change.
    pub label_change: bool,
    /// Whether each use must be signed off.
    pub sign_off: bool,
}

/// Dusting flour and the like: in the allergens of a dough, not in its formula.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Overhead {
    /// Its name.
    pub code: Code,
    /// What is used.
    pub item: Code,
    /// What for.
    pub purpose: String,
    /// The doughs that it touches.
    pub doughs: Vec<Code>,
    /// How much goes with a kilogram of dough, if that is set.
    pub per_kg: Option<Quantity>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_digit_of_a_pack_number_checks_the_others() {
        // Source: check-values GS-01, GS-02, GS-04, GS-05 (gs1.org, gs1.se, GS1 UK, and the
        // unit tests of GS1's own syntax engine), GS-07.
        for text in [
            "6291041500213",
            "7300011000017",
            "5012345678900",
            "02345673",
            "416000336108",
            "1234567890128",
            "12345678901231",
            "09506000134352",
        ] {
            assert_eq!(Gtin::parse(text).map(|gtin| gtin.0), Ok(text.to_owned()));
        }
        // Source: check-values GS-22 and GS-23.
        assert!(Gtin::parse("95012345678903").is_ok());
        assert_eq!(Gtin::parse("95012345678902"), Err(NotAGtin::CheckDigit(3)));
        for text in ["", "123", "629104150021x", "123456789012345675", "６２９１０４１５００２１３"]
        {
            assert_eq!(Gtin::parse(text), Err(NotAGtin::Length), "{text}");
        }
    }
}
