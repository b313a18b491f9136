//! Moments as people write them into a page: on the bakery's clock, without an offset.

use crate::{
    service::{Refusal, bakery},
    state::State,
    store::Tx,
    wire::amount::instant,
};
use domain::calendar;
use jiff::{Timestamp, civil::DateTime, tz::TimeZone};

/// A moment as a browser's field for date and time holds it.
pub(super) fn local(zone: &TimeZone, at: Timestamp) -> String {
    zone.to_datetime(at).strftime("%Y-%m-%dT%H:%M").to_string()
}

/// What stands in such a field, with the offset of the bakery at that moment; what is no local
/// time stays as it is, so that the service says what it takes.
pub(super) fn with_offset(state: &State, tx: &mut Tx, text: &str) -> Result<String, Refusal> {
    if text.parse::<Timestamp>().is_ok() {
        return Ok(text.to_owned());
    }
    let Ok(written) = text.parse::<DateTime>() else { return Ok(text.to_owned()) };
    let bakery = bakery::load(state, tx)?;
    let zone = &bakery.site().time_zone;
    let at = calendar::instant(zone, written.date(), written.time());
    Ok(at.map_or_else(|_| text.to_owned(), |at| instant(zone, at)))
}
