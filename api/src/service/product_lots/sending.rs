//! Goods leave the house: lots of pieces go to the orders that wait for them.

use super::label::{LabelCheck, label_check_of};
use crate::{
    document::Fault,
    service::{
        Refusal, fault,
        ledger::Posting,
        loads::used::{self, Floor, first_out},
        stock::{self, LotHeld},
    },
    store::{
        StoreError, Tx, balances, movements, orders, orders::HeldLineRow, product_lots as rows,
        sites,
    },
};
use domain::{
    bakery::Bakery, id::Code, lot::LotUse, movement::MovementKind, quantity::MICRO, ratio::Overflow,
};
use jiff::{
    Timestamp,
    civil::{Date, Time},
};
use std::collections::{BTreeMap, BTreeSet};

/// What one order gets, as somebody wrote it.
#[derive(Debug, Clone)]
pub struct OrderGoods {
    /// The sender's name for the order.
    pub order_ref: String,
    /// Which product.
    pub product: Code,
    /// How many pieces.
    pub pieces: i64,
    /// Name or id of the lot; first expired first if not said.
    pub lot: Option<String>,
}

/// Goods that left the house.
#[derive(Debug, Clone)]
pub struct Sending {
    /// Who sent them.
    pub who: String,
    /// When; now if not said.
    pub sent_at: Option<Timestamp>,
    /// For which service date.
    pub service_date: Date,
    /// Only orders of this drop.
    pub drop: Option<Time>,
    /// What each order gets; all that it waits for if nothing is written.
    pub goods: Vec<OrderGoods>,
}

/// Pieces of one lot that went to one order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentLine {
    /// The sender's name for the order.
    pub order_ref: String,
    /// Which product.
    pub product: String,
    /// Id of the lot.
    pub lot: String,
    /// Its lot code.
    pub name: String,
    /// How many pieces.
    pub pieces: i64,
    /// Id of the ledger entry.
    pub movement: String,
}

/// What left the house.
#[derive(Debug, Clone)]
pub struct Sent {
    /// When.
    pub sent_at: Timestamp,
    /// Line by line.
    pub lines: Vec<SentLine>,
    /// What orders still wait for, and what the book did not have.
    pub notes: Vec<String>,
    /// The plan revision that it made.
    pub plan_revision: i64,
}

/// Sends goods to orders: as written, else what each order of the date or drop waits for,
/// drop after drop.
///
/// # Errors
/// [`Refusal::Body`] names every fault.
pub fn send(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    sending: &Sending,
) -> Result<Sent, Refusal> {
    let at = sending.sent_at.unwrap_or(now);
    if at > now {
        let detail = format!("`{at}` is still to come: say when it was sent");
        return Err(fault("/sent_at", "out-of-range", detail));
    }
    let floor = Floor { site, bakery, now, at };
    let mut shelf = Shelf::default();
    let open = open_lines(tx, site, sending.service_date)?;
    let wanted = wanted(sending, &open)?;
    for product in wanted.iter().map(|want| want.product.as_str()) {
        shelf.fill(tx, floor, (product, sending.service_date), None)?;
    }
    shelf.keep_off(tx, floor, LabelCheck::stop)?;
    let posting = posting(floor, &sending.who, format!("sent for {}", sending.service_date));
    let (lines, notes) = hand_out(tx, posting, (&mut shelf, &wanted))?;
    let cause = format!("goods for {} sent by {}", sending.service_date, sending.who);
    let change = sites::Change { at: now, cause: &cause, bakery_changed: false };
    let plan_revision = sites::bump(tx, site, change)?;
    Ok(Sent { sent_at: at, lines, notes, plan_revision })
}

/// Sends what is left of a load's lots to the orders of its date that still wait.
pub(in crate::service) fn send_load(
    tx: &mut Tx,
    floor: Floor<'_>,
    posting: Posting,
    (load, service_date, goods): (&str, Date, &[OrderGoods]),
) -> Result<(Vec<SentLine>, Vec<String>), Refusal> {
    let lots = rows::of_load(tx, floor.site, load)?;
    let mut shelf = Shelf::default();
    let open = open_lines(tx, floor.site, service_date)?;
    let sending = Sending {
        who: String::new(),
        sent_at: None,
        service_date,
        drop: None,
        goods: goods.to_vec(),
    };
    let mut wanted = wanted(&sending, &open)?;
    for row in &lots {
        shelf.fill(tx, floor, (&row.product, service_date), Some(&row.lot))?;
    }
    shelf.keep_off(tx, floor, |_| Ok(()))?;
    // A load sends only what it gave; what is written may ask for more and is then flagged.
    wanted.retain(|want| want.stated || lots.iter().any(|row| row.product == want.product));
    let (lines, mut notes) = hand_out(tx, posting, (&mut shelf, &wanted))?;
    if goods.is_empty() {
        // Other loads of the date give the rest.
        notes.retain(|note| !note.contains(WAITS));
    }
    Ok((lines, notes))
}

fn posting(floor: Floor<'_>, who: &str, about: String) -> Posting {
    Posting {
        site: floor.site.to_owned(),
        now: floor.now,
        at: floor.at,
        who: Some(who.to_owned()),
        load: None,
        document: None,
        about,
        movements: Vec::new(),
        notes: Vec::new(),
    }
}

/// What one order line still waits for, in whole pieces.
#[derive(Debug, Clone)]
struct Want {
    order_ref: String,
    /// Who ordered; none if the order does not say it.
    customer: Option<String>,
    product: String,
    pieces: i64,
    /// The lot that was written.
    lot: Option<String>,
    /// Whether somebody wrote it.
    stated: bool,
}

/// Lines of a service date's orders that were not sent whole, by drop, then by the moment
/// at which they were taken.
fn open_lines(tx: &mut Tx, site: &str, date: Date) -> Result<Vec<(HeldLineRow, i64)>, StoreError> {
    let text = date.to_string();
    let held = orders::held_lines(tx, site, &text)?;
    let mut lines: Vec<HeldLineRow> =
        held.into_iter().filter(|row| row.service_date.as_deref() == Some(&text)).collect();
    lines.sort_by(|a, b| {
        let key = |row: &HeldLineRow| {
            (row.drop_time.clone(), row.taken_at.clone(), row.order_ref.clone())
        };
        key(a).cmp(&key(b))
    });
    let mut gone: BTreeMap<(String, String), i64> = BTreeMap::new();
    let mut open = Vec::with_capacity(lines.len());
    for line in lines {
        let key = (line.order_ref.clone(), line.product.clone());
        if !gone.contains_key(&key) {
            let pieces = sent_to(tx, site, &line.order_ref, &line.product)?;
            gone.insert(key.clone(), pieces);
        }
        let before = gone.get_mut(&key).map_or(0, |gone| {
            let covered = (*gone).clamp(0, line.quantity_taken);
            *gone -= covered;
            covered
        });
        let left = line.quantity_taken - before;
        open.push((line, left));
    }
    Ok(open)
}

/// Whole pieces of a product that went to an order already, less those taken back.
fn sent_to(tx: &mut Tx, site: &str, order_ref: &str, product: &str) -> Result<i64, StoreError> {
    let mut micro = 0_i64;
    for row in movements::of_document(tx, site, &document(order_ref))? {
        let lot = crate::store::lots::find(tx, site, &row.lot)?;
        if lot.is_some_and(|lot| lot.item == product) {
            micro = micro.checked_sub(row.amount_micro).ok_or(StoreError::Corrupt("sent"))?;
        }
    }
    Ok(micro / MICRO)
}

/// What the entries of goods for an order carry.
fn document(order_ref: &str) -> String {
    format!("order:{order_ref}")
}

/// What is to be sent: as written, else all that waits.
fn wanted(sending: &Sending, open: &[(HeldLineRow, i64)]) -> Result<Vec<Want>, Refusal> {
    let drop = sending.drop.map(|time| time.strftime("%H:%M").to_string());
    if sending.goods.is_empty() {
        let of_drop = |line: &HeldLineRow| match (&drop, &line.drop_time) {
            (Some(drop), Some(own)) => own.starts_with(drop.as_str()),
            (Some(_), None) => false,
            (None, _) => true,
        };
        let waits = open.iter().filter(|(line, left)| *left > 0 && of_drop(line));
        let want = |(line, left): &(HeldLineRow, i64)| Want {
            order_ref: line.order_ref.clone(),
            customer: line.customer.clone(),
            product: line.product.clone(),
            pieces: *left,
            lot: None,
            stated: false,
        };
        return Ok(waits.map(want).collect());
    }
    let mut faults = Vec::new();
    for (at, goods) in sending.goods.iter().enumerate() {
        if !open.iter().any(|(line, _)| line.order_ref == goods.order_ref) {
            let detail = format!(
                "no order `{}` is held for {}: mend the name or the date",
                goods.order_ref, sending.service_date
            );
            let pointer = format!("/orders/{at}/order_ref");
            faults.push(Fault { pointer, kind: "unknown-code", detail });
        }
    }
    if !faults.is_empty() {
        return Err(Refusal::Body(faults));
    }
    let customer = |order: &str| {
        let of = |(line, _): &&(HeldLineRow, i64)| line.order_ref == order;
        open.iter().find(of).and_then(|(line, _)| line.customer.clone())
    };
    let want = |goods: &OrderGoods| Want {
        order_ref: goods.order_ref.clone(),
        customer: customer(&goods.order_ref),
        product: goods.product.to_string(),
        pieces: goods.pieces,
        lot: goods.lot.clone(),
        stated: true,
    };
    Ok(sending.goods.iter().map(want).collect())
}

/// Lots that pieces can be taken from, product by product, first out first.
#[derive(Default)]
struct Shelf {
    /// Id, lot code and whole pieces of each.
    lots: BTreeMap<String, Vec<(String, String, i64)>>,
    /// Lots and customers that they must not go to: they bring in what the customer avoids.
    kept_off: BTreeSet<(String, String)>,
}

impl Shelf {
    fn fill(
        &mut self,
        tx: &mut Tx,
        floor: Floor<'_>,
        (product, date): (&str, Date),
        only: Option<&str>,
    ) -> Result<(), Refusal> {
        if let Some(lot) = only {
            let row = stock::row(tx, floor.site, lot)?;
            let pieces = balances::find(tx, floor.site, lot)? / MICRO;
            let held = self.lots.entry(product.to_owned()).or_default();
            held.push((row.id, row.name, pieces));
        } else if !self.lots.contains_key(product) {
            let mut held = Vec::new();
            for lot in first_out(tx, floor, product)? {
                if is_sold(tx, floor.site, &lot, date)? {
                    held.push((lot.id, lot.name, lot.balance_micro / MICRO));
                }
            }
            self.lots.insert(product.to_owned(), held);
        }
        Ok(())
    }

    /// Looks which lots bring in what some customer avoids, labels confirmed or not. `stop` says
    /// whether the check of a lot lets it leave the house at all.
    fn keep_off(
        &mut self,
        tx: &mut Tx,
        floor: Floor<'_>,
        stop: impl Fn(&LabelCheck) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        for (id, ..) in self.lots.values().flatten() {
            let Some(check) = label_check_of(tx, floor.site, floor.bakery, id)? else { continue };
            stop(&check)?;
            let customers = floor.bakery.lists().customers.iter();
            let off = customers.filter(|customer| check.keeps_from(customer));
            self.kept_off.extend(off.map(|customer| (id.clone(), customer.code.to_string())));
        }
        Ok(())
    }

    /// Lots of what is wanted that must not go to whoever wants it.
    fn kept_from(&self, want: &Want) -> BTreeSet<String> {
        let Some(customer) = &want.customer else { return BTreeSet::new() };
        let lots = self.lots.get(&want.product).into_iter().flatten().map(|(id, ..)| id);
        let off = lots.filter(|id| self.kept_off.contains(&((*id).clone(), customer.clone())));
        off.cloned().collect()
    }

    /// Takes pieces: from the lot that is written, else first out first. What nothing is
    /// left of comes back as missing.
    fn take(&mut self, want: &Want) -> (Vec<(String, String, i64)>, i64) {
        let mut parts = Vec::new();
        let mut left = want.pieces;
        let off: BTreeSet<String> = self.kept_from(want);
        for (id, name, there) in self.lots.get_mut(&want.product).into_iter().flatten() {
            let wanted = want.lot.as_ref().is_none_or(|lot| lot == id || lot == name);
            let part = left.min(*there).max(0);
            if wanted && part > 0 && !off.contains(id) {
                *there -= part;
                left -= part;
                parts.push((id.clone(), name.clone(), part));
            }
        }
        (parts, left)
    }

    /// The lot that goes below nothing when more is sent than the book has.
    fn last(&self, want: &Want) -> Option<(String, String)> {
        let lots = self.lots.get(&want.product)?;
        let named = |(id, name, _): &&(String, String, i64)| {
            want.lot.as_ref().is_none_or(|lot| lot == id || lot == name)
        };
        let off = self.kept_from(want);
        let named = |lot: &&(String, String, i64)| named(lot) && !off.contains(&lot.0);
        lots.iter().rfind(named).map(|(id, name, _)| (id.clone(), name.clone()))
    }
}

/// Whether pieces of a lot are sold on a date: those that nobody dated on their own day alone.
fn is_sold(tx: &mut Tx, site: &str, lot: &LotHeld, date: Date) -> Result<bool, StoreError> {
    if lot.usage != LotUse::Any {
        return Ok(false);
    }
    let made = rows::find(tx, site, &lot.id)?;
    Ok(lot.until.is_some() || made.is_none_or(|made| made.service_date == date.to_string()))
}

/// Marks notes on orders that still wait.
const WAITS: &str = "still wait";

fn hand_out(
    tx: &mut Tx,
    mut posting: Posting,
    (shelf, wanted): (&mut Shelf, &[Want]),
) -> Result<(Vec<SentLine>, Vec<String>), Refusal> {
    let mut lines = Vec::new();
    for want in wanted {
        let (mut parts, left) = shelf.take(want);
        let Want { order_ref, customer, product, .. } = want;
        if left > 0 && !shelf.kept_from(want).is_empty() {
            let customer = customer.as_deref().unwrap_or_default();
            posting.notes.push(format!(
                "STOP: {product} for order {order_ref}: what was used for it brings in what \
                 {customer} avoids; it is not sent to them"
            ));
        }
        if left > 0 && want.stated {
            // The hand is right: it went, and the book is to be counted.
            match shelf.last(want) {
                Some((id, name)) => {
                    posting.notes.push(format!(
                        "{left} more of {product} went to order {order_ref} than the book has of \
                         lot {name}: count it"
                    ));
                    parts.push((id, name, left));
                }
                None => posting.notes.push(format!(
                    "{left} of {product} for order {order_ref} come from no lot in the book: say \
                     what was made first"
                )),
            }
        } else if left > 0 {
            posting.notes.push(format!("{left} of {product} {WAITS} for order {order_ref}"));
        }
        posting.document = Some(document(order_ref));
        for (lot, name, pieces) in parts {
            let micro = pieces.checked_mul(MICRO).ok_or_else(|| used::beyond(Overflow))?;
            let kind = (MovementKind::Send, -micro, None);
            let movement = posting.post(tx, (&lot, None), kind)?;
            let (order_ref, product) = (order_ref.clone(), product.clone());
            lines.push(SentLine { order_ref, product, lot, name, pieces, movement });
        }
    }
    Ok((lines, posting.notes))
}
