//! Pieces become a lot: what went into them leaves the stock, good ones come into it.

use super::{
    counting::{check, come_out, kept},
    drawing::Drawing,
};
use crate::{
    clock,
    document::Fault,
    service::{
        Refusal,
        ledger::Posting,
        loads::{
            Load, UsedLot,
            used::{self, Floor, Source},
        },
        plan::refused,
        stock::{self, WasteRoute},
    },
    store::{
        StoreError, Tx, balances, instant, lots as lot_rows, lots::LotRow, product_lots as rows,
        product_lots::ProductLotRow, sites,
    },
};
use domain::{
    bakery::Bakery,
    calendar,
    id::Code,
    movement::MovementKind,
    plan::takings::{Taking, takings},
    quantity::{Quantity, Unit},
};
use jiff::{Timestamp, civil::Date};
use serde_json::Value;
use std::collections::BTreeMap;

/// What the hand wrote of something that went into pieces.
#[derive(Debug, Clone)]
pub struct WrittenUse {
    /// The item or product that was used.
    pub item: Code,
    /// What it was used instead of, if not for itself.
    pub instead_of: Option<Code>,
    /// How much of it; what the make-up asks for if not said.
    pub amount: Option<Quantity>,
    /// Its lots; first expired first if none is written.
    pub lots: Vec<UsedLot>,
}

/// Rejected pieces of one reason.
#[derive(Debug, Clone)]
pub struct Rejected {
    /// How many.
    pub pieces: i64,
    /// Why: one of the house's reasons for waste.
    pub reason: Code,
    /// Where they went.
    pub route: WasteRoute,
}

/// Finished pieces that somebody counted.
#[derive(Debug, Clone)]
pub struct Counted {
    /// Fit to send.
    pub good: i64,
    /// Fit to send, beyond those that were to come.
    pub extra: i64,
    /// Not fit to send.
    pub rejected: Vec<Rejected>,
}

impl Counted {
    /// All pieces that came out.
    pub(super) fn all(&self) -> Option<i64> {
        let rejected = self.rejected.iter().map(|one| one.pieces);
        let all = [self.good, self.extra].into_iter().chain(rejected);
        all.into_iter().try_fold(0_i64, i64::checked_add)
    }
}

/// Pieces of one product that were baked together.
#[derive(Debug, Clone)]
pub struct Pieces {
    /// Which product.
    pub product: Code,
    /// Pieces that were begun; as the load was to give if not said.
    pub started: Option<i64>,
    /// What was counted; all that were begun until somebody counts.
    pub counted: Option<Counted>,
    /// What was used otherwise than the make-up says.
    pub used: Vec<WrittenUse>,
}

/// Pieces that no load of their own gives, such as those of day-old goods.
#[derive(Debug, Clone)]
pub struct Making {
    /// Who made them.
    pub who: String,
    /// When they left the oven or the table; now if not said.
    pub made_at: Option<Timestamp>,
    /// For which service date.
    pub service_date: Date,
    /// The pieces; how many were begun is said.
    pub pieces: Pieces,
}

/// A lot of pieces.
#[derive(Debug, Clone)]
pub struct Made {
    /// Id of the lot.
    pub lot: String,
    /// Its lot code.
    pub name: String,
    /// Which product.
    pub product: String,
    /// For which service date.
    pub service_date: Date,
    /// Id of the load it was divided from.
    pub load: Option<String>,
    /// The document that all entries of its making carry.
    pub document: String,
    /// Pieces begun.
    pub started: i64,
    /// Pieces that are left, in millionths; below nothing to be counted.
    pub balance_micro: i64,
    /// What a person should know.
    pub notes: Vec<String>,
}

/// Who makes pieces of what, and when.
pub(in crate::service) struct Maker<'a> {
    pub(in crate::service) floor: Floor<'a>,
    pub(in crate::service) who: String,
    /// The load that they are divided from.
    pub(in crate::service) load: Option<&'a Load>,
    pub(in crate::service) service_date: Date,
}

impl Maker<'_> {
    pub(super) fn posting(&self, document: String, about: String) -> Posting {
        Posting {
            site: self.floor.site.to_owned(),
            now: self.floor.now,
            at: self.floor.at,
            who: Some(self.who.clone()),
            load: self.load.map(|load| load.id.clone()),
            document: Some(document),
            about,
            movements: Vec::new(),
            notes: Vec::new(),
        }
    }

    pub(super) fn about(&self, product: &str) -> String {
        match self.load {
            Some(Load { number, formula, .. }) => {
                format!("{product} for {} of load {number} of {formula}", self.service_date)
            }
            None => format!("{product} for {}", self.service_date),
        }
    }
}

/// Makes lots of several products at once; what it did stands in the posting.
///
/// # Errors
/// [`Refusal::Body`] names every fault, each under its place in the request.
pub(in crate::service) fn make(
    tx: &mut Tx,
    maker: &Maker<'_>,
    all: &[(Pieces, i64, String)],
) -> Result<(Posting, Vec<Value>), Refusal> {
    let mut faults = Vec::new();
    let mut taken: BTreeMap<Source, i64> = BTreeMap::new();
    let mut plans = Vec::with_capacity(all.len());
    for (pieces, started, pointer) in all {
        let product = maker.floor.bakery.index().product(pieces.product.as_str());
        let Some(product) = product else {
            let detail = format!("there is no product `{}`: mend the code", pieces.product);
            faults.push(Fault {
                pointer: format!("{pointer}/product"),
                kind: "unknown-code",
                detail,
            });
            continue;
        };
        check(maker, pieces, pointer, &mut faults);
        let drawing = draw(tx, maker, (pieces, product, *started), (pointer, &taken), &mut faults)?;
        for (source, found) in &drawing.0 {
            *taken.entry(source.clone()).or_default() += found.micro;
        }
        plans.push((pieces, *started, drawing));
    }
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let mut done = maker.posting(String::new(), String::new());
    let mut lots = Vec::with_capacity(plans.len());
    for (pieces, started, (drawn, notes)) in plans {
        let document = format!("making:{}", clock::new_id(maker.floor.now));
        let mut posting = maker.posting(document.clone(), maker.about(pieces.product.as_str()));
        posting.notes = notes;
        for (source, taken) in &drawn {
            let kinds = (MovementKind::Use, WAY_LOSS);
            used::post(tx, maker.floor, &mut posting, (source, taken), kinds)?;
        }
        let row = insert(tx, maker, pieces.product.as_str(), (&document, started))?;
        let entries = come_out(tx, maker, &mut posting, (&row, pieces, started))?;
        lots.push(kept(&row, (pieces, started), &document, entries));
        done.movements.extend(posting.movements);
        done.notes.extend(posting.notes);
    }
    Ok((done, lots))
}

/// What is taken of each source, and what could not be.
type Drawn = (BTreeMap<Source, used::Taken>, Vec<String>);

/// What some pieces take beside the dough of their load.
fn draw(
    tx: &mut Tx,
    maker: &Maker<'_>,
    (pieces, product, started): (&Pieces, u32, i64),
    (pointer, earlier): (&str, &BTreeMap<Source, i64>),
    faults: &mut Vec<Fault>,
) -> Result<Drawn, Refusal> {
    let bakery = maker.floor.bakery;
    let dough = maker.load.and_then(|load| bakery.index().item(&load.formula));
    let mut drawing = Drawing {
        maker,
        service_date: maker.service_date,
        written: &pieces.used,
        pointer: pointer.to_owned(),
        faults,
        notes: Vec::new(),
        earlier,
        taken: BTreeMap::new(),
    };
    let lines = takings(bakery, (product, maker.service_date), started).map_err(used::beyond)?;
    for taking in lines {
        // The dough of the load was used up when it was divided.
        let own = matches!(taking, Taking::Item { item, .. } if Some(item) == dough);
        if !own {
            drawing.take(tx, taking)?;
        }
    }
    Ok((drawing.taken, drawing.notes))
}

/// Why something that was drawn is not on the pieces.
const WAY_LOSS: &str = "lost on the way to the pieces";

/// Adds the lot of some pieces, with the dates that the house decided.
fn insert(
    tx: &mut Tx,
    maker: &Maker<'_>,
    product: &str,
    (document, started): (&str, i64),
) -> Result<LotRow, Refusal> {
    let Floor { site, bakery, now, at } = maker.floor;
    let zone = &bakery.site().time_zone;
    let baked = zone.to_datetime(at).date();
    let date = maker.service_date.to_string();
    let number = match maker.load {
        Some(load) => load.number.to_string(),
        None => {
            let known = rows::of_date(tx, site, &date)?;
            let own = known.iter().filter(|row| row.product == product && row.load.is_none());
            format!("p{}", own.count() + 1)
        }
    };
    // Short, and of characters that a scanned lot number may hold.
    let name = format!("{}-{number}", date[2..].replace('-', ""));
    let life = bakery.index().product(product).and_then(|at| bakery.product(at).sale_life);
    let last =
        life.map(|life| calendar::add_days(baked, life.days)).transpose().map_err(refused)?;
    let last = last.map(|last| last.to_string());
    let use_by = life.is_some_and(|life| life.is_use_by);
    let id = clock::new_id(now).to_string();
    let row = LotRow {
        use_by: last.clone().filter(|_| use_by),
        best_before: last.filter(|_| !use_by),
        baked: Some(baked.to_string()),
        made_at: Some(instant::text(at)),
        ..LotRow::new(site, id.clone(), (&name, product, Unit::Each.symbol()), baked.to_string())
    };
    lot_rows::insert(tx, &row)?;
    rows::insert(
        tx,
        &ProductLotRow {
            site: site.to_owned(),
            lot: id,
            product: product.to_owned(),
            service_date: date,
            load: maker.load.map(|load| load.id.clone()),
            document: document.to_owned(),
            started,
        },
    )?;
    Ok(row)
}

/// Makes pieces that no load gives; the lot that they became.
///
/// # Errors
/// [`Refusal::Body`] names every fault.
pub fn record(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    making: &Making,
) -> Result<Made, Refusal> {
    let at = making.made_at.unwrap_or(now);
    if at > now {
        let detail = format!("`{at}` is still to come: say when they were made");
        let pointer = "/made_at".to_owned();
        return Err(Refusal::Body(vec![Fault { pointer, kind: "out-of-range", detail }]));
    }
    let maker = Maker {
        floor: Floor { site, bakery, now, at },
        who: making.who.clone(),
        load: None,
        service_date: making.service_date,
    };
    let started = making.pieces.started.or(making.pieces.counted.as_ref().and_then(Counted::all));
    let one = (making.pieces.clone(), started.unwrap_or(0), String::new());
    let (posting, lots) = make(tx, &maker, &[one])?;
    let cause = format!("{} made by {}", maker.about(making.pieces.product.as_str()), making.who);
    sites::bump(tx, site, sites::Change { at: now, cause: &cause, bakery_changed: false })?;
    let lot = lots.first().and_then(|kept| kept["lot"].as_str()).unwrap_or_default();
    let row = rows::find(tx, site, lot)?.ok_or(StoreError::Corrupt("product lot"))?;
    made(tx, site, row, posting.notes)
}

/// The lots of a service date, oldest first.
///
/// # Errors
/// [`Refusal::Store`]
pub fn list(tx: &mut Tx, site: &str, date: Date) -> Result<Vec<Made>, Refusal> {
    let mut found = Vec::new();
    for row in rows::of_date(tx, site, &date.to_string())? {
        found.push(made(tx, site, row, Vec::new())?);
    }
    Ok(found)
}

fn made(tx: &mut Tx, site: &str, row: ProductLotRow, notes: Vec<String>) -> Result<Made, Refusal> {
    let ProductLotRow { site: _, lot, product, service_date, load, document, started } = row;
    let name = stock::row(tx, site, &lot)?.name;
    let balance_micro = balances::find(tx, site, &lot)?;
    let service_date = crate::service::book::date(&service_date)?;
    Ok(Made { lot, name, product, service_date, load, document, started, balance_micro, notes })
}
