//! Weighings: what the hand wrote leaves the stock, lot by lot.

use super::{
    DrawBody, LineBody, LoadHistory, Step, UsedLot,
    steps::{Passing, advance},
    used::{self, Named, Source, Taken, any_lot, beyond, lot_of, shared, source_of, weighing_loss},
};
use crate::{
    document::Fault,
    service::Refusal,
    state::State,
    store::{Tx, balances, loads as load_rows, lots as rows, lots::LotRow},
};
use domain::{
    bakery::Bakery,
    load::LoadState,
    lot::LotState,
    movement::MovementKind,
    quantity::{Quantity, Unit},
    ratio::{Overflow, Ratio},
};

/// What the hand wrote beside one line.
#[derive(Debug, Clone)]
pub struct WrittenLine {
    /// The line's number on the page.
    pub number: usize,
    /// What was weighed or counted; as printed if not said.
    pub amount: Option<Quantity>,
    /// Lots that were used; as proposed if none is written.
    pub lots: Vec<UsedLot>,
}

/// A load was weighed: what it takes leaves the stock.
///
/// The written lot is true, whatever was proposed; a balance may go below zero, to be
/// counted.
///
/// # Errors
/// `load-step`; [`Refusal::Body`] names lines that the page does not have, lots that are not
/// known, and lots on hold that were proposed and not replaced.
pub fn weigh(
    state: &State,
    tx: &mut Tx,
    bakery: &Bakery,
    (id, step): (&str, &Step),
    written: &[WrittenLine],
) -> Result<LoadHistory, Refusal> {
    advance(state, tx, bakery, (id, LoadState::Weighed, step), |tx, passing| {
        let mut faults = Vec::new();
        let mut weighing = Weighing { written, faults: &mut faults };
        let plan = weighing.read(tx, passing)?;
        if !faults.is_empty() {
            return Err(Refusal::Body(faults));
        }
        let mut posting = passing.posting(None);
        for (source, taken) in &plan {
            let kinds = (MovementKind::Weigh, "weighing loss");
            used::post(tx, passing.floor(), &mut posting, (source, taken), kinds)?;
        }
        passing.posted_by(posting);
        Ok(())
    })
}

struct Weighing<'a> {
    written: &'a [WrittenLine],
    faults: &'a mut Vec<Fault>,
}

impl Weighing<'_> {
    /// All that leaves the stock, lot by lot.
    fn read(
        &mut self,
        tx: &mut Tx,
        passing: &mut Passing<'_>,
    ) -> Result<Vec<(Source, Taken)>, Refusal> {
        let body = passing.load.body.clone();
        for (at, line) in self.written.iter().enumerate() {
            if !body.lines.iter().any(|known| known.number == line.number) {
                let detail = format!("the page has no line {}", line.number);
                self.fault(format!("/lines/{at}/line"), "out-of-range", detail);
            }
        }
        let mut plan = Vec::new();
        for draw in &body.draws {
            let lines = lines_of(passing.bakery, &body.lines, draw);
            plan.extend(self.draw(tx, passing, draw, &lines)?);
        }
        // What is made here is in the book if its own load was mixed there.
        for line in &body.lines {
            let drawn = body.draws.iter().any(|draw| is_of(passing.bakery, line, draw));
            let item = passing.bakery.index().item(&line.item);
            let stocked = item.is_some_and(|item| passing.bakery.item(item).stocked);
            if !drawn && stocked {
                plan.extend(self.made(tx, passing, line)?);
            }
        }
        Ok(plan)
    }

    fn fault(&mut self, pointer: String, kind: &'static str, detail: String) {
        self.faults.push(Fault { pointer, kind, detail });
    }

    /// What the hand wrote beside some lines, with its place in the request.
    fn written(&self, lines: &[&LineBody]) -> Vec<(usize, &WrittenLine)> {
        let own = |written: &&WrittenLine| lines.iter().any(|line| line.number == written.number);
        let found = self.written.iter().enumerate().filter(|(_, written)| own(written));
        found.collect()
    }

    /// One item of stock: what was written beside its lines, or what was proposed.
    fn draw(
        &mut self,
        tx: &mut Tx,
        passing: &mut Passing<'_>,
        draw: &DrawBody,
        lines: &[&LineBody],
    ) -> Result<Vec<(Source, Taken)>, Refusal> {
        let (micro, weighed) = self.actual(draw.micro, lines)?;
        let lots = self.used(tx, passing, &draw.item, lines)?;
        let item = passing.bakery.index().item(&draw.item).map(|at| passing.bakery.item(at));
        if !lots.is_empty() {
            return shared(item, (micro, weighed), lots);
        }
        let mut lots: Vec<(String, i64)> = Vec::new();
        let mut left = micro;
        for lot in &draw.lots {
            self.check_hold(tx, passing, &lot.id, lines)?;
            let taken = lot.micro.min(left);
            left -= taken;
            lots.push((lot.id.clone(), taken));
        }
        if left > 0 {
            match lots.last_mut() {
                Some((_, last)) => *last += left,
                None => {
                    lots.extend(any_lot(tx, passing.floor(), &draw.item)?.map(|lot| (lot, left)));
                }
            }
        }
        if lots.is_empty() && micro > 0 {
            passing.note(format!(
                "{} is not in the book: no lot of it is entered; receive it and count",
                draw.item
            ));
        }
        let mut plan: Vec<(Source, Taken)> = Vec::new();
        for (lot, micro) in lots.into_iter().filter(|(_, micro)| *micro > 0) {
            let loss_micro = weighing_loss(item, micro)?;
            let source = source_of(tx, passing.floor(), &lot)?;
            // Two proposed lots of one bin are one draw from it.
            match plan.iter_mut().find(|(held, _)| *held == source) {
                Some((_, taken)) => {
                    taken.micro += micro;
                    taken.loss_micro += loss_micro;
                }
                None => plan.push((source, Taken { micro, loss_micro, new: None })),
            }
        }
        Ok(plan)
    }

    /// What is made here: from the lots of its loads, first made first.
    fn made(
        &mut self,
        tx: &mut Tx,
        passing: &mut Passing<'_>,
        line: &LineBody,
    ) -> Result<Vec<(Source, Taken)>, Refusal> {
        let (micro, weighed) = self.actual(line.micro, &[line])?;
        let lots = self.used(tx, passing, &line.item, &[line])?;
        if !lots.is_empty() {
            return shared(None, (micro, weighed), lots);
        }
        let site = passing.state.site.clone();
        let own_date = passing.load.service_date.to_string();
        let mut found: Vec<(String, i64)> = Vec::new();
        let mut left = micro;
        for load in load_rows::list_made(tx, &site, &line.item)? {
            let fits = if line.previous_batch {
                load.service_date < own_date
            } else {
                load.service_date == own_date
            };
            let Some(lot) = load.lot.filter(|_| fits) else { continue };
            let taken = balances::find(tx, &site, &lot)?.clamp(0, left);
            left -= taken;
            found.push((lot, taken));
        }
        if left > 0 {
            match found.last_mut() {
                Some((_, last)) => *last += left,
                None => passing.note(format!(
                    "{} is not in the book: its load was not mixed there",
                    line.item
                )),
            }
        }
        let taken = |(lot, micro)| (Source::Lot(lot), Taken { micro, loss_micro: 0, new: None });
        Ok(found.into_iter().filter(|(_, micro)| *micro > 0).map(taken).collect())
    }

    /// What leaves stock if the hand weighed something else than printed.
    /// The second value is all that was weighed or counted, in millionths.
    fn actual(&mut self, micro: i64, lines: &[&LineBody]) -> Result<(i64, i64), Refusal> {
        let mut printed = Ratio::ZERO;
        let mut weighed = Ratio::ZERO;
        for line in lines {
            printed = printed.plus(Ratio::whole(line.micro.into())).map_err(beyond)?;
            let found = self.written(&[line]);
            let amount = found.iter().find_map(|(at, written)| Some((*at, written.amount?)));
            let amount = match amount {
                None => line.micro,
                Some((_, amount)) if fits(line, amount) => amount.micro(),
                Some((at, _)) => {
                    let unit = if line.counted { "each" } else { "g" };
                    let detail = format!("line {} is written in {unit}", line.number);
                    self.fault(format!("/lines/{at}/amount/unit"), "unit-mismatch", detail);
                    line.micro
                }
            };
            weighed = weighed.plus(Ratio::whole(amount.into())).map_err(beyond)?;
        }
        let whole = |ratio: Ratio| i64::try_from(ratio.numerator()).map_err(|_| beyond(Overflow));
        let all = whole(weighed)?;
        if printed == weighed || !printed.is_positive() {
            return Ok((micro, all));
        }
        let exact = Ratio::whole(micro.into()).times(weighed).and_then(|all| all.over(printed));
        let micro = exact.and_then(Ratio::round_half_up).map_err(beyond)?;
        Ok((i64::try_from(micro).map_err(|_| beyond(Overflow))?, all))
    }

    /// The lots that the hand wrote beside some lines, each with what was weighed of it.
    fn used(
        &mut self,
        tx: &mut Tx,
        passing: &Passing<'_>,
        item: &str,
        lines: &[&LineBody],
    ) -> Result<Vec<Named>, Refusal> {
        let written: Vec<(usize, Vec<UsedLot>)> =
            self.written(lines).into_iter().map(|(at, one)| (at, one.lots.clone())).collect();
        let mut found = Vec::new();
        for (at, lots) in written {
            for (number, used) in lots.iter().enumerate() {
                let pointer = format!("/lines/{at}/lots/{number}");
                let amount = used.amount.map(Quantity::micro);
                match lot_of(tx, passing.floor(), item, used)? {
                    Ok((source, new)) => found.push(Named { source, amount, new }),
                    Err(detail) => self.fault(format!("{pointer}/lot"), "unknown-code", detail),
                }
            }
        }
        Ok(found)
    }

    /// A proposed lot that is on hold now was surely not taken on purpose.
    fn check_hold(
        &mut self,
        tx: &mut Tx,
        passing: &Passing<'_>,
        lot: &str,
        lines: &[&LineBody],
    ) -> Result<(), Refusal> {
        let row = rows::find(tx, &passing.state.site, lot)?;
        if let Some(row) = row.filter(kept_back) {
            let numbers: Vec<String> = lines.iter().map(|line| line.number.to_string()).collect();
            let detail = format!(
                "lot {} of {} is on hold since the sheet was printed: write the lot that was used \
                 in line {}",
                row.name,
                row.item,
                numbers.join(", ")
            );
            self.fault("/lines".to_owned(), "field-mismatch", detail);
        }
        Ok(())
    }
}

fn kept_back(row: &LotRow) -> bool {
    LotState::parse(&row.state).is_some_and(LotState::is_kept_back)
}

/// Whether an amount is written in what the line is weighed or counted in.
fn fits(line: &LineBody, amount: Quantity) -> bool {
    let unit = if line.counted { Unit::Each } else { Unit::Gram };
    amount.unit() == unit && amount.micro() >= 0
}

fn is_of(bakery: &Bakery, line: &LineBody, draw: &DrawBody) -> bool {
    if line.item == draw.item {
        return line.counted == draw.counted;
    }
    let fruit = bakery.index().item(&line.item).and_then(|item| bakery.index().fruit_of(item));
    fruit.is_some_and(|fruit| bakery.item(fruit).code.as_str() == draw.item)
}

fn lines_of<'a>(bakery: &Bakery, lines: &'a [LineBody], draw: &DrawBody) -> Vec<&'a LineBody> {
    lines.iter().filter(|line| is_of(bakery, line, draw)).collect()
}
