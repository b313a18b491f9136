//! Whether the label of a product lot still fits what really went into it.

use crate::{
    clock,
    service::{Refusal, book, stock},
    store::{
        StoreError, Tx, instant, label_confirmations as confirmations,
        label_confirmations::LabelConfirmationRow, loads, lots, lots::LotRow, movements,
        movements::MovementRow, product_lots as rows, product_lots::ProductLotRow, sites,
    },
};
use domain::{
    allergens::{AllergenDifference, Allergens, Swaps, actual_allergens, allergens, difference},
    bakery::Bakery,
    customer::Customer,
    item::AllergenRecord,
    lot::LotState,
    movement::MovementKind,
};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};

/// Who confirmed the labels of a lot.
#[derive(Debug, Clone)]
pub struct Confirmed {
    /// Who.
    pub who: String,
    /// When.
    pub at: Timestamp,
    /// In own words.
    pub note: Option<String>,
}

/// The planned and the actual set of a product lot.
#[derive(Debug, Clone)]
pub struct LabelCheck {
    /// Id of the lot.
    pub lot: String,
    /// Which product.
    pub product: String,
    /// What its formula says.
    pub planned: Allergens,
    /// What the lots that were used for it say.
    pub actual: Allergens,
    /// What the one has and the other has not.
    pub difference: AllergenDifference,
    /// Lots that were used and are on hold: nobody has read their pack again yet.
    pub on_hold: Vec<String>,
    /// Who confirmed the labels for just these additions.
    pub confirmed: Option<Confirmed>,
}

impl LabelCheck {
    /// Whether the label leaves something out and nobody has confirmed another one.
    #[must_use]
    pub fn stops(&self) -> bool {
        let fits = self.difference.added == Allergens::default() && self.on_hold.is_empty();
        !fits && self.confirmed.is_none()
    }

    /// Stops what must not go on with a label that leaves something out.
    ///
    /// # Errors
    /// `label-changed`
    pub fn stop(&self) -> Result<(), Refusal> {
        if !self.stops() {
            return Ok(());
        }
        let Self { lot, product, .. } = self;
        let detail = format!(
            "STOP: what was used for {product} adds to its planned label: {}. Change the labels, \
             then confirm them with POST /v1/product-lots/{lot}/labels",
            self.added()
        );
        Err(Refusal::stated("label-changed", detail))
    }

    /// Whether it brings in what a customer avoids; what nobody knows counts for everybody who
    /// avoids anything.
    #[must_use]
    pub fn keeps_from(&self, customer: &Customer) -> bool {
        let Allergens { contains, may_contain, unknown } = &self.difference.added;
        let new = |word: &String| contains.contains(word) || may_contain.contains(word);
        let unread = !unknown.is_empty() || !self.on_hold.is_empty();
        customer.avoids.iter().any(new) || (unread && !customer.avoids.is_empty())
    }

    /// What was added, in words; also what a confirmation stands for.
    fn added(&self) -> String {
        let Allergens { contains, may_contain, unknown } = &self.difference.added;
        let words = |head: &str, words: Vec<&str>| {
            (!words.is_empty()).then(|| format!("{head} {}", words.join(", ")))
        };
        let all = [
            words("contains", contains.iter().map(String::as_str).collect()),
            words("may contain", may_contain.iter().map(String::as_str).collect()),
            words("not known:", unknown.iter().map(|code| code.as_str()).collect()),
            words("on hold:", self.on_hold.iter().map(String::as_str).collect()),
        ];
        all.into_iter().flatten().collect::<Vec<_>>().join("; ")
    }
}

/// The label check of a product lot.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such product lot.
///
/// # Source
/// The trade rules, part 6: planned set and actual set are both kept.
pub fn label_check(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    lot: &str,
) -> Result<LabelCheck, Refusal> {
    let found = label_check_of(tx, site, bakery, lot)?;
    found.ok_or_else(|| Refusal::Unknown { noun: "product lot", code: lot.to_owned() })
}

/// The same of any lot; none if it is no product lot.
pub(super) fn label_check_of(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    lot: &str,
) -> Result<Option<LabelCheck>, Refusal> {
    let unknown = || Refusal::Unknown { noun: "product lot", code: lot.to_owned() };
    let Some(row) = rows::find(tx, site, lot)? else { return Ok(None) };
    let product = bakery.index().product(&row.product).ok_or_else(unknown)?;
    let recipes = bakery.recipes(book::date(&row.service_date)?);
    let planned = allergens(bakery, recipes, product, &Swaps::new());
    let mut used = Used::of(bakery);
    used.pieces(tx, site, &row)?;
    let items = used.items.iter().copied();
    let actual = actual_allergens(bakery, recipes, product, items, &used.read);
    let difference = difference(&planned, &actual);
    let product = row.product;
    let (lot, on_hold, confirmed) = (row.lot, used.on_hold, None);
    let mut check = LabelCheck { lot, product, planned, actual, difference, on_hold, confirmed };
    let added = check.added();
    let held = confirmations::of_lot(tx, site, &check.lot)?;
    if let Some(row) = held.into_iter().rev().find(|row| row.added == added) {
        let at = instant::read(&row.happened_at)?;
        check.confirmed = Some(Confirmed { who: row.who, at, note: row.note });
    }
    Ok(Some(check))
}

/// A person confirms that the labels of a lot say what was added.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn confirm_label(
    tx: &mut Tx,
    site: &str,
    now: Timestamp,
    bakery: &Bakery,
    (lot, who, note): (&str, &str, Option<&str>),
) -> Result<LabelCheck, Refusal> {
    let check = label_check(tx, site, bakery, lot)?;
    let row = LabelConfirmationRow {
        site: site.to_owned(),
        id: clock::new_id(now).to_string(),
        lot: lot.to_owned(),
        added: check.added(),
        who: who.to_owned(),
        note: note.map(str::to_owned),
        happened_at: instant::text(now),
    };
    confirmations::insert(tx, &row)?;
    let cause = format!("labels of {} confirmed by {who}", check.product);
    sites::bump(tx, site, sites::Change { at: now, cause: &cause, bakery_changed: false })?;
    label_check(tx, site, bakery, lot)
}

/// What the label of a lot leaves out, in words; none if it fits.
pub(in crate::service) fn label_words(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    lot: &str,
) -> Result<Option<String>, Refusal> {
    let check = label_check(tx, site, bakery, lot)?;
    Ok(check.stops().then(|| {
        format!(
            "LABEL CHANGED: {} {}: new labels before it is packed",
            check.product,
            check.added()
        )
    }))
}

/// Stops what must not go on with a label that leaves something out.
///
/// # Errors
/// `label-changed`
pub(in crate::service) fn stop_if_changed(
    tx: &mut Tx,
    site: &str,
    bakery: &Bakery,
    lot: &str,
) -> Result<(), Refusal> {
    match label_check_of(tx, site, bakery, lot)? {
        Some(check) => check.stop(),
        None => Ok(()),
    }
}

/// Whether nobody may use a lot as it stands.
fn kept_off(row: &LotRow) -> bool {
    let state = LotState::parse(&row.state);
    matches!(state, Some(LotState::Hold | LotState::Blocked | LotState::Recalled))
}

/// Items at the ends of a lot's making.
struct Used<'a> {
    bakery: &'a Bakery,
    items: BTreeSet<u32>,
    lots: BTreeSet<String>,
    on_hold: Vec<String>,
    /// What packs of lots say that somebody read.
    read: Vec<AllergenRecord>,
}

impl<'a> Used<'a> {
    fn of(bakery: &'a Bakery) -> Self {
        let (items, lots, on_hold) = (BTreeSet::new(), BTreeSet::new(), Vec::new());
        Self { bakery, items, lots, on_hold, read: Vec::new() }
    }

    /// What pieces are made of: the entries of their making, and the dough of their load.
    fn pieces(&mut self, tx: &mut Tx, site: &str, row: &ProductLotRow) -> Result<(), StoreError> {
        let entries = movements::of_document(tx, site, &row.document)?;
        self.entries(tx, site, entries)?;
        let Some(load) = &row.load else { return Ok(()) };
        self.load(tx, site, load)
    }

    /// What a load is made of: its own entries, less those of its pieces.
    fn load(&mut self, tx: &mut Tx, site: &str, load: &str) -> Result<(), StoreError> {
        let found = movements::of_load(tx, site, load)?;
        let own = |row: &MovementRow| row.document.is_none();
        let entries: Vec<MovementRow> = found.into_iter().filter(own).collect();
        if entries.is_empty()
            && let Some(row) = loads::find(tx, site, load)?
        {
            // Nothing of it is in the book: it stands as its formula says.
            self.items.extend(self.bakery.index().item(&row.formula));
        }
        self.entries(tx, site, entries)
    }

    /// Lots that some entries took, but for what was taken back.
    fn entries(
        &mut self,
        tx: &mut Tx,
        site: &str,
        entries: Vec<MovementRow>,
    ) -> Result<(), StoreError> {
        let back: BTreeMap<&str, ()> =
            entries.iter().filter_map(|row| Some((row.reverses.as_deref()?, ()))).collect();
        let taken = entries.iter().filter(|row| {
            let kind = MovementKind::parse(&row.kind);
            let used = matches!(kind, Some(MovementKind::Use | MovementKind::Weigh));
            used && !back.contains_key(row.id.as_str())
        });
        for lot in taken.map(|row| row.lot.clone()).collect::<BTreeSet<_>>() {
            self.lot(tx, site, &lot)?;
        }
        Ok(())
    }

    fn lot(&mut self, tx: &mut Tx, site: &str, lot: &str) -> Result<(), StoreError> {
        if !self.lots.insert(lot.to_owned()) {
            return Ok(());
        }
        let held = lots::find(tx, site, lot)?;
        if let Some(row) = held.as_ref().filter(|row| kept_off(row)) {
            self.on_hold.push(format!("lot {} of {}", row.name, row.item));
        }
        if let Some(row) = rows::find(tx, site, lot)? {
            return self.pieces(tx, site, &row);
        }
        if let Some(load) = loads::of_lot(tx, site, lot)? {
            return self.load(tx, site, &load.id);
        }
        if let Some(record) = stock::pack_record(tx, site, lot)? {
            self.read.push(record);
        } else if let Some(row) = held {
            self.items.extend(self.bakery.index().item(&row.item));
        }
        Ok(())
    }
}
