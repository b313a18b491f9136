//! Released loads in a plan: they keep what they hold, and only what is left is drafted.

mod fold;

pub(super) use fold::{Folded, fold};

use super::{Ask, AskedBy, Batch, CannotSet, Finding, Issue, Plan, overrides::ByHand};
use crate::{
    bakery::{Bakery, Driver, Recipe, RecipeLine, Steps},
    book::Book,
    load::{HeldLine, HeldLoad},
    overrides::{Decision, OverrideKind},
    ratio::{Overflow, Ratio},
    split::{Bowl, Split, SplitError, SplitInput, split, split_into},
};
use jiff::{Timestamp, civil::Date};
use std::collections::{BTreeMap, BTreeSet};

/// What is missing or over by no more than this part of a batch is left alone once a load
/// of it is released: a quarter percent, what a load may differ from its mass.
///
/// # Source
/// The trade rules, 2.5, for the quarter percent; that it also holds here is our reading,
/// so that a gram more of one user does not ask for another load.
const TOLERANCE: (i128, i128) = (1, 400);

/// A held load as a part of a batch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldPart {
    /// Its position in the book.
    pub at: u32,
    /// Its number among the loads of the batch.
    pub number: i64,
    /// What it weighs in the bowl, in micrograms.
    pub mass: Ratio,
    /// What stays in the bowl, in micrograms.
    pub residue: Ratio,
    /// Its lines: position of the item, micrograms or millionths of a piece, whether counted.
    pub lines: Vec<(u32, i64, bool)>,
}

/// Loads with their position in the book, by number.
type Numbered<'a> = Vec<(u32, &'a HeldLoad)>;

/// Held loads by service date and item, mix by mix.
pub(super) struct HeldLoads<'a> {
    by: BTreeMap<(Date, u32), BTreeMap<u32, Numbered<'a>>>,
}

impl<'a> HeldLoads<'a> {
    pub(super) fn new(bakery: &Bakery, book: &'a Book) -> Self {
        let mut by: BTreeMap<_, BTreeMap<u32, Numbered<'_>>> = BTreeMap::new();
        for (at, load) in (0_u32..).zip(&book.held) {
            // What is no longer made asks for nothing and covers nothing.
            if let Some(item) = bakery.index().item(load.formula.as_str()) {
                let mixes = by.entry((load.service_date, item)).or_default();
                mixes.entry(load.mix).or_default().push((at, load));
            }
        }
        for loads in by.values_mut().flat_map(BTreeMap::values_mut) {
            loads.sort_by_key(|(_, load)| load.number);
        }
        Self { by }
    }

    /// Loads of a mix by number, cancelled and lost ones too.
    pub(super) fn of(&self, date: Date, item: u32, mix: u32) -> &[(u32, &'a HeldLoad)] {
        let mixes = self.by.get(&(date, item));
        mixes.and_then(|mixes| mixes.get(&mix)).map_or(&[], Vec::as_slice)
    }

    /// Whether any load of a dough counts.
    pub(super) fn covers(&self, date: Date, item: u32) -> bool {
        let mixes = self.by.get(&(date, item)).into_iter().flat_map(BTreeMap::values);
        mixes.flatten().any(|(_, load)| load.state.covers())
    }

    /// The lowest numbers for a batch's drafts that no load of any mix has or had.
    pub(super) fn free_numbers(&self, batch: &Batch, mut taken: BTreeSet<i64>) -> Vec<i64> {
        let mixes = self.by.get(&(batch.service_date, batch.item)).into_iter();
        let held = mixes.flat_map(BTreeMap::values).flatten();
        taken.extend(held.map(|(_, load)| load.number));
        let wanted = usize::try_from(batch.split.loads).unwrap_or(0);
        (1..).filter(|number| !taken.contains(number)).take(wanted).collect()
    }
}

/// A held load in its mixer.
pub(super) struct InMixer {
    pub(super) service_date: Date,
    pub(super) item: u32,
    pub(super) mixer: u32,
    pub(super) start: Timestamp,
    pub(super) end: Timestamp,
}

/// Held loads of a plan's dates that are in a mixer at a known time.
pub(super) fn in_mixers(bakery: &Bakery, book: &Book, plan: &Plan) -> Vec<InMixer> {
    let in_mixer = |load: &HeldLoad| {
        let (start, end) = load.mixes.filter(|_| load.state.covers())?;
        Some(InMixer {
            service_date: load.service_date,
            item: bakery.index().item(load.formula.as_str())?,
            mixer: bakery.index().mixer(load.mixer.as_ref()?.as_str())?,
            start,
            end,
        })
    };
    let mut found: Vec<InMixer> = book
        .held
        .iter()
        .filter(|load| plan.dates.contains(&load.service_date))
        .filter_map(in_mixer)
        .collect();
    found.sort_by_key(|load| (load.start, load.service_date, load.item));
    found
}

/// When a batch starts of which every load is held.
pub(super) fn starts_at(batch: &Batch, book: &Book) -> Option<Timestamp> {
    let drafts = batch.split.loads > 0 || batch.blocks.is_some_and(|blocks| blocks > 0);
    let all_held = !drafts && !batch.held.is_empty();
    let starts = batch.held.iter().map(|part| book.held[part.at as usize].starts_at);
    starts.min().filter(|_| all_held)
}

/// What is to be drafted beside held loads.
pub(super) struct DraftInput<'a> {
    /// Reference data.
    pub(super) bakery: &'a Bakery,
    /// All that must come out of the bowls, in micrograms.
    pub(super) mass: Ratio,
    /// Whole steps, if a tool dictates them.
    pub(super) steps: Option<Steps>,
    /// The bowl.
    pub(super) bowl: Option<Bowl>,
    /// How much of the mass is only for overs.
    pub(super) overs: Ratio,
    /// The batch's held loads.
    pub(super) held: &'a [(u32, &'a HeldLoad)],
    /// What was set by hand for the batch.
    pub(super) by_hand: ByHand<'a>,
}

/// Draft loads beside held ones.
#[derive(Debug)]
pub(super) struct Drafted {
    pub(super) split: Split,
    pub(super) held: Vec<HeldPart>,
    pub(super) numbers: Vec<i64>,
    pub(super) to_mix: Ratio,
    pub(super) surplus: Ratio,
    pub(super) overs_used: Ratio,
    pub(super) dropped: Ratio,
    pub(super) raised_from: Option<Ratio>,
    /// Whether the drafts need no mixer.
    pub(super) hand_mix: bool,
    /// Why the number of loads that was set by hand cannot be.
    pub(super) impossible: Option<CannotSet>,
}

/// Drafts what held loads leave: nothing left is no load, too much is a surplus.
pub(super) fn draft(input: &DraftInput<'_>) -> Result<Drafted, SplitError> {
    let &DraftInput { mass, steps, bowl, .. } = input;
    if input.held.is_empty() && input.by_hand == ByHand::default() {
        // Nearly every batch: nothing is released and nothing set by hand.
        let split = split(SplitInput { mass, steps, bowl })?;
        let numbers = (1..=split.loads).collect();
        return Ok(Drafted { numbers, ..Drafted::new(split, Vec::new(), mass) });
    }
    let covering = input.held.iter().filter(|(_, load)| load.state.covers());
    let held = covering.map(|(at, load)| part(input.bakery, *at, load)).collect();
    let mut drafted = rest(input, held)?;
    let wanted = SplitInput { mass: drafted.to_mix, steps: input.steps, bowl: input.bowl };
    let wanted = match wanted.steps {
        Some(steps) => SplitInput { steps: Some(steps_of(steps, drafted.to_mix)?), ..wanted },
        None => wanted,
    };
    drafted.split = split(wanted)?;
    if let Some(total) = input.by_hand.loads.filter(|_| drafted.to_mix.is_positive()) {
        let open = total - i64::try_from(drafted.held.len()).map_err(|_| Overflow)?;
        match split_into(wanted, open) {
            Ok(found) => drafted.split = found,
            Err(SplitError::Overflow(error)) => return Err(error.into()),
            Err(_) if open < 1 => drafted.impossible = Some(CannotSet::AllReleased(total)),
            Err(why) => drafted.impossible = Some(CannotSet::Split { loads: total, why }),
        }
    }
    decide(input, wanted, &mut drafted)?;
    drafted.numbers = free_numbers(input.held, drafted.split.loads);
    Ok(drafted)
}

fn part(bakery: &Bakery, at: u32, load: &HeldLoad) -> HeldPart {
    let &HeldLoad { number, mass, residue, ref lines, .. } = load;
    let position = |line: &HeldLine| {
        let item = bakery.index().item(line.item.as_str())?;
        Some((item, line.micro, line.counted))
    };
    HeldPart { at, number, mass, residue, lines: lines.iter().filter_map(position).collect() }
}

/// What held loads leave to be mixed.
fn rest(input: &DraftInput<'_>, held: Vec<HeldPart>) -> Result<Drafted, Overflow> {
    let mut left = input.mass;
    for part in &held {
        left = left.minus(part.mass.minus(part.residue)?)?;
    }
    let tolerance = input.mass.times(Ratio::new(TOLERANCE.0, TOLERANCE.1)?)?;
    let (mut to_mix, mut surplus, mut overs_used) = (left, Ratio::ZERO, Ratio::ZERO);
    if !held.is_empty() {
        let over = Ratio::ZERO.minus(left)?;
        if left <= tolerance {
            to_mix = Ratio::ZERO;
            surplus = if over > tolerance { over } else { Ratio::ZERO };
        } else if left <= input.overs {
            (to_mix, overs_used) = (Ratio::ZERO, left);
        }
    }
    let split = split(SplitInput { mass: Ratio::ZERO, steps: None, bowl: input.bowl });
    let split = split.map_err(|_| Overflow)?;
    Ok(Drafted { surplus, overs_used, ..Drafted::new(split, held, to_mix) })
}

impl Drafted {
    const fn new(split: Split, held: Vec<HeldPart>, to_mix: Ratio) -> Self {
        Self {
            split,
            held,
            numbers: Vec::new(),
            to_mix,
            surplus: Ratio::ZERO,
            overs_used: Ratio::ZERO,
            dropped: Ratio::ZERO,
            raised_from: None,
            hand_mix: false,
            impossible: None,
        }
    }
}

/// Whole steps that hold a mass.
fn steps_of(steps: Steps, mass: Ratio) -> Result<Steps, Overflow> {
    let count = i64::try_from(mass.over(steps.mass)?.ceil()).map_err(|_| Overflow)?;
    Ok(Steps { count, ..steps })
}

/// What a person decided for loads under the mixer's minimum.
fn decide(
    input: &DraftInput<'_>,
    wanted: SplitInput,
    drafted: &mut Drafted,
) -> Result<(), SplitError> {
    let (Some(decision), true) = (input.by_hand.decision, drafted.split.under_minimum) else {
        return Ok(());
    };
    match decision {
        Decision::HandMix => {
            // By hand nothing stays behind that the bowl would keep.
            drafted.split = split(SplitInput { bowl: None, ..wanted })?;
            drafted.hand_mix = true;
        }
        Decision::Drop => {
            drafted.dropped = drafted.to_mix;
            drafted.to_mix = Ratio::ZERO;
            drafted.split = split(SplitInput { mass: Ratio::ZERO, steps: None, bowl: input.bowl })?;
        }
        Decision::RaiseToMinimum => {
            let Some(bowl) = input.bowl else { return Ok(()) };
            let loads = drafted.split.loads;
            let each = bowl.minimum.minus(bowl.residue)?;
            let mass = each.times(Ratio::whole(loads.into()))?;
            let steps = wanted.steps.map(|steps| steps_of(steps, mass)).transpose()?;
            drafted.raised_from = Some(drafted.to_mix);
            drafted.to_mix = mass;
            drafted.split = split_into(SplitInput { mass, steps, ..wanted }, loads)?;
        }
    }
    drafted.split.under_minimum = false;
    Ok(())
}

/// The lowest numbers that no load of the batch has or had.
fn free_numbers(held: &[(u32, &HeldLoad)], loads: i64) -> Vec<i64> {
    let taken: BTreeSet<i64> = held.iter().map(|(_, load)| load.number).collect();
    let wanted = usize::try_from(loads).unwrap_or(0);
    (1..).filter(|number| !taken.contains(number)).take(wanted).collect()
}

/// How much of a batch is only for overs: the first thing that is cut.
pub(super) fn overs_mass(
    plan: &Plan,
    date: Date,
    recipe: &Recipe,
    asked: &[Ask],
) -> Result<Ratio, Overflow> {
    let mut mass = Ratio::ZERO;
    for ask in asked {
        let AskedBy::Product(product) = ask.by else { continue };
        let Some(line) = plan.demand.of(date, product) else { continue };
        let overs = line.overs();
        if overs > 0 && line.start > 0 && line.computed.is_none() {
            let share = Ratio::new(overs.into(), line.start.into())?;
            mass = mass.plus(ask.amount.times(share)?)?;
        }
    }
    mass.over(recipe.remaining)
}

/// Whether a held load was released with another version of its formula.
///
/// The same version has the same lines in the same order, each its share of the load.
fn formula_changed(
    bakery: &Bakery,
    recipe: &Recipe,
    lines: &[RecipeLine],
    load: &HeldLoad,
) -> Result<bool, Overflow> {
    let factor = match recipe.driver {
        Driver::Batch { bowl_ug, .. } => load.mass.over(bowl_ug)?,
        Driver::Mass | Driver::Blocks { .. } => {
            load.mass.over(Ratio::whole(recipe.parts_sum.into()))?
        }
    };
    if lines.len() != load.lines.len() {
        return Ok(true);
    }
    for (line, held) in lines.iter().zip(&load.lines) {
        let same = bakery.item(line.item).code == held.item
            && line.flags.counted() == held.counted
            && factor.times(Ratio::whole(line.parts.into()))? == held.exact;
        if !same {
            return Ok(true);
        }
    }
    Ok(false)
}

impl Plan {
    /// What a person should know of a batch's held loads and of what was set by hand.
    pub(super) fn note_held(
        &mut self,
        bakery: &Bakery,
        (service_date, item): (Date, u32),
        drafted: &Drafted,
        no_mixer: Option<CannotSet>,
        older: Vec<i64>,
    ) {
        let code = &bakery.item(item).code;
        let amounts = [drafted.surplus, drafted.overs_used, drafted.dropped];
        for (at, ug) in amounts.into_iter().enumerate().filter(|(_, ug)| ug.is_positive()) {
            self.findings.push(match at {
                0 => Finding::Surplus { item, service_date, ug },
                1 => Finding::OversUsed { item, service_date, ug },
                _ => Finding::Dropped { item, service_date, ug },
            });
        }
        if !older.is_empty() && drafted.split.loads > 0 {
            self.findings.push(Finding::FormulaChanged { item, service_date, loads: older });
        }
        if let Some(reason) = no_mixer {
            self.impossible(service_date, OverrideKind::Mixer, code, reason);
        }
        if let Some(reason) = &drafted.impossible {
            self.impossible(service_date, OverrideKind::Loads, code, reason.clone());
        }
    }
}

/// Numbers of the loads that were released with another version of the formula.
pub(super) fn older(
    bakery: &Bakery,
    recipe: &Recipe,
    lines: &[RecipeLine],
    held: &[(u32, &HeldLoad)],
) -> Result<Vec<i64>, Overflow> {
    let mut numbers = Vec::new();
    for (_, load) in held.iter().filter(|(_, load)| load.state.covers()) {
        if formula_changed(bakery, recipe, lines, load)? {
            numbers.push(load.number);
        }
    }
    Ok(numbers)
}

/// What held loads take together, item by item: what is weighed by the scale, what is folded
/// exactly.
pub(super) fn issues(
    bakery: &Bakery,
    held: &[(u32, &HeldLoad)],
    folded: bool,
) -> Result<Vec<Issue>, Overflow> {
    let mut issues: Vec<Issue> = Vec::new();
    let covering = held.iter().filter(|(_, load)| load.state.covers());
    for line in covering.flat_map(|(_, load)| &load.lines) {
        let Some(item) = bakery.index().item(line.item.as_str()) else { continue };
        let micro = if folded { line.exact } else { Ratio::whole(line.micro.into()) };
        let same = |issue: &&mut Issue| {
            (issue.item, issue.counted, issue.previous_batch)
                == (item, line.counted, line.previous_batch)
        };
        match issues.iter_mut().find(same) {
            Some(issue) => issue.micro = issue.micro.plus(micro)?,
            None => issues.push(Issue {
                item,
                micro,
                counted: line.counted,
                previous_batch: line.previous_batch,
                count: None,
            }),
        }
    }
    Ok(issues)
}

/// The exact seed that held loads of a levain take of the build before.
pub(super) fn seed(
    bakery: &Bakery,
    item: u32,
    held: &[(u32, &HeldLoad)],
) -> Result<Ratio, Overflow> {
    let code = &bakery.item(item).code;
    let mut seed = Ratio::ZERO;
    let covering = held.iter().filter(|(_, load)| load.state.covers());
    for line in covering.flat_map(|(_, load)| &load.lines) {
        if line.previous_batch && line.item == *code {
            seed = seed.plus(line.exact)?;
        }
    }
    Ok(seed)
}

/// Pieces of a product that held loads give.
pub(super) fn pieces(bakery: &Bakery, product: u32, held: &[(u32, &HeldLoad)]) -> i64 {
    let code = &bakery.product(product).code;
    let covering = held.iter().filter(|(_, load)| load.state.covers());
    let pieces = covering.flat_map(|(_, load)| &load.pieces);
    pieces.filter(|(of, _)| of == code).map(|&(_, pieces)| pieces).sum()
}
