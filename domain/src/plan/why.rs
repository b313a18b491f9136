//! Why a number is what it is: the chain from orders to it, step by step.
//!
//! A plan keeps what it computed from, so a chain is read off it when asked and
//! costs nothing until then. A person with a calculator arrives at the same digits.

mod loads;
mod need;
mod spared;
mod steps;
mod words;

pub use steps::{WhyInput, WhyStep, WhyValue};
pub use words::{WhyRule, WhyWord};

use super::{AskedBy, Batch, Need, NeedUser, Plan, Topping};
use crate::{
    bakery::{Bakery, Driver},
    demand::PieceLine,
    product::{Overs, Product},
    ratio::{Overflow, Ratio},
    weigh::exact,
};
use jiff::civil::Date;

/// What a chain leans on, to be asked in turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WhyOf {
    /// The pieces of a product for a service date.
    Pieces(Date, u32),
    /// The batch of an item for a service date.
    Batch(Date, u32),
    /// A line of a batch: the item it takes, and the load, counted from 1.
    Line(Date, u32, i64, u32),
    /// A topping of a product.
    Topping(Date, u32, u32),
    /// A need of an item by a formula or product.
    Need(Date, NeedUser, u32),
}

/// The chain behind one number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Why {
    /// The number asked about.
    pub of: WhyOf,
    /// Its steps, first to last; each result is an input of a later step.
    pub steps: Vec<WhyStep>,
    /// Numbers that it leans on.
    pub because: Vec<WhyOf>,
}

/// The chain behind a number of a plan; none if the plan has no such number.
///
/// # Errors
/// [`Overflow`]
pub fn why(bakery: &Bakery, plan: &Plan, of: WhyOf) -> Result<Option<Why>, Overflow> {
    let mut chain = Why { of, steps: Vec::new(), because: Vec::new() };
    let found = match of {
        WhyOf::Pieces(date, product) => chain.pieces(bakery, plan, date, product)?,
        WhyOf::Batch(date, item) => {
            let mut any = false;
            for batch in plan.mixes(date, item) {
                any |= chain.batch(bakery, plan, batch)?;
            }
            any
        }
        WhyOf::Line(date, item, load, taken) => {
            let has = |batch: &&Batch| {
                let held = batch.held.iter().any(|part| part.number == load);
                held || batch.numbers.contains(&load)
            };
            match plan.mixes(date, item).find(has) {
                Some(batch) => chain.line(bakery, plan, batch, load, taken)?,
                None => false,
            }
        }
        WhyOf::Topping(date, product, item) => {
            let same = |topping: &&Topping| {
                (topping.service_date, topping.product, topping.item) == (date, product, item)
            };
            match plan.toppings.iter().find(same) {
                Some(topping) => chain.topping(bakery, plan, topping)?,
                None => false,
            }
        }
        WhyOf::Need(date, user, item) => {
            let same =
                |need: &&Need| (need.service_date, need.user, need.item) == (date, user, item);
            let needs: Vec<&Need> = plan.needs.iter().filter(same).collect();
            chain.needs(bakery, plan, &needs)?
        }
    };
    Ok(found.then_some(chain))
}

impl Why {
    fn step(&mut self, rule: WhyRule, inputs: Vec<(WhyInput, WhyValue)>, result: WhyValue) {
        self.steps.push(WhyStep { rule, inputs, result });
    }

    fn pieces(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        date: Date,
        product: u32,
    ) -> Result<bool, Overflow> {
        let Some(line) = plan.demand.of(date, product) else { return Ok(false) };
        let found = bakery.product(product);
        let orders = line
            .by_customer
            .iter()
            .map(|&(customer, pieces)| (WhyInput::Customer(customer), WhyValue::Pieces(pieces)))
            .collect();
        self.step(WhyRule::Orders, orders, WhyValue::Pieces(line.ordered));
        let mut net = vec![(WhyWord::Ordered.into(), WhyValue::Pieces(line.ordered))];
        let ahead = [(WhyWord::Par, line.par), (WhyWord::Forecast, line.forecast)];
        for (name, pieces) in ahead.into_iter().filter(|(_, pieces)| *pieces != 0) {
            net.push((name.into(), WhyValue::Pieces(pieces)));
        }
        for &(taker, on, pieces) in &line.taken_by {
            net.push((WhyInput::TakenBy(taker, on), WhyValue::Pieces(pieces)));
            self.because.push(WhyOf::Pieces(on, taker));
        }
        net.push((WhyWord::FinishedStock.into(), WhyValue::Pieces(-line.from_stock)));
        net.push((WhyWord::TestPieces.into(), WhyValue::Pieces(line.test_pieces)));
        self.step(WhyRule::NetPieces, net, WhyValue::Pieces(line.net));
        self.start_pieces(found, line)?;
        self.start_by_hand(plan, found, line);
        if let (Some(tray), Some(trays)) = (&found.tray, line.trays) {
            let inputs = vec![
                (WhyWord::StartPieces.into(), WhyValue::Pieces(line.start)),
                (WhyWord::PiecesOnTray.into(), WhyValue::Pieces(tray.pieces)),
            ];
            self.step(WhyRule::Trays, inputs, WhyValue::Pieces(trays));
        }
        Ok(true)
    }

    fn start_pieces(&mut self, found: &Product, line: &PieceLine) -> Result<(), Overflow> {
        let (good_planned, start) = match line.computed {
            Some(_) => crate::demand::start_pieces(found, line.net)?,
            None => (line.good_planned, line.start),
        };
        let rejects = (WhyWord::Rejects.into(), WhyValue::Percent(found.reject_percent));
        let net = (WhyWord::Net.into(), WhyValue::Pieces(line.net));
        let good = (WhyWord::Good.into(), WhyValue::Pieces(good_planned));
        let start = WhyValue::Pieces(start);
        match (found.overs, &found.tray) {
            (Overs::Pack { multiple }, _) => {
                let pack = (WhyWord::Pack.into(), WhyValue::Pieces(multiple));
                let rounded = WhyValue::Pieces(good_planned);
                self.step(WhyRule::WholePacks, vec![net, pack], rounded);
                self.step(WhyRule::StartOfGood, vec![good, rejects], start);
            }
            (Overs::Fixed { pieces }, _) => {
                let more = (WhyWord::Overs.into(), WhyValue::Pieces(pieces));
                self.step(WhyRule::PlusOvers, vec![net, more], WhyValue::Pieces(good_planned));
                self.step(WhyRule::StartOfGood, vec![good, rejects], start);
            }
            (Overs::Tray, Some(tray)) => {
                let tray = (WhyWord::Tray.into(), WhyValue::Pieces(tray.pieces));
                self.step(WhyRule::StartOfTrays, vec![net, rejects, tray], start);
            }
            (Overs::None | Overs::Tray, _) => {
                self.step(WhyRule::StartOfNet, vec![net, rejects], start);
            }
        }
        Ok(())
    }

    fn batch(&mut self, bakery: &Bakery, plan: &Plan, batch: &Batch) -> Result<bool, Overflow> {
        let recipes = bakery.recipes(batch.service_date);
        let recipe = &recipes.recipes[batch.recipe as usize];
        let by_batch = matches!(recipe.driver, Driver::Batch { .. });
        let amount =
            |value: Ratio| if by_batch { WhyValue::Batches(value) } else { WhyValue::Mass(value) };
        self.asked(bakery, batch, &amount)?;
        let mut left = batch.net;
        for loss in &bakery.formula_of(recipe).losses {
            let grossed = left.over(loss.percent.left_after_percent()?)?;
            let inputs = vec![
                (WhyWord::Before.into(), amount(left)),
                (WhyInput::Loss(loss.stage.clone()), WhyValue::Percent(loss.percent)),
            ];
            self.step(WhyRule::Loss, inputs, amount(grossed));
            left = grossed;
        }
        match recipe.driver {
            Driver::Blocks { sheet_ug, ratio, step, .. } => {
                let inputs = vec![
                    (WhyWord::LaminatedDough.into(), WhyValue::Mass(batch.gross)),
                    (WhyWord::FatOverDough.into(), WhyValue::Number(ratio)),
                    (WhyWord::OneSheet.into(), WhyValue::Mass(sheet_ug)),
                    (WhyWord::BlocksTogether.into(), WhyValue::Pieces(step)),
                ];
                let blocks = WhyValue::Pieces(batch.all_blocks().unwrap_or(0));
                self.step(WhyRule::WholeBlocks, inputs, blocks);
                return Ok(true);
            }
            Driver::Batch { step, bowl_ug, .. } => {
                let inputs = vec![
                    (WhyWord::Batches.into(), WhyValue::Batches(left)),
                    (WhyWord::SmallestStep.into(), WhyValue::Batches(step)),
                    (WhyWord::BatchInBowl.into(), WhyValue::Mass(bowl_ug)),
                ];
                self.step(WhyRule::WholeSteps, inputs, WhyValue::Mass(batch.gross));
            }
            Driver::Mass => {}
        }
        if !batch.keep_back.is_zero() {
            let inputs = vec![
                (WhyWord::ForToday.into(), WhyValue::Mass(batch.gross)),
                (WhyWord::KeptBack.into(), WhyValue::Mass(batch.keep_back)),
            ];
            let all = batch.gross.plus(batch.keep_back)?;
            self.step(WhyRule::Seed, inputs, WhyValue::Mass(all));
        }
        self.held_loads(batch)?;
        self.loads(bakery, plan, batch)?;
        Ok(true)
    }

    fn asked(
        &mut self,
        bakery: &Bakery,
        batch: &Batch,
        amount: &dyn Fn(Ratio) -> WhyValue,
    ) -> Result<(), Overflow> {
        let mut asks = Vec::with_capacity(batch.asked.len());
        for ask in &batch.asked {
            let (by, of) = match ask.by {
                AskedBy::Product(product) => {
                    (WhyInput::Product(product), WhyOf::Pieces(batch.service_date, product))
                }
                AskedBy::Formula(item) => {
                    (WhyInput::Item(item), WhyOf::Batch(batch.service_date, item))
                }
            };
            asks.push((by, amount(ask.amount)));
            self.because.push(of);
        }
        let all = batch.net.plus(batch.credit()?)?;
        self.step(WhyRule::Asked, asks, amount(all));
        self.spared(bakery, batch, amount(all), amount)
    }

    fn line(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        batch: &Batch,
        load: i64,
        taken: u32,
    ) -> Result<bool, Overflow> {
        if let Some(part) = batch.held.iter().find(|part| part.number == load) {
            return Ok(self.held_line(batch, part, taken));
        }
        let Some(draft) = batch.numbers.iter().position(|&number| number == load) else {
            return Ok(false);
        };
        let mut last = 0;
        let group = batch.groups.iter().find(|group| {
            last += group.group.loads;
            i64::try_from(draft).is_ok_and(|draft| draft < last)
        });
        let Some(group) = group else { return Ok(false) };
        let recipes = bakery.recipes(batch.service_date);
        let recipe = &recipes.recipes[batch.recipe as usize];
        self.batch(bakery, plan, batch)?;
        let mut any = false;
        for (line, weighed) in plan.lines_of(bakery, batch, group) {
            if line.item != taken {
                continue;
            }
            any = true;
            let parts = Ratio::new(line.parts.into(), recipe.parts_scale.into())?;
            let amount = exact(line, group.factor)?;
            if line.flags.counted() {
                let inputs = vec![(WhyWord::Steps.into(), WhyValue::Number(group.factor))];
                self.step(WhyRule::Counted, inputs, WhyValue::Count(amount));
                continue;
            }
            let mut inputs = vec![(WhyWord::Load.into(), WhyValue::Mass(group.group.mass))];
            if matches!(recipe.driver, Driver::Batch { .. }) {
                inputs.push((
                    WhyWord::InOneBatch.into(),
                    WhyValue::Mass(Ratio::whole(line.parts.into())),
                ));
                inputs.push((WhyWord::Batches.into(), WhyValue::Batches(group.factor)));
            } else {
                let sum = Ratio::new(recipe.parts_sum.into(), recipe.parts_scale.into())?;
                inputs.push((WhyWord::ItsParts.into(), WhyValue::Number(parts)));
                inputs.push((WhyWord::AllParts.into(), WhyValue::Number(sum)));
            }
            self.step(WhyRule::Share, inputs, WhyValue::Mass(amount));
            self.scale_step(bakery, amount, *weighed, group.nudges > 0 && line.flags.flour());
            let issue =
                Ratio::whole(weighed.micro.into()).times(Ratio::whole(group.group.loads.into()))?;
            let inputs = vec![
                (WhyWord::LoadAsWeighed.into(), WhyValue::Mass(Ratio::whole(weighed.micro.into()))),
                (WhyWord::LoadsOfSize.into(), WhyValue::Loads(group.group.loads)),
            ];
            self.step(WhyRule::Issued, inputs, WhyValue::Mass(issue));
        }
        self.because.insert(0, WhyOf::Batch(batch.service_date, batch.item));
        Ok(any)
    }

    fn scale_step(
        &mut self,
        bakery: &Bakery,
        amount: Ratio,
        weighed: crate::weigh::WeighedLine,
        moved: bool,
    ) {
        let mut inputs = vec![(WhyWord::Exact.into(), WhyValue::Mass(amount))];
        if let Some(weighing) = weighed.weighing {
            let scale = &bakery.scales().as_slice()[weighing.scale];
            let division = Ratio::whole(scale.division_ug.into());
            inputs.push((WhyInput::DivisionOf(weighing.scale), WhyValue::Mass(division)));
        }
        let rule = if moved { WhyRule::ToDivisionMoved } else { WhyRule::ToDivision };
        self.step(rule, inputs, WhyValue::Mass(Ratio::whole(weighed.micro.into())));
    }

    fn topping(
        &mut self,
        bakery: &Bakery,
        plan: &Plan,
        topping: &Topping,
    ) -> Result<bool, Overflow> {
        let Some(line) = plan.demand.of(topping.service_date, topping.product) else {
            return Ok(false);
        };
        let counted = topping.weighed.state == crate::scale::WeighState::Counted;
        let value =
            |micro: Ratio| if counted { WhyValue::Count(micro) } else { WhyValue::Mass(micro) };
        let mut inputs = vec![(WhyWord::StartPieces.into(), WhyValue::Pieces(line.start))];
        if let Some(trays) = line.trays {
            inputs.push((WhyWord::Trays.into(), WhyValue::Pieces(trays)));
        }
        self.step(WhyRule::Topping, inputs, value(topping.exact));
        if !counted {
            self.scale_step(bakery, topping.exact, topping.weighed, false);
        }
        self.because.push(WhyOf::Pieces(topping.service_date, topping.product));
        Ok(true)
    }
}
