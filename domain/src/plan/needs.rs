//! What is drawn from stock, when, and for what.

mod change;
mod kept_dough;

use super::{AskedBy, Plan, PlanError};
use crate::{
    bakery::Bakery,
    book::Book,
    fruit::{FruitDraw, FruitUse, fruit},
    item::{Item, Joint},
    load::HeldDraw,
    product::PiecesMade,
    quantity::{MICRO, Unit},
    ratio::{Overflow, Ratio},
    scale::WeighState,
};
pub(super) use change::{Changes, Touched, of_batch, of_toppings};
use jiff::{Timestamp, civil::Date};
use kept_dough::KeptDough;
use std::collections::{BTreeMap, BTreeSet};

/// What takes something from stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NeedUser {
    /// A batch, by position of the item that it makes.
    Formula(u32),
    /// The pieces of a product.
    Product(u32),
}

impl From<AskedBy> for NeedUser {
    fn from(by: AskedBy) -> Self {
        match by {
            AskedBy::Product(product) => Self::Product(product),
            AskedBy::Formula(item) => Self::Formula(item),
        }
    }
}

/// One draw on stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// The start of the step that takes it.
    pub at: Timestamp,
    /// Position of the item.
    pub item: u32,
    /// What leaves stock, in millionths of the item's base unit.
    pub micro: i64,
    /// What is weighed or counted of it, in micrograms or millionths of a piece; the
    /// outputs that a fruit is drawn for stand in [`Plan::fruits`].
    pub issue: Ratio,
    /// Whether that is counted and not weighed.
    pub counted: bool,
    /// For what.
    pub user: NeedUser,
    /// For which service date.
    pub service_date: Date,
    /// Which held load takes it; none for the drafts of a batch together.
    pub load: Option<i64>,
}

/// One joint fruit over the uses of one service date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FruitLine {
    /// Position of the fruit.
    pub fruit: u32,
    /// For which service date.
    pub service_date: Date,
    /// Each output: its item, how much is needed in micrograms, fruits for it alone.
    pub needs: Vec<(u32, Ratio, i64)>,
    /// Fruits for all of it together.
    pub fruits: i64,
    /// What each output leaves over, in micrograms.
    pub spare: Vec<(u32, Ratio)>,
    /// Fruits if nothing spare is kept from one use to the next.
    pub fruits_if_not_kept: i64,
}

/// What is issued at an instant, before it is a draw on stock.
struct Draw {
    at: Timestamp,
    item: u32,
    issue: Ratio,
    counted: bool,
    user: NeedUser,
    service_date: Date,
}

/// What one user takes of a joint fruit at once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FruitDrawLine {
    /// Position of the fruit.
    pub fruit: u32,
    /// For what.
    pub user: NeedUser,
    /// For which service date.
    pub service_date: Date,
    /// What it takes.
    pub draw: FruitDraw,
}

/// A use of a joint output: when, by what, which output, how much.
struct OutputUse {
    at: Timestamp,
    user: NeedUser,
    service_date: Date,
    output: usize,
    ug: Ratio,
}

pub(super) fn fill(
    bakery: &Bakery,
    book: &Book,
    plan: &mut Plan,
    now: Timestamp,
) -> Result<(), PlanError> {
    let mut draws = Draws { bakery, plain: Vec::new(), uses: BTreeMap::new() };
    let mut built: BTreeSet<u32> = BTreeSet::new();
    let mut kept = KeptDough::new(bakery, plan);
    for batch in &plan.batches {
        let recipes = bakery.recipes(batch.service_date);
        let at = batch.made_at.unwrap_or(now);
        let user = NeedUser::Formula(batch.item);
        let keeps_back = bakery
            .formula_of(&recipes.recipes[batch.recipe as usize])
            .keep_back_after_last
            .is_some();
        let first_build = built.insert(batch.item);
        for issue in &batch.issues {
            let own_seed = issue.previous_batch && issue.item == batch.item;
            // Later builds take the seed that the build before kept back for them.
            let kept_back = own_seed && keeps_back && !first_build;
            let made = !issue.previous_batch && recipes.of_item(issue.item).is_some();
            if !made && !kept_back {
                let planned = if own_seed { Ratio::ZERO } else { kept.take(bakery, batch, issue)? };
                draws.add(Draw {
                    at,
                    item: issue.item,
                    issue: issue.micro.minus(planned)?,
                    counted: issue.counted,
                    user,
                    service_date: batch.service_date,
                });
            }
        }
    }
    for topping in &plan.toppings {
        let issue = Ratio::whole(topping.weighed.micro.into());
        let to_make = to_make(bakery, book, plan, (topping.product, topping.service_date))?;
        draws.add(Draw {
            at: topping.at,
            item: topping.item,
            issue: issue.times(to_make)?,
            counted: topping.weighed.state == WeighState::Counted,
            user: NeedUser::Product(topping.product),
            service_date: topping.service_date,
        });
    }
    let held_needs = draws.held(book, plan, now);
    let fruit_needs = draws.fruits(plan)?;
    let mut needs = draws.merged(&plan.dates)?;
    if !held_needs.is_empty() || !fruit_needs.is_empty() {
        needs.extend(held_needs);
        needs.extend(fruit_needs);
        // All but the fruits and the held ones are in this order already.
        needs.sort_by_key(|need| place(bakery, need));
    }
    plan.needs = needs.into();
    Ok(())
}

/// The part of a product's start pieces of a date that is still to be made.
pub(super) fn to_make(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    (product, service_date): (u32, Date),
) -> Result<Ratio, Overflow> {
    let code = &bakery.product(product).code;
    let own = |made: &&PiecesMade| made.product == *code && made.service_date == service_date;
    let made: i64 = book.made.iter().filter(own).map(|made| made.pieces).sum();
    if made <= 0 {
        return Ok(Ratio::ONE);
    }
    let key = (service_date, product);
    let lines = &plan.demand.pieces;
    let found = lines.binary_search_by_key(&key, |line| (line.service_date, line.product));
    let start = found.map_or(0, |at| lines[at].start);
    if made >= start {
        return Ok(Ratio::ZERO);
    }
    Ratio::new((start - made).into(), start.into())
}

/// What decides where a need stands: the instant, then codes of item and user, then the date.
pub(super) type Place = (Timestamp, u32, u32, Date, Option<i64>);

/// Where a need stands among all others.
pub(super) fn place(bakery: &Bakery, need: &Need) -> Place {
    let item = bakery.ranks().item(need.item);
    (need.at, item, user_rank(bakery, need.user), need.service_date, need.load)
}

/// A user's place in the order of all codes: products and items share one space.
pub(super) fn user_rank(bakery: &Bakery, user: NeedUser) -> u32 {
    match user {
        NeedUser::Formula(item) => bakery.ranks().item(item),
        NeedUser::Product(product) => bakery.ranks().product(product),
    }
}

struct Draws<'a> {
    bakery: &'a Bakery,
    plain: Vec<Draw>,
    /// By position of fruit.
    uses: BTreeMap<u32, Vec<OutputUse>>,
}

impl Draws<'_> {
    fn add(&mut self, draw: Draw) {
        if draw.issue.is_zero() {
            return;
        }
        let found = self.bakery.item(draw.item);
        let Some(fruit) = self.bakery.index().fruit_of(draw.item) else {
            if found.stocked {
                self.plain.push(draw);
            }
            return;
        };
        let joint = self.bakery.item(fruit).joint.as_ref();
        let output = joint
            .and_then(|joint| joint.outputs.iter().position(|output| output.item == found.code));
        if let Some(output) = output {
            self.uses.entry(fruit).or_default().push(OutputUse {
                at: draw.at,
                user: draw.user,
                service_date: draw.service_date,
                output,
                ug: draw.issue,
            });
        }
    }

    /// What released loads take, each at its own start: what is weighed is in the ledger.
    ///
    /// Their zest and juice are cut together with all others, so that spare is used.
    fn held(&mut self, book: &Book, plan: &Plan, now: Timestamp) -> Vec<Need> {
        let index = self.bakery.index();
        let mut needs = Vec::new();
        let parts =
            plan.batches.iter().flat_map(|batch| batch.held.iter().map(move |p| (batch, p)));
        for (batch, part) in parts {
            let load = &book.held[part.at as usize];
            if !load.state.is_to_weigh() {
                continue;
            }
            let (user, service_date) = (NeedUser::Formula(batch.item), batch.service_date);
            // Late, but not weighed: it is still to be taken.
            let at = load.starts_at.max(now);
            for line in &load.lines {
                let Some(item) = index.item(line.item.as_str()) else { continue };
                let (issue, counted) = (Ratio::whole(line.micro.into()), line.counted);
                if index.fruit_of(item).is_some() {
                    self.add(Draw { at, item, issue, counted, user, service_date });
                }
            }
            for draw in &load.draws {
                let Some(item) = index.item(draw.item.as_str()) else { continue };
                let whole_fruit = self.bakery.item(item).joint.is_some();
                if whole_fruit || draw.micro <= 0 {
                    continue;
                }
                let &HeldDraw { micro, issue, counted, .. } = draw;
                let load = Some(part.number);
                needs.push(Need { at, item, micro, issue, counted, user, service_date, load });
            }
        }
        needs
    }

    /// Needs of one item by one user at one instant are one draw.
    fn merged(self, dates: &[Date]) -> Result<Vec<Need>, Overflow> {
        let Self { bakery, plain, .. } = self;
        let mut instants: Vec<Timestamp> = Vec::new();
        for draw in &plain {
            if let Err(place) = instants.binary_search(&draw.at) {
                instants.insert(place, draw.at);
            }
        }
        // One number for instant, item, date, user and kind: many rows sort quickly by it.
        let key = |draw: &Draw| {
            let instant = instants.partition_point(|at| *at < draw.at);
            let date = dates.partition_point(|date| *date < draw.service_date);
            (instant as u128) << 96
                | u128::from(bakery.ranks().item(draw.item)) << 64
                | u128::from(user_rank(bakery, draw.user)) << 32
                | (date as u128) << 1
                | u128::from(draw.counted)
        };
        let mut order: Vec<(u128, usize)> = plain.iter().map(key).zip(0..).collect();
        order.sort_unstable();
        let mut needs = Vec::with_capacity(plain.len());
        for group in order.chunk_by(|a, b| a.0 == b.0) {
            let Draw { at, item, user, service_date, counted, .. } = plain[group[0].1];
            let mut issue = Ratio::ZERO;
            for &(_, row) in group {
                issue = issue.plus(plain[row].issue)?;
            }
            let micro = stock_draw(bakery.item(item), issue, counted)?;
            let load = None;
            needs.push(Need { at, item, micro, issue, counted, user, service_date, load });
        }
        Ok(needs)
    }

    /// Whole fruits for all uses of their outputs, drawn use by use.
    fn fruits(&mut self, plan: &mut Plan) -> Result<Vec<Need>, Overflow> {
        let mut needs = Vec::new();
        for (&fruit_item, uses) in &mut self.uses {
            let found = self.bakery.item(fruit_item);
            let stocked = found.stocked;
            let Some(joint) = &found.joint else { continue };
            let code = |user: NeedUser| match user {
                NeedUser::Formula(item) => &self.bakery.item(item).code,
                NeedUser::Product(product) => &self.bakery.product(product).code,
            };
            uses.sort_by(|a, b| {
                (a.at, a.service_date, code(a.user)).cmp(&(b.at, b.service_date, code(b.user)))
            });
            let (events, owners) = events(joint, uses)?;
            let drawn = fruit(joint, &events)?;
            for ((at, user, service_date), draw) in owners.into_iter().zip(drawn) {
                let micro = draw.fruits.checked_mul(MICRO).ok_or(Overflow)?;
                if stocked && draw.fruits > 0 {
                    let issue = Ratio::whole(micro.into());
                    let (item, counted) = (fruit_item, true);
                    let load = None;
                    needs.push(Need { at, item, micro, issue, counted, user, service_date, load });
                }
                plan.fruit_draws.push(FruitDrawLine {
                    fruit: fruit_item,
                    user,
                    service_date,
                    draw,
                });
            }
            let mut dates: Vec<Date> = uses.iter().map(|one| one.service_date).collect();
            dates.sort_unstable();
            dates.dedup();
            for service_date in dates {
                plan.fruits.push(fruit_line(self.bakery, fruit_item, joint, uses, service_date)?);
            }
        }
        Ok(needs)
    }
}

type Owner = (Timestamp, NeedUser, Date);

/// Uses by the same user at the same instant are one event.
fn events(joint: &Joint, uses: &[OutputUse]) -> Result<(Vec<FruitUse>, Vec<Owner>), Overflow> {
    let mut events: Vec<FruitUse> = Vec::new();
    let mut owners: Vec<Owner> = Vec::new();
    for one in uses {
        let owner = (one.at, one.user, one.service_date);
        if owners.last() != Some(&owner) {
            owners.push(owner);
            let needs = vec![Ratio::ZERO; joint.outputs.len()];
            events.push(FruitUse { at: one.at, needs });
        }
        if let Some(event) = events.last_mut() {
            event.needs[one.output] = event.needs[one.output].plus(one.ug)?;
        }
    }
    Ok((events, owners))
}

fn fruit_line(
    bakery: &Bakery,
    fruit_item: u32,
    joint: &Joint,
    uses: &[OutputUse],
    service_date: Date,
) -> Result<FruitLine, Overflow> {
    let mut needs = Vec::with_capacity(joint.outputs.len());
    let mut most = 0;
    for (output, made) in joint.outputs.iter().enumerate() {
        let mut sum = Ratio::ZERO;
        let of_date = |one: &&OutputUse| one.service_date == service_date && one.output == output;
        for one in uses.iter().filter(of_date) {
            sum = sum.plus(one.ug)?;
        }
        let fruits = i64::try_from(sum.over(made.yields.ratio())?.ceil()).map_err(|_| Overflow)?;
        most = most.max(fruits);
        let item = bakery.index().item(made.item.as_str()).unwrap_or(fruit_item);
        needs.push((item, sum, fruits));
    }
    let mut spare = Vec::with_capacity(needs.len());
    for (&(item, sum, _), made) in needs.iter().zip(&joint.outputs) {
        let gained = made.yields.ratio().times(Ratio::whole(most.into()))?;
        spare.push((item, gained.minus(sum)?));
    }
    let not_kept = Joint { surplus_keeps: false, ..joint.clone() };
    let of_date = |one: &OutputUse| one.service_date == service_date;
    let mine: Vec<OutputUse> =
        uses.iter().filter(|one| of_date(one)).map(|one| OutputUse { ..*one }).collect();
    let (events, _) = events(&not_kept, &mine)?;
    let fruits_if_not_kept = fruit(&not_kept, &events)?.into_iter().map(|draw| draw.fruits).sum();
    Ok(FruitLine {
        fruit: fruit_item,
        service_date,
        needs,
        fruits: most,
        spare,
        fruits_if_not_kept,
    })
}

/// What leaves stock for an issue, in millionths of the item's base unit.
///
/// Weighing loss divides what is weighed, rounded half up to 0.1 g; counted stock
/// leaves in whole pieces.
///
/// # Errors
/// [`Overflow`]
pub fn stock_draw(item: &Item, issue: Ratio, counted: bool) -> Result<i64, Overflow> {
    let kept = item.weighing_loss_percent.left_after_percent()?;
    let tenth = Ratio::whole(i128::from(MICRO) / 10);
    let to_tenth = |micro: Ratio| -> Result<i64, Overflow> {
        let rounded = Ratio::whole(micro.over(tenth)?.round_half_up()?).times(tenth)?;
        i64::try_from(rounded.numerator()).map_err(|_| Overflow)
    };
    let whole_pieces = |micro: Ratio| -> Result<i64, Overflow> {
        let pieces = micro.over(Ratio::whole(MICRO.into()))?.ceil();
        i64::try_from(pieces).ok().and_then(|n| n.checked_mul(MICRO)).ok_or(Overflow)
    };
    let drawn = issue.over(kept)?;
    match (item.base_unit, item.grams_per_base_unit()) {
        (Unit::Each, _) if counted => whole_pieces(drawn),
        (Unit::Each, Some(grams)) => whole_pieces(drawn.over(grams)?),
        (Unit::Millilitre, Some(grams)) => to_tenth(drawn.over(grams)?),
        _ if item.weighing_loss_percent.is_zero() => {
            i64::try_from(issue.round_half_up()?).map_err(|_| Overflow)
        }
        _ => to_tenth(drawn),
    }
}
