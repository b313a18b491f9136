//! What a scan on a pack says of a receipt.

use crate::document::Fault;
use domain::{
    bakery::Bakery,
    id::Code,
    quantity::{Quantity, Unit},
    scan::Scan,
    supplier::Pack,
};
use jiff::civil::Date;

/// A scan, and what the bakery knows of it.
#[derive(Debug, Clone)]
pub struct Scanned {
    /// What the code says.
    pub scan: Scan,
    /// The pack with its number.
    pub pack: Option<Code>,
    /// What is in it.
    pub item: Option<Code>,
    /// Who sells it.
    pub supplier: Option<Code>,
    /// How much came: the net weight, else as many packs as are counted.
    pub quantity: Option<Quantity>,
    /// Never used after this date.
    pub use_by: Option<Date>,
    /// At its best until this date.
    pub best_before: Option<Date>,
    /// When it was produced.
    pub produced: Option<Date>,
    /// What a person should look at.
    pub notes: Vec<String>,
}

/// Reads a scan as a receipt of some packs, on a local date.
///
/// # Errors
/// Every fault of the scan with the character at which it stands.
///
/// # Source
/// The trade rules, part 3, receiving.
pub fn scanned(
    bakery: &Bakery,
    today: Date,
    (text, packs): (&str, Option<i64>),
) -> Result<Scanned, Vec<Fault>> {
    let scan = Scan::read(text).map_err(|faults| {
        let fault = |fault: domain::scan::ScanFault| Fault {
            pointer: "/scan".to_owned(),
            kind: "malformed",
            detail: format!("at character {}: {}", fault.position + 1, fault.detail),
        };
        faults.into_iter().map(fault).collect::<Vec<_>>()
    })?;
    let mut notes = Vec::new();
    let pack = pack_of(bakery, &scan, &mut notes);
    let (use_by, best_before) = dates(&scan, today, &mut notes);
    Ok(Scanned {
        quantity: quantity(&scan, pack, packs, &mut notes),
        pack: pack.map(|pack| pack.code.clone()),
        item: pack.map(|pack| pack.item.clone()),
        supplier: pack.map(|pack| pack.supplier.clone()),
        use_by,
        best_before,
        produced: scan.date("11", today),
        scan,
        notes,
    })
}

/// The pack of which the number is scanned.
fn pack_of<'a>(bakery: &'a Bakery, scan: &Scan, notes: &mut Vec<String>) -> Option<&'a Pack> {
    let Some(gtin) = scan.gtin() else {
        notes.push("the code names no pack: say which item came".to_owned());
        return None;
    };
    let packs = &bakery.lists().packs;
    let own = |pack: &&Pack| {
        pack.gtin.as_ref().is_some_and(|own| format!("{:0>14}", own.as_str()) == gtin)
    };
    let found: Vec<&Pack> = packs.iter().filter(own).collect();
    match found.as_slice() {
        [] => {
            notes.push(format!("no pack has the number {gtin}: say the item, or add it to a pack"));
            None
        }
        [first, others @ ..] => {
            if others.iter().any(|other| other.item != first.item) {
                notes.push(format!("packs of several items have the number {gtin}: say the item"));
                return None;
            }
            Some(first)
        }
    }
}

/// Use-by and best-before; a use-by is stricter, and only one of them is kept.
fn dates(scan: &Scan, today: Date, notes: &mut Vec<String>) -> (Option<Date>, Option<Date>) {
    let (use_by, best_before) = (scan.date("17", today), scan.date("15", today));
    if let (Some(use_by), Some(best_before)) = (use_by, best_before) {
        notes.push(format!(
            "the pack has a use-by ({use_by}) and a best-before date ({best_before}): the use-by \
             holds"
        ));
    }
    if let Some(date) = use_by.or(best_before).filter(|date| *date < today) {
        notes.push(format!("STOP: its date {date} is past"));
    }
    if use_by.is_none() && best_before.is_none() {
        notes.push("the code has no date: write the one on the pack".to_owned());
    }
    (use_by, best_before.filter(|_| use_by.is_none()))
}

/// How much came.
fn quantity(
    scan: &Scan,
    pack: Option<&Pack>,
    packs: Option<i64>,
    notes: &mut Vec<String>,
) -> Option<Quantity> {
    if let Some(ug) = scan.net_weight_ug() {
        let micro = ug.round_half_up().ok().and_then(|ug| i64::try_from(ug).ok());
        return micro.and_then(|micro| Quantity::from_micro(micro, Unit::Gram).ok());
    }
    let Some(pack) = pack else {
        notes.push("the code says no weight: say how much came".to_owned());
        return None;
    };
    if pack.catch_weight.is_some() {
        notes.push("it is sold by received weight and the code has none: weigh it".to_owned());
        return None;
    }
    let count = packs.or(scan.count()).unwrap_or(1);
    let micro = pack.holds.micro().checked_mul(count);
    micro.and_then(|micro| Quantity::from_micro(micro, pack.holds.unit()).ok())
}
