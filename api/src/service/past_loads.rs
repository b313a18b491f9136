//! Loads that were made before this book was kept, written down so that a trace goes on
//! through them. They move no stock: what is counted today stands.

use super::{
    Refusal,
    stock::{self, Thing, amount, thing, unknown},
};
use crate::{
    clock,
    document::Fault,
    store::{
        StoreError, Tx, instant,
        lots::{self, LotRow},
        past_loads::{self as rows, PastLoadLineRow, PastLoadRow},
    },
};
use domain::{
    bakery::Bakery,
    id::Code,
    quantity::{Quantity, Unit},
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::{BTreeMap, BTreeSet};

/// Most loads that are written down at once.
pub const LOADS_MAX: usize = 1_000;

/// A load of the past.
#[derive(Debug, Clone)]
pub struct PastLoad {
    /// What it was called; never given twice.
    pub name: String,
    /// What it made.
    pub formula: Code,
    /// When what it made was there.
    pub made_at: Timestamp,
    /// A remark.
    pub note: Option<String>,
    /// What went in.
    pub took: Vec<Took>,
    /// What came out.
    pub gave: Vec<Gave>,
    /// What of it left the house.
    pub sent: Vec<PastSent>,
}

/// Something that went into a load of the past.
#[derive(Debug, Clone)]
pub struct Took {
    /// The item or product.
    pub item: Code,
    /// Name or id of its lot; none if nobody knows, or if it is in no lot.
    pub lot: Option<String>,
    /// The load of the past that made it.
    pub load: Option<String>,
    /// How much.
    pub quantity: Quantity,
}

/// A lot that came out of a load of the past.
#[derive(Debug, Clone)]
pub struct Gave {
    /// The item or product.
    pub item: Code,
    /// Its name; the load's if not said.
    pub lot: Option<String>,
    /// How much.
    pub quantity: Quantity,
}

/// Some of a load of the past that left the house.
#[derive(Debug, Clone)]
pub struct PastSent {
    /// The product or item.
    pub item: Code,
    /// Name of the lot; none if nobody knows.
    pub lot: Option<String>,
    /// How much.
    pub quantity: Quantity,
    /// Who got it.
    pub customer: Code,
    /// For which local date.
    pub service_date: Option<Date>,
    /// Local time of the drop.
    pub drop: Option<Time>,
    /// The sender's name for the order.
    pub order_ref: Option<String>,
}

/// A load of the past as it is kept.
#[derive(Debug, Clone)]
pub struct PastLoadHeld {
    /// UUID of version 7.
    pub id: String,
    /// What it was called.
    pub name: String,
    /// Lots that came out: id, name, item.
    pub gave: Vec<(String, String, String)>,
}

/// Writes loads of the past down, all or none of them.
///
/// # Errors
/// [`Refusal::Body`] names every fault.
pub fn write_down(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (loads, who): (&[PastLoad], Option<&str>),
) -> Result<Vec<PastLoadHeld>, Refusal> {
    let mut desk = Desk {
        tx,
        site,
        now,
        bakery,
        names: BTreeSet::new(),
        made: BTreeMap::new(),
        known: BTreeMap::new(),
        faults: Vec::new(),
    };
    let mut kept = Vec::with_capacity(loads.len());
    for (at, load) in loads.iter().enumerate() {
        kept.push(desk.came_out(at, load)?);
    }
    for (at, (load, (_, lines))) in loads.iter().zip(&mut kept).enumerate() {
        desk.went_in(at, load, lines)?;
        desk.left(at, load, lines)?;
    }
    let Desk { tx, faults, .. } = desk;
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let mut held = Vec::with_capacity(kept.len());
    for (load, (id, lines)) in loads.iter().zip(kept) {
        held.push(insert(tx, (site, now, who), (load, id), lines)?);
    }
    Ok(held)
}

/// One line before it is kept.
struct LineOf {
    kind: &'static str,
    item: String,
    lot: Option<(String, String)>,
    micro: i64,
    unit: Unit,
    sent: Option<PastSent>,
}

/// Where loads are read, with the lots that they name.
struct Desk<'a> {
    tx: &'a mut Tx,
    site: &'a str,
    now: Timestamp,
    bakery: &'a Bakery,
    /// Loads of this request, by name.
    names: BTreeSet<String>,
    /// Lots that loads of this request gave, by load and item.
    made: BTreeMap<(String, String), (String, String)>,
    /// Lots of an item, as far as they were asked for.
    known: BTreeMap<String, Vec<LotRow>>,
    faults: Vec<Fault>,
}

impl Desk<'_> {
    fn fault(&mut self, pointer: String, kind: &'static str, detail: String) {
        self.faults.push(Fault { pointer, kind, detail });
    }

    /// The lots that a load gave; new ones are made.
    fn came_out(&mut self, at: usize, load: &PastLoad) -> Result<(String, Vec<LineOf>), Refusal> {
        let pointer = format!("/loads/{at}");
        let again = !self.names.insert(load.name.clone());
        if again || rows::find_named(self.tx, self.site, &load.name)?.is_some() {
            let detail = format!("`{}` was written down already: it stands", load.name);
            self.fault(format!("{pointer}/load"), "duplicate-code", detail);
        }
        if load.made_at > self.now {
            let detail = format!("`{}` is still to come: say when it was made", load.made_at);
            self.fault(format!("{pointer}/made_at"), "out-of-range", detail);
        }
        let mut lines = Vec::with_capacity(load.gave.len());
        for (number, gave) in load.gave.iter().enumerate() {
            let pointer = format!("{pointer}/gave/{number}");
            let name = gave.lot.as_deref().unwrap_or(&load.name);
            let Some((micro, unit)) = self.amount(&gave.item, gave.quantity, &pointer) else {
                continue;
            };
            let of = (&gave.item, unit, load.made_at);
            let Some(lot) = self.lot(name, of, &pointer, true)? else { continue };
            self.made.insert((load.name.clone(), gave.item.to_string()), lot.clone());
            lines.push(LineOf {
                kind: "make",
                item: gave.item.to_string(),
                lot: Some(lot),
                micro,
                unit,
                sent: None,
            });
        }
        Ok((clock::new_id(self.now).to_string(), lines))
    }

    fn went_in(
        &mut self,
        at: usize,
        load: &PastLoad,
        lines: &mut Vec<LineOf>,
    ) -> Result<(), Refusal> {
        for (number, took) in load.took.iter().enumerate() {
            let pointer = format!("/loads/{at}/took/{number}");
            let Some((micro, unit)) = self.amount(&took.item, took.quantity, &pointer) else {
                continue;
            };
            let of = (&took.item, unit, load.made_at);
            let lot = match (&took.load, &took.lot) {
                (Some(from), _) => self.made_by(from, &took.item, &pointer)?,
                (None, Some(name)) => self.lot(name, of, &pointer, false)?,
                (None, None) => None,
            };
            let item = took.item.to_string();
            lines.push(LineOf { kind: "use", item, lot, micro, unit, sent: None });
        }
        Ok(())
    }

    fn left(&mut self, at: usize, load: &PastLoad, lines: &mut Vec<LineOf>) -> Result<(), Refusal> {
        for (number, sent) in load.sent.iter().enumerate() {
            let pointer = format!("/loads/{at}/sent/{number}");
            let Some((micro, unit)) = self.amount(&sent.item, sent.quantity, &pointer) else {
                continue;
            };
            if self.bakery.index().customer(sent.customer.as_str()).is_none() {
                let fault = unknown(&format!("{pointer}/customer"), "customer", &sent.customer);
                self.faults.push(fault);
            }
            let of = (&sent.item, unit, load.made_at);
            let lot = match &sent.lot {
                Some(name) => self.lot(name, of, &pointer, false)?,
                None => self.made.get(&(load.name.clone(), sent.item.to_string())).cloned(),
            };
            let (item, sent) = (sent.item.to_string(), Some(sent.clone()));
            lines.push(LineOf { kind: "send", item, lot, micro, unit, sent });
        }
        Ok(())
    }

    fn amount(&mut self, item: &Code, quantity: Quantity, pointer: &str) -> Option<(i64, Unit)> {
        let Some(of) = thing(self.bakery, item) else {
            self.faults.push(unknown(&format!("{pointer}/item"), "item or product", item));
            return None;
        };
        let mut faults = Vec::new();
        let found = amount(self.bakery, of, quantity, &mut faults);
        let placed =
            |fault: Fault| Fault { pointer: format!("{pointer}{}", fault.pointer), ..fault };
        self.faults.extend(faults.into_iter().map(placed));
        let (micro, unit) = found?;
        if micro <= 0 {
            let detail = "say more than nothing".to_owned();
            self.fault(format!("{pointer}/quantity"), "out-of-range", detail);
            return None;
        }
        // A lot of the past is kept in today's unit.
        let unit = match of {
            Thing::Item(at) => self.bakery.item(at).base_unit,
            Thing::Product => unit,
        };
        Some((micro, unit))
    }

    /// The lot that a load of the past gave.
    fn made_by(
        &mut self,
        load: &str,
        item: &Code,
        pointer: &str,
    ) -> Result<Option<(String, String)>, Refusal> {
        if let Some(lot) = self.made.get(&(load.to_owned(), item.to_string())) {
            return Ok(Some(lot.clone()));
        }
        if let Some(past) = rows::find_named(self.tx, self.site, load)? {
            let lines = rows::lines_of(self.tx, self.site, &[past.id])?;
            let own = |line: &&PastLoadLineRow| line.kind == "make" && line.item == item.as_str();
            if let Some(lot) = lines.iter().find(own).and_then(|line| line.lot.clone()) {
                let name = stock::row(self.tx, self.site, &lot)?.name;
                return Ok(Some((lot, name)));
            }
        }
        let detail = format!("no load `{load}` gave any {item}: write it down too, or name a lot");
        self.fault(format!("{pointer}/load"), "unknown-code", detail);
        Ok(None)
    }

    /// A lot by id or name; one that nobody knows is made, with nothing in it.
    fn lot(
        &mut self,
        name: &str,
        (item, unit, made_at): (&Code, Unit, Timestamp),
        pointer: &str,
        made_here: bool,
    ) -> Result<Option<(String, String)>, Refusal> {
        if !self.known.contains_key(item.as_str()) {
            let rows = lots::list(self.tx, self.site, Some(item.as_str()), "", i64::MAX)?;
            self.known.insert(item.to_string(), rows);
        }
        let known = self.known.get(item.as_str()).map_or(&[][..], Vec::as_slice);
        let named: Vec<&LotRow> =
            known.iter().filter(|row| row.id == name || row.name == name).collect();
        match named.as_slice() {
            [row] if row.unit == unit.symbol() => Ok(Some((row.id.clone(), row.name.clone()))),
            [row] => {
                let detail = format!("lot {} is kept in {}: mend it first", row.name, row.unit);
                self.fault(format!("{pointer}/quantity/unit"), "unit-mismatch", detail);
                Ok(None)
            }
            [] => {
                let id = clock::new_id(self.now).to_string();
                let date = self.bakery.site().time_zone.to_datetime(made_at).date().to_string();
                let made_at = made_here.then(|| instant::text(made_at));
                let of = (name, item.as_str(), unit.symbol());
                let row = LotRow { made_at, ..LotRow::new(self.site, id.clone(), of, date) };
                lots::insert(self.tx, &row)?;
                self.known.entry(item.to_string()).or_default().push(row);
                Ok(Some((id, name.to_owned())))
            }
            several => {
                let ids: Vec<&str> = several.iter().map(|row| row.id.as_str()).collect();
                let detail = format!(
                    "several lots of {item} are named `{name}`: write an id of {}",
                    ids.join(", ")
                );
                self.fault(format!("{pointer}/lot"), "unknown-code", detail);
                Ok(None)
            }
        }
    }
}

fn insert(
    tx: &mut Tx,
    (site, now, who): (&str, Timestamp, Option<&str>),
    (load, id): (&PastLoad, String),
    lines: Vec<LineOf>,
) -> Result<PastLoadHeld, StoreError> {
    let row = PastLoadRow {
        site: site.to_owned(),
        id: id.clone(),
        name: load.name.clone(),
        formula: load.formula.to_string(),
        made_at: instant::text(load.made_at),
        recorded_at: instant::text(now),
        who: who.map(str::to_owned),
        note: load.note.clone(),
    };
    let mut gave = Vec::new();
    let mut kept = Vec::with_capacity(lines.len());
    for (position, line) in (1_i64..).zip(lines) {
        let LineOf { kind, item, lot, micro, unit, sent } = line;
        if let (Some((lot, name)), "make") = (&lot, kind) {
            gave.push((lot.clone(), name.clone(), item.clone()));
        }
        kept.push(PastLoadLineRow {
            site: site.to_owned(),
            past_load: id.clone(),
            position,
            kind: kind.to_owned(),
            item,
            lot: lot.map(|(lot, _)| lot),
            amount_micro: micro,
            unit: unit.symbol().to_owned(),
            customer: sent.as_ref().map(|sent| sent.customer.to_string()),
            service_date: sent.as_ref().and_then(|sent| sent.service_date).map(|d| d.to_string()),
            drop_time: sent.as_ref().and_then(|s| s.drop).map(|t| t.strftime("%H:%M").to_string()),
            order_ref: sent.and_then(|sent| sent.order_ref),
        });
    }
    rows::insert(tx, &row, &kept)?;
    Ok(PastLoadHeld { id, name: load.name.clone(), gave })
}
