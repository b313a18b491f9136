//! What the pack of one lot says of allergens: a lot has a record of its own once it was read.

use super::{Act, Thing, Verdict, find_lot, judge, receipts::otherwise, revise, row, thing};
use crate::{
    clock,
    service::{Refusal, book::state_of},
    store::{StoreError, Tx, instant, pack_readings as rows, pack_readings::PackReadingRow},
};
use domain::{
    allergens::{AllergenDifference, Allergens, difference},
    bakery::Bakery,
    id::Code,
    item::AllergenRecord,
    lot::LotState,
};
use jiff::Timestamp;

/// One reading of a pack.
#[derive(Debug, Clone)]
pub struct PackReading {
    /// What it says; `known` is true.
    pub record: AllergenRecord,
    /// Who read it.
    pub who: Option<String>,
    /// When.
    pub at: Timestamp,
}

/// The record of an item, and what was read on the packs of one lot of it.
#[derive(Debug, Clone)]
pub struct LotAllergens {
    /// Id of the lot.
    pub lot: String,
    /// Its lot code.
    pub name: String,
    /// What may be done with it.
    pub state: LotState,
    /// Why it is on hold.
    pub hold_reason: Option<String>,
    /// Code of the item.
    pub item: String,
    /// The record of the item.
    pub record: AllergenRecord,
    /// Readings of this lot, oldest first: the last one holds.
    pub readings: Vec<PackReading>,
    /// What the last reading adds to the item's record, and what it lacks of it.
    pub difference: AllergenDifference,
}

impl PackReading {
    fn read(row: PackReadingRow) -> Result<Self, StoreError> {
        let words =
            |text: &str| serde_json::from_str(text).map_err(|_| StoreError::Corrupt("reading"));
        let PackReadingRow { contains, may_contain, version, source, who, happened_at, .. } = row;
        let record = AllergenRecord {
            contains: words(&contains)?,
            may_contain: words(&may_contain)?,
            known: true,
            version,
            source,
            ..AllergenRecord::default()
        };
        Ok(Self { record, who, at: instant::read(&happened_at)? })
    }
}

/// What the pack of a lot says, by its last reading; none if nobody read it.
pub(in crate::service) fn pack_record(
    tx: &mut Tx,
    site: &str,
    lot: &str,
) -> Result<Option<AllergenRecord>, StoreError> {
    let last = rows::of_lot(tx, site, lot)?.pop();
    Ok(last.map(PackReading::read).transpose()?.map(|reading| reading.record))
}

/// Keeps a reading beside those before it.
pub(super) fn keep(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    (lot, record, who): (&str, &AllergenRecord, Option<&str>),
) -> Result<(), StoreError> {
    let words = |words| serde_json::to_string(words).map_err(|_| StoreError::Corrupt("reading"));
    let reading = PackReadingRow {
        site: site.to_owned(),
        id: clock::new_id(now).to_string(),
        lot: lot.to_owned(),
        contains: words(&record.contains)?,
        may_contain: words(&record.may_contain)?,
        version: record.version.clone(),
        source: record.source.clone(),
        who: who.map(str::to_owned),
        happened_at: instant::text(now),
    };
    rows::insert(tx, &reading)
}

/// A person reads the pack of a lot. Where it says otherwise than the record of its item, the
/// lot goes on hold, with the products and customers that it touches.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such lot; `wrong-state` if pieces are in it.
///
/// # Source
/// The trade rules, part 3, receiving, and case 29 of part 7.
pub fn read_pack(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (lot, record, who): (&str, &AllergenRecord, &str),
) -> Result<LotAllergens, Refusal> {
    let held = row(tx, site, lot)?;
    item_of(bakery, &held.item)?;
    keep(tx, site, now, (lot, record, Some(who)))?;
    let code = Code::parse(&held.item).map_err(|_| StoreError::Corrupt("item"))?;
    let reason = otherwise(tx, site, now, bakery, (&code, record))?;
    let may = state_of(&held.state)?.next().contains(&LotState::Hold);
    match reason.filter(|_| may) {
        Some(reason) => {
            let act = Act { who: Some(who.to_owned()), at: None, reason: Some(reason) };
            judge(tx, site, now, bakery, lot, (Verdict::Hold, &act))?;
        }
        None => {
            let cause = format!("pack of {}, lot {} read", held.item, held.name);
            revise(tx, site, now, &cause)?;
        }
    }
    lot_allergens(tx, site, bakery, lot)
}

fn item_of(bakery: &Bakery, code: &str) -> Result<u32, Refusal> {
    let found = Code::parse(code).ok().and_then(|code| thing(bakery, &code));
    match found {
        Some(Thing::Item(item)) => Ok(item),
        _ => Err(Refusal::stated(
            "wrong-state",
            format!("`{code}` is made here: its allergens follow from what went into it"),
        )),
    }
}

/// The record of a lot's item, and its own readings.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such lot; `wrong-state` if pieces are in it.
pub fn lot_allergens(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    lot: &str,
) -> Result<LotAllergens, Refusal> {
    let held = find_lot(tx, site, bakery, lot)?;
    let record = bakery.item(item_of(bakery, &held.item)?).allergens.clone();
    let readings = rows::of_lot(tx, site, lot)?.into_iter().map(PackReading::read);
    let readings: Vec<PackReading> = readings.collect::<Result<_, _>>()?;
    let unread = Code::parse(&held.item).ok();
    let set = |record: &AllergenRecord| Allergens {
        contains: record.contains.clone(),
        may_contain: record.may_contain.clone(),
        unknown: unread.iter().filter(|_| !record.known).cloned().collect(),
    };
    let last = readings.last().map_or(&record, |reading| &reading.record);
    let difference = difference(&set(&record), &set(last));
    Ok(LotAllergens {
        lot: held.id,
        name: held.name,
        state: held.state,
        hold_reason: held.hold_reason,
        difference,
        item: held.item.clone(),
        record,
        readings,
    })
}
