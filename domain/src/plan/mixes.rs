//! What the mixer hand does on a work date: load after load, each with its water.

use super::{
    AskedBy, Batch, Plan,
    hours::{LoadHours, held_hours, load_hours, runs_of},
};
use crate::{
    bakery::{Bakery, Driver, Recipe},
    book::Book,
    equipment::Mixer,
    formula::{Formula, Mixing},
    id::Code,
    load::HeldLoad,
    ratio::{Overflow, Ratio},
    temperature::{Celsius, Kelvin},
    water::{Around, Pour, PourError, pour, water_temperature},
};
use jiff::{Timestamp, civil::Date};
use std::cmp::Reverse;

/// Most that a tub carries unless the house says otherwise, in micrograms.
///
/// # Source
/// The trade rules, part 6: above 25 kg a load gets a lift warning.
const TUB_UG: i128 = 25_000_000_000;

/// Temperatures that a print goes by; what is not there is not guessed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Temperatures {
    /// Of the flour.
    pub flour: Option<Celsius>,
    /// Of the room.
    pub room: Option<Celsius>,
    /// Of the tap water.
    pub tap: Option<Celsius>,
    /// Of preferments and old dough.
    pub preferment: Option<Celsius>,
}

/// What the sum for the water lacks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Missing {
    /// How warm the dough should leave the mixer.
    Target,
    /// What the mixer adds.
    Friction,
    /// How warm the flour is.
    Flour,
    /// How warm the room is.
    Room,
    /// How warm the preferment is.
    Preferment,
    /// How warm the tap runs.
    Tap,
}

/// What went into the sum for the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WaterSum {
    /// How warm the dough should leave the mixer.
    pub target: Celsius,
    /// What is around it.
    pub around: Around,
    /// What the mixer adds.
    pub friction: Kelvin,
    /// How warm the tap runs.
    pub tap: Celsius,
    /// How warm all water must be, before rounding.
    pub wanted: Celsius,
}

/// The water of one load.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LoadWater {
    /// The dough takes none.
    None,
    /// Something is not on file: the box stays blank.
    NotOnFile(Vec<Missing>),
    /// What to pour.
    Poured(WaterSum, Pour),
    /// Even all of it as ice would leave the dough too warm.
    TooCold(WaterSum),
}

/// Something that goes into the bowl.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// Its position among the lines of the recipe; of a released load, among its own.
    pub line: usize,
    /// At which minutes of the mix, in order; none if nobody said.
    pub minutes: Vec<i64>,
}

/// What a load must give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// Pieces of a product, by its position.
    Pieces(u32, i64),
    /// Blocks of base dough for a laminated one, by position of its item.
    Blocks(u32, i64),
}

/// Which load it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MixOf {
    /// A draft, by position of its size in [`Batch::groups`].
    Draft(u32),
    /// One that was released, by position in the book.
    Held(u32),
}

/// One load as its mixer hand needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mix {
    /// Position of its batch in [`Plan::batches`].
    pub batch: u32,
    /// Which load.
    pub of: MixOf,
    /// Its number among the loads of its batch.
    pub load: i64,
    /// When it is mixed; none if no time is on file.
    pub hours: Option<LoadHours>,
    /// Whether a preferment or old dough goes in, whose temperature counts.
    pub preferment: bool,
    /// Water by the scale, in micrograms.
    pub water_ug: i64,
    /// How warm, and how much of it is ice.
    pub water: LoadWater,
    /// Its lines in the order in which they go in.
    pub added: Vec<Added>,
    /// What leaves the bowl, in micrograms: all that is weighed less the residue.
    pub out_ug: i64,
    /// Tubs for it, none heavier than one person lifts.
    pub tubs: i64,
    /// What it must give.
    pub gives: Vec<Gives>,
}

/// Projects a plan to the loads that are mixed on a local date, in order of their start.
///
/// # Errors
/// [`Overflow`]
pub fn mixes(
    bakery: &Bakery,
    book: &Book,
    plan: &Plan,
    work_date: Date,
    temperatures: Temperatures,
) -> Result<Vec<Mix>, Overflow> {
    let zone = &bakery.site().time_zone;
    let on = |at: Timestamp| zone.to_datetime(at).date() == work_date;
    let mut mixes = Vec::new();
    // What is folded in blocks is in no bowl.
    let mixed = (0_u32..).zip(&plan.batches).filter(|(_, batch)| batch.blocks.is_none());
    for (position, batch) in mixed {
        for part in &batch.held {
            let held = &book.held[part.at as usize];
            if on(held.starts_at) {
                let hours = Some(held_hours(bakery, plan, batch, held));
                let asked = Asked { position, of: MixOf::Held(part.at), load: part.number, hours };
                let lines = held_lines(bakery, held);
                mixes.push(mix(bakery, plan, batch, (asked, lines, Some(held)), temperatures)?);
            }
        }
        let sizes = (0_u32..).zip(&batch.groups);
        let sizes = sizes.flat_map(|(group, of)| (0..of.group.loads).map(move |_| group));
        for (draft, group) in sizes.enumerate() {
            let hours = load_hours(bakery, plan, batch, batch.number(draft));
            let at = hours.as_ref().map(|hours| hours.start).or(batch.made_at);
            if at.is_some_and(on) {
                let of = MixOf::Draft(group);
                let asked = Asked { position, of, load: batch.number(draft), hours };
                let lines = draft_lines(bakery, plan, batch, group);
                mixes.push(mix(bakery, plan, batch, (asked, lines, None), temperatures)?);
            }
        }
    }
    // At one time, what is used first: the later in the order of users before used.
    mixes.sort_by_key(|mix| {
        let batch = &plan.batches[mix.batch as usize];
        let start = mix.hours.as_ref().map(|hours| hours.start).or(batch.made_at);
        (start, batch.service_date, Reverse(mix.batch), mix.load)
    });
    Ok(mixes)
}

/// A load that is asked for, and when it is mixed.
struct Asked {
    position: u32,
    of: MixOf,
    load: i64,
    hours: Option<LoadHours>,
}

/// What a mix needs to know of one line.
struct LineFacts {
    code: Code,
    micro: i64,
    counted: bool,
    water: bool,
}

fn draft_lines(bakery: &Bakery, plan: &Plan, batch: &Batch, group: u32) -> Vec<LineFacts> {
    let lines = plan.lines_of(bakery, batch, &batch.groups[group as usize]);
    let facts = lines.map(|(line, weighed)| LineFacts {
        // A substitute goes in when what it replaces does.
        code: bakery.item(line.instead_of.unwrap_or(line.item)).code.clone(),
        micro: weighed.micro,
        counted: line.flags.counted(),
        water: line.flags.water(),
    });
    facts.collect()
}

/// Lines of a released load; what its formula no longer takes stays in it.
fn held_lines(bakery: &Bakery, held: &HeldLoad) -> Vec<LineFacts> {
    let water = |code: &Code| {
        let item = bakery.index().item(code.as_str());
        item.is_some_and(|item| bakery.item(item).water)
    };
    let facts = held.lines.iter().map(|line| LineFacts {
        code: line.item.clone(),
        micro: line.micro,
        counted: line.counted,
        water: water(&line.item),
    });
    facts.collect()
}

fn mix(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    (asked, lines, held): (Asked, Vec<LineFacts>, Option<&HeldLoad>),
    temperatures: Temperatures,
) -> Result<Mix, Overflow> {
    let recipes = bakery.recipes(batch.service_date);
    let recipe = &recipes.recipes[batch.recipe as usize];
    let formula = bakery.formula_of(recipe);
    let mixer = match held {
        Some(held) => held.mixer.as_ref().and_then(|code| bakery.index().mixer(code.as_str())),
        None => batch.mixer,
    };
    let mixer = mixer.map(|at| &bakery.lists().mixers[at as usize]);
    let sum = |wanted: &dyn Fn(&LineFacts) -> bool| {
        let mut micro = lines.iter().filter(|line| wanted(line)).map(|line| line.micro);
        micro.try_fold(0_i64, i64::checked_add).ok_or(Overflow)
    };
    let water_ug = sum(&|line| line.water && !line.counted)?;
    let weighed_ug = sum(&|line| !line.counted)?;
    let preferment = bakery.takes_preferment(recipes, batch.item);
    let minutes = lines.iter().map(|line| minutes_of(formula.mixing.as_ref(), &line.code));
    let residue_ug = match recipe.driver {
        Driver::Batch { .. } => 0,
        Driver::Mass | Driver::Blocks { .. } => mixer.map_or(0, |mixer| mixer.residue_ug),
    };
    let out_ug = (weighed_ug - residue_ug).max(0);
    let tubs = Ratio::new(out_ug.into(), TUB_UG)?.ceil();
    let gives = match held {
        Some(held) => held_gives(bakery, held),
        None => gives(bakery, plan, batch, recipe, asked.load)?,
    };
    Ok(Mix {
        batch: asked.position,
        of: asked.of,
        load: asked.load,
        hours: asked.hours,
        preferment,
        water_ug,
        water: load_water(formula, mixer, water_ug, preferment, temperatures)?,
        added: in_order(minutes.collect()),
        out_ug,
        tubs: i64::try_from(tubs).map_err(|_| Overflow)?,
        gives,
    })
}

/// Pieces that a released load is to give.
fn held_gives(bakery: &Bakery, held: &HeldLoad) -> Vec<Gives> {
    let pieces = held.pieces.iter().filter(|(_, count)| *count > 0);
    pieces
        .filter_map(|(code, count)| {
            Some(Gives::Pieces(bakery.index().product(code.as_str())?, *count))
        })
        .collect()
}

/// The minutes at which a line goes in: at the start unless it is written otherwise.
fn minutes_of(mixing: Option<&Mixing>, code: &Code) -> Vec<i64> {
    let Some(mixing) = mixing else { return Vec::new() };
    let written = mixing.additions.iter().filter(|addition| addition.item == *code);
    let mut minutes: Vec<i64> = written.map(|addition| addition.minute).collect();
    minutes.sort_unstable();
    if minutes.is_empty() { vec![0] } else { minutes }
}

/// By the minute of the first of it; within one, in the formula's order.
fn in_order(minutes: Vec<Vec<i64>>) -> Vec<Added> {
    let mut added: Vec<Added> =
        minutes.into_iter().enumerate().map(|(line, minutes)| Added { line, minutes }).collect();
    added.sort_by_key(|added| added.minutes.first().copied().unwrap_or(0));
    added
}

fn load_water(
    formula: &Formula,
    mixer: Option<&Mixer>,
    water_ug: i64,
    preferment: bool,
    temperatures: Temperatures,
) -> Result<LoadWater, Overflow> {
    if water_ug == 0 {
        return Ok(LoadWater::None);
    }
    let target = formula.mixing.as_ref().and_then(|mixing| mixing.target);
    let friction = mixer.and_then(|mixer| mixer.friction);
    let Temperatures { flour, room, tap, preferment: sponge } = temperatures;
    let (Some(target), Some(friction), Some(flour), Some(room), Some(tap), true) =
        (target, friction, flour, room, tap, sponge.is_some() || !preferment)
    else {
        let missing = [
            (Missing::Target, target.is_none()),
            (Missing::Friction, friction.is_none()),
            (Missing::Flour, flour.is_none()),
            (Missing::Room, room.is_none()),
            (Missing::Preferment, preferment && sponge.is_none()),
            (Missing::Tap, tap.is_none()),
        ];
        let missing = missing.into_iter().filter(|(_, missing)| *missing);
        return Ok(LoadWater::NotOnFile(missing.map(|(what, _)| what).collect()));
    };
    let around = Around { flour, room, preferment: sponge.filter(|_| preferment) };
    let wanted = water_temperature(target, around, friction)?;
    let sum = WaterSum { target, around, friction, tap, wanted };
    match pour(water_ug, tap, wanted) {
        Ok(pour) => Ok(LoadWater::Poured(sum, pour)),
        Err(PourError::TooCold { .. }) => Ok(LoadWater::TooCold(sum)),
        Err(PourError::Overflow(error)) => Err(error),
    }
}

/// Pieces, or blocks, that a load must give.
fn gives(
    bakery: &Bakery,
    plan: &Plan,
    batch: &Batch,
    recipe: &Recipe,
    load: i64,
) -> Result<Vec<Gives>, Overflow> {
    let draft = batch.numbers.iter().position(|number| *number == load);
    if let Some(pieces) = draft.and_then(|draft| batch.pieces_per_load.get(draft)) {
        let pieces = pieces.pieces.iter().filter(|(_, count)| *count > 0);
        return Ok(pieces.map(|&(product, count)| Gives::Pieces(product, count)).collect());
    }
    if batch.all_loads() > 1 {
        return Ok(Vec::new());
    }
    let recipes = bakery.recipes(batch.service_date);
    let mut gives = Vec::new();
    for ask in &batch.asked {
        match ask.by {
            AskedBy::Product(product) if recipes.dough_of(product) == Some(recipe.item) => {
                let runs = runs_of(bakery, plan, batch).filter(|run| run.product == product);
                let timed: i64 = runs.map(|run| run.pieces).sum();
                // Without a time they are all of one mix.
                let all = plan.start_of(batch.service_date, product);
                gives.push(Gives::Pieces(product, if timed > 0 { timed } else { all }));
            }
            AskedBy::Product(_) => {}
            AskedBy::Formula(item) => {
                let blocks = plan.batch(batch.service_date, item).and_then(Batch::all_blocks);
                gives.extend(blocks.map(|blocks| Gives::Blocks(item, blocks)));
            }
        }
    }
    Ok(gives)
}
