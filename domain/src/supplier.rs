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
}

/// A price that holds from a number of packs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Break {
    /// From this many packs.
    pub from_packs: i64,
    /// Price of one pack then.
    pub price: Money,
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
    /// Its price, for `price_per` or for the whole pack.
    pub price: Money,
    /// What the price is for, if not the pack.
    pub price_per: Option<Quantity>,
    /// Prices for many packs.
    pub breaks: Vec<Break>,
    /// Life agreed at arrival, in minutes.
    pub minimum_life_minutes: Option<i64>,
    /// Least and most that a pack sold by received weight holds.
    pub catch_weight: Option<(Quantity, Quantity)>,
    /// First date on which the price holds.
    pub valid_from: Date,
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
