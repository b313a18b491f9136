//! A supplier's deliveries, and until when each can be ordered.

use super::amount::instant;
use crate::service::plan::Morning;
use domain::{
    calendar::{OutOfCalendar, add_days, instant as at},
    purchase::{Arrival, arrivals},
    supplier::Supplier,
};
use jiff::civil::{Date, Time};
use serde::Serialize;
use utoipa::ToSchema;

/// A supplier's deliveries whose cutoff lies in a period.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DeliveriesView {
    /// Which supplier.
    #[schema(example = "dairy")]
    pub supplier: String,
    /// First local date of the cutoffs.
    #[schema(example = "2026-06-08")]
    pub from: String,
    /// Last local date of the cutoffs.
    #[schema(example = "2026-06-20")]
    pub until: String,
    /// By cutoff, then by arrival.
    pub deliveries: Vec<DeliveryView>,
}

/// One delivery that can be ordered.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DeliveryView {
    /// Last moment to order it, on the bakery's clock.
    #[schema(example = "2026-06-12T11:00:00+02:00")]
    pub cutoff: String,
    /// When its goods count: the end of the delivery window.
    #[schema(example = "2026-06-16T06:00:00+02:00")]
    pub arrives: String,
    /// Whether nothing is agreed for such a day: ask, and do not count on it.
    pub ask_supplier: bool,
    /// The day of its table row, if a holiday or a closed day moved it.
    pub moved_from: Option<String>,
}

/// Lists the deliveries of a supplier whose cutoff lies on local dates of a period.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn deliveries(
    morning: &Morning,
    supplier: &Supplier,
    from: Date,
    until: Date,
) -> Result<DeliveriesView, OutOfCalendar> {
    let site = morning.bakery.site();
    let first = at(&site.time_zone, from, Time::midnight())?;
    let end = at(&site.time_zone, add_days(until, 1)?, Time::midnight())?;
    let found = arrivals(site, supplier, first, end)?;
    let within = found.into_iter().filter(|one| first <= one.cutoff && one.cutoff < end);
    Ok(DeliveriesView {
        supplier: supplier.code.to_string(),
        from: from.to_string(),
        until: until.to_string(),
        deliveries: within.map(|one| view(morning, &one)).collect(),
    })
}

/// Days in which a supplier's coming deliveries are told.
const COMING_DAYS: i64 = 14;

/// The deliveries of a supplier whose cutoff is still to come, two weeks ahead.
///
/// # Errors
/// [`OutOfCalendar`]
pub fn coming_deliveries(
    morning: &Morning,
    supplier: &Supplier,
) -> Result<Vec<DeliveryView>, OutOfCalendar> {
    let site = morning.bakery.site();
    let end = at(&site.time_zone, add_days(morning.today(), COMING_DAYS)?, Time::midnight())?;
    let found = arrivals(site, supplier, morning.now, end)?;
    let coming = found.iter().filter(|one| morning.now <= one.cutoff && one.cutoff < end);
    Ok(coming.map(|one| view(morning, one)).collect())
}

fn view(morning: &Morning, one: &Arrival) -> DeliveryView {
    let zone = &morning.bakery.site().time_zone;
    DeliveryView {
        cutoff: instant(zone, one.cutoff),
        arrives: instant(zone, one.arrives),
        ask_supplier: one.ask_supplier,
        moved_from: one.moved_from.map(|date| date.to_string()),
    }
}
