//! What pieces take, from which lots.

use super::{WrittenUse, making::Maker};
use crate::{
    document::Fault,
    service::{
        Refusal,
        loads::used::{
            Named, Source, Taken, any_lot, beyond, first_out, lot_of, shared, source_of,
            weighing_loss,
        },
        plan::refused,
    },
    store::Tx,
};
use domain::{
    calendar,
    item::Item,
    plan::{
        in_base_unit,
        takings::{Taking, leaves_stock, parts_of},
    },
    quantity::{MICRO, Quantity},
    ratio::Ratio,
};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// Levels of made things that are followed to what they are made of.
///
/// A bakery's own levels are checked when it is loaded; this only bounds the walk.
const LEVELS_MAX: u32 = 32;
/// Stages at which a made thing is lost on its way onto a piece.
///
/// # Source
/// The trade rules, 2.3: deposit loss of cream, custard, wash pot.
const WAY_STAGES: [&str; 2] = ["deposit", "use"];

/// What some pieces take, lot by lot.
pub(super) struct Drawing<'a> {
    pub(super) maker: &'a Maker<'a>,
    pub(super) service_date: Date,
    /// What the hand wrote, and where it stands in the request.
    pub(super) written: &'a [WrittenUse],
    pub(super) pointer: String,
    pub(super) faults: &'a mut Vec<Fault>,
    pub(super) notes: Vec<String>,
    /// What products before it in the same request take.
    pub(super) earlier: &'a BTreeMap<Source, i64>,
    /// By source, in order of its name.
    pub(super) taken: BTreeMap<Source, Taken>,
}

impl Drawing<'_> {
    /// Draws one line of a make-up.
    pub(super) fn take(&mut self, tx: &mut Tx, taking: Taking) -> Result<(), Refusal> {
        match taking {
            Taking::Product { product, pieces, day_offset } => {
                self.product(tx, product, pieces, day_offset)
            }
            Taking::Item { item, issue, counted, previous_batch } => {
                self.item(tx, (item, issue, counted, previous_batch), 0)
            }
        }
    }

    /// What is taken of a lot already.
    fn before(&self, source: &Source) -> i64 {
        let own = self.taken.get(source).map_or(0, |taken| taken.micro);
        own + self.earlier.get(source).copied().unwrap_or(0)
    }

    fn add(&mut self, source: Source, taken: Taken) {
        match self.taken.get_mut(&source) {
            Some(held) => {
                held.micro += taken.micro;
                held.loss_micro += taken.loss_micro;
            }
            None => {
                self.taken.insert(source, taken);
            }
        }
    }

    /// What the hand wrote for an item, if it wrote anything.
    fn written(&self, code: &str) -> Option<(usize, &WrittenUse)> {
        self.written.iter().enumerate().find(|(_, written)| {
            written.instead_of.as_ref().unwrap_or(&written.item).as_str() == code
        })
    }

    fn item(
        &mut self,
        tx: &mut Tx,
        (item, issue, counted, previous_batch): (u32, Ratio, bool, bool),
        level: u32,
    ) -> Result<(), Refusal> {
        let bakery = self.maker.floor.bakery;
        let code = bakery.item(item).code.to_string();
        if self.written(&code).is_some() {
            return self.by_hand(tx, (item, issue, counted));
        }
        if let Some(fruit) = bakery.index().fruit_of(item) {
            return self.fruit(tx, (fruit, &code), issue);
        }
        let found = bakery.item(item);
        let made = bakery.recipes(self.service_date).of_item(item).is_some();
        if !made {
            let micro = leaves_stock(found, issue, counted).map_err(beyond)?;
            let loss = weighing_loss(Some(found), micro)?;
            return if found.stocked { self.first_out(tx, &code, (micro, loss)) } else { Ok(()) };
        }
        let (gross, loss) = self.on_the_way(item, issue)?;
        let micro = leaves_stock(found, gross, counted).map_err(beyond)?;
        let in_book = !first_out(tx, self.maker.floor, &code)?.is_empty();
        if in_book {
            let loss_micro = leaves_stock(found, loss, counted).map_err(beyond)?;
            return self.first_out(tx, &code, (micro, loss_micro));
        }
        // Nobody wrote down what was made: it is drawn as what it is made of.
        let parts = match level {
            LEVELS_MAX.. => None,
            _ if previous_batch => None,
            _ => parts_of(bakery, (item, self.service_date), issue).map_err(beyond)?,
        };
        for part in parts.unwrap_or_default() {
            if let Taking::Item { item, issue, counted, previous_batch } = part {
                self.item(tx, (item, issue, counted, previous_batch), level + 1)?;
            }
        }
        Ok(())
    }

    /// What a made thing must give so that an amount arrives, and how much of that is lost.
    fn on_the_way(&self, item: u32, issue: Ratio) -> Result<(Ratio, Ratio), Refusal> {
        let bakery = self.maker.floor.bakery;
        let recipes = bakery.recipes(self.service_date);
        let Some(recipe) = recipes.of_item(item).map(|at| &recipes.recipes[at]) else {
            return Ok((issue, Ratio::ZERO));
        };
        let mut gross = issue;
        let losses = bakery.formula_of(recipe).losses.iter();
        for loss in losses.filter(|loss| WAY_STAGES.contains(&loss.stage.as_str())) {
            let left = loss.percent.left_after_percent();
            gross = left.and_then(|left| gross.over(left)).map_err(beyond)?;
        }
        Ok((gross, gross.minus(issue).map_err(beyond)?))
    }

    /// Zest and juice come of whole fruits.
    fn fruit(
        &mut self,
        tx: &mut Tx,
        (fruit, output): (u32, &str),
        ug: Ratio,
    ) -> Result<(), Refusal> {
        let found = self.maker.floor.bakery.item(fruit);
        let outputs = found.joint.iter().flat_map(|joint| &joint.outputs);
        let Some(yields) = outputs.into_iter().find(|one| one.item.as_str() == output) else {
            return Ok(());
        };
        let fruits = ug.over(yields.yields.ratio()).map_err(beyond)?.ceil();
        let micro = i64::try_from(fruits).ok().and_then(|fruits| fruits.checked_mul(MICRO));
        let micro = micro.ok_or_else(|| beyond(domain::ratio::Overflow))?;
        let (code, stocked) = (found.code.to_string(), found.stocked);
        if stocked { self.first_out(tx, &code, (micro, 0)) } else { Ok(()) }
    }

    /// First expired first; what no lot has goes below zero on the last one, to be counted.
    fn first_out(
        &mut self,
        tx: &mut Tx,
        code: &str,
        (micro, loss): (i64, i64),
    ) -> Result<(), Refusal> {
        let floor = self.maker.floor;
        let mut left = micro;
        let mut last = None;
        let mut parts: Vec<(String, i64)> = Vec::new();
        for lot in first_out(tx, floor, code)? {
            let held = Source::Lot(lot.id.clone());
            let part = (lot.balance_micro - self.before(&held)).clamp(0, left);
            left -= part;
            parts.push((lot.id.clone(), part));
            last = Some(lot.id);
        }
        if left > 0 {
            let last = match last {
                Some(last) => Some(last),
                None => any_lot(tx, floor, code)?,
            };
            match last {
                Some(last) => {
                    self.notes.push(format!("{code}: more was taken than the book has: count it"));
                    parts.push((last, left));
                }
                None => self.notes.push(format!(
                    "{code} is not in the book: no lot of it is entered; receive it and count"
                )),
            }
        }
        let all = micro.max(1);
        for (lot, part) in parts.into_iter().filter(|(_, part)| *part > 0) {
            let source = source_of(tx, floor, &lot)?;
            let loss_micro = crate::service::loads::used::share(loss, part, all)?;
            self.add(source, Taken { micro: part, loss_micro, new: None });
        }
        Ok(())
    }

    /// What the hand wrote is true: another amount, other lots, another item.
    fn by_hand(
        &mut self,
        tx: &mut Tx,
        (planned, issue, counted): (u32, Ratio, bool),
    ) -> Result<(), Refusal> {
        let floor = self.maker.floor;
        let code = floor.bakery.item(planned).code.to_string();
        let Some((at, written)) = self.written(&code) else { return Ok(()) };
        let (written, pointer) = (written.clone(), format!("{}/used/{at}", self.pointer));
        let Some(item) = floor.bakery.index().item(written.item.as_str()) else {
            let detail = format!("there is no item `{}`: mend the code", written.item);
            self.fault(format!("{pointer}/item"), "unknown-code", detail);
            return Ok(());
        };
        let found = floor.bakery.item(item);
        let micro = match written.amount {
            None => Some(leaves_stock(found, issue, counted).map_err(beyond)?),
            Some(amount) => self.said(item, amount),
        };
        let Some(micro) = micro else {
            let detail = format!("`{}` cannot be said in that unit", written.item);
            self.fault(format!("{pointer}/amount/unit"), "unit-mismatch", detail);
            return Ok(());
        };
        let mut named = Vec::new();
        for (number, used) in written.lots.iter().enumerate() {
            let amount =
                used.amount.map(|amount| self.said(item, amount).unwrap_or(amount.micro()));
            match lot_of(tx, floor, found.code.as_str(), used)? {
                Ok((source, new)) => named.push(Named { source, amount, new }),
                Err(detail) => {
                    self.fault(format!("{pointer}/lots/{number}/lot"), "unknown-code", detail);
                }
            }
        }
        if named.is_empty() {
            let loss = weighing_loss(Some(found), micro)?;
            let code = found.code.to_string();
            return self.first_out(tx, &code, (micro, loss));
        }
        for (source, taken) in shared(Some(found), (micro, micro), named)? {
            self.add(source, taken);
        }
        Ok(())
    }

    /// An amount that was said, in millionths of the item's base unit.
    fn said(&self, item: u32, amount: Quantity) -> Option<i64> {
        let micro = in_base_unit(self.maker.floor.bakery, item, amount).ok()??;
        i64::try_from(micro.round_half_up().ok()?).ok()
    }

    fn fault(&mut self, pointer: String, kind: &'static str, detail: String) {
        self.faults.push(Fault { pointer, kind, detail });
    }

    /// Pieces of another product: those baked on the day that is asked for, first out first.
    fn product(
        &mut self,
        tx: &mut Tx,
        product: u32,
        pieces: i64,
        day_offset: i32,
    ) -> Result<(), Refusal> {
        let floor = self.maker.floor;
        let code = floor.bakery.product(product).code.to_string();
        if let Some((at, written)) = self.written(&code) {
            let lots = written.lots.clone();
            return self.pieces_by_hand(tx, (&code, pieces), (at, &lots));
        }
        let baked = calendar::add_days(self.service_date, day_offset.into()).map_err(refused)?;
        let mut left = pieces.checked_mul(MICRO).ok_or_else(|| beyond(domain::ratio::Overflow))?;
        for lot in first_out(tx, floor, &code)? {
            let source = Source::Lot(lot.id.clone());
            let part = (lot.balance_micro - self.before(&source)).clamp(0, left);
            if lot.baked == Some(baked) && part > 0 {
                left -= part;
                self.add(source, Taken { micro: part, loss_micro: 0, new: None });
            }
        }
        if left > 0 {
            self.notes.push(format!(
                "{} of {code} baked on {baked} are not in the book: write the lot that was used",
                left / MICRO
            ));
        }
        Ok(())
    }

    fn pieces_by_hand(
        &mut self,
        tx: &mut Tx,
        (code, pieces): (&str, i64),
        (at, lots): (usize, &[crate::service::loads::UsedLot]),
    ) -> Result<(), Refusal> {
        let micro = pieces.checked_mul(MICRO).ok_or_else(|| beyond(domain::ratio::Overflow))?;
        let mut named = Vec::new();
        for (number, used) in lots.iter().enumerate() {
            let amount = used.amount.map(Quantity::micro);
            match lot_of(tx, self.maker.floor, code, used)? {
                Ok((source, new)) => named.push(Named { source, amount, new }),
                Err(detail) => {
                    let pointer = format!("{}/used/{at}/lots/{number}/lot", self.pointer);
                    self.fault(pointer, "unknown-code", detail);
                }
            }
        }
        if named.is_empty() {
            return Ok(());
        }
        let none: Option<&Item> = None;
        for (source, taken) in shared(none, (micro, micro), named)? {
            self.add(source, taken);
        }
        Ok(())
    }
}
