//! What must hold of each parser, whatever it is given. The fuzz targets and a seeded test
//! call the same functions: they panic where something does not hold.

use domain::{
    calendar,
    quantity::Quantity,
    scan::{Scan, date_of},
};
use jiff::{civil::Date, tz::TimeZone};
use serde::{Serialize, de::DeserializeOwned};
use weighhouse::{
    document::{BakeryBody, Fault, Undecodable, decode, parse_date, parse_time},
    wire::order::{CancelBody, OrderBody},
};

/// A parser by its name, and what is called for it.
pub type Parser = (&'static str, fn(&[u8]));

/// Every parser of what others write.
pub const PARSERS: [Parser; 5] = [
    ("quantity", quantity),
    ("bakery", bakery),
    ("order", order),
    ("gs1", gs1),
    ("calendar", calendar_day),
];

/// Two texts of one: what stands before and after the first line break.
fn two(text: &str) -> (&str, &str) {
    text.split_once('\n').unwrap_or((text, ""))
}

/// A decimal and a unit: what is read is written and read again as the same.
pub fn quantity(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let (amount, unit) = two(text);
    match Quantity::parse(amount, unit) {
        Ok(read) => {
            let again = Quantity::parse(&read.decimal(), read.unit().symbol());
            assert_eq!(again, Ok(read), "{amount:?} {unit:?} is written as {}", read.decimal());
        }
        Err(error) => assert!(!error.to_string().is_empty(), "{amount:?} {unit:?}"),
    }
}

/// Each fault says something, at a pointer that could be one.
fn named(faults: &[Fault]) {
    assert!(!faults.is_empty(), "refused without a reason");
    for Fault { pointer, kind, detail } in faults {
        assert!(pointer.is_empty() || pointer.starts_with('/'), "{pointer:?}");
        assert!(!kind.is_empty() && !detail.is_empty(), "{pointer}: {kind:?} {detail:?}");
    }
}

fn decoded<T: DeserializeOwned>(data: &[u8]) -> Option<T> {
    match decode(data) {
        Ok(body) => Some(body),
        Err(Undecodable::NotJson(detail)) => {
            assert!(!detail.is_empty());
            None
        }
        Err(Undecodable::Shape(fault)) => {
            named(&[fault]);
            None
        }
    }
}

fn written(body: &impl Serialize) -> Vec<u8> {
    serde_json::to_vec(body).unwrap_or_default()
}

/// A whole bakery document: it compiles or every fault is named, and written anew it reads
/// as the same.
pub fn bakery(data: &[u8]) {
    let Some(body) = decoded::<BakeryBody>(data) else { return };
    let text = written(&body);
    let again = decoded::<BakeryBody>(&text).map(|again| written(&again));
    assert_eq!(again, Some(text), "written twice it differs, or is refused");
    if let Err(faults) = body.compile() {
        named(&faults);
    }
}

/// An order and a cancellation, at the desk's first look.
pub fn order(data: &[u8]) {
    if let Some(body) = decoded::<OrderBody>(data)
        && let Err(faults) = body.read()
    {
        named(&faults);
    }
    if let Some(body) = decoded::<CancelBody>(data)
        && let Err(faults) = body.read("till-1")
    {
        named(&faults);
    }
}

/// The day on which a scan is read.
const TODAY: Date = Date::constant(2026, 6, 10);

/// A code on a pack: written as an element string, in brackets and as a link it reads as the
/// same.
pub fn gs1(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let read = match Scan::read(text) {
        Ok(read) => read,
        Err(faults) => {
            assert!(!faults.is_empty(), "{text:?}: refused without a reason");
            let length = text.chars().count();
            assert!(faults.iter().all(|fault| fault.position <= length), "{text:?}: {faults:?}");
            return;
        }
    };
    for identifier in ["11", "13", "15", "17"] {
        let _ = read.date(identifier, TODAY);
    }
    let _ = (read.net_weight_ug(), read.count(), read.gtin(), read.lot(), read.sscc());
    let (string, bracketed) = (read.element_string(), read.bracketed());
    assert_eq!(Scan::read(&string), Ok(read.clone()), "{text:?} is written as {string:?}");
    assert_eq!(Scan::read(&bracketed), Ok(read.clone()), "{text:?} is written as {bracketed:?}");
    if let Some(link) = read.digital_link("https://id.gs1.org") {
        let again = Scan::read(&link);
        let sorted = |scan: &Scan| {
            let mut elements = scan.elements().to_vec();
            elements.sort();
            elements.dedup();
            elements
        };
        assert_eq!(again.as_ref().map(sorted), Ok(sorted(&read)), "{text:?} leads to {link}");
    }
}

/// A date, a time and a zone: an instant lies on its own day, or a clock change's length
/// after it; days and minutes add up.
pub fn calendar_day(data: &[u8]) {
    let Ok(text) = std::str::from_utf8(data) else { return };
    let (date, rest) = two(text);
    let (time, rest) = two(rest);
    let (zone, days) = two(rest);
    let _ = date_of(date, TODAY);
    let (Some(date), Some(time)) = (parse_date(date), parse_time(time)) else { return };
    assert_eq!(parse_date(&date.to_string()), Some(date));
    let days: i64 = days.trim().parse().unwrap_or(1);
    if let Ok(later) = calendar::add_days(date, days) {
        assert_eq!(calendar::add_days(later, days.saturating_neg()), Ok(date), "{date} {days}");
    }
    let Ok(zone) = TimeZone::get(zone) else { return };
    let Ok(at) = calendar::instant(&zone, date, time) else { return };
    let shown = zone.to_datetime(at);
    let moved = shown.duration_since(date.to_datetime(time)).as_hours();
    // Some places left out a whole day when they crossed the date line.
    assert!((0..=24).contains(&moved), "{date} {time}: {shown}");
    if let Ok(last) = calendar::last_second(&zone, date) {
        let next = calendar::add_minutes(last, 1);
        assert!(next.is_err() || next.is_ok_and(|next| next > last), "{date}");
    }
}
