//! A draft load written down as it stands on its page, to be kept.

use crate::{
    messages::Sentence,
    service::{
        loads::{DrawBody, LineBody, LoadBody, LotBody, fraction},
        plan::Morning,
    },
    wire::{
        amount::instant,
        weigh_out::{
            Handout, WeighLineView, blocks_lines, blocks_mass, blocks_ug, folded, load_lines,
            page_notes,
        },
    },
};
use domain::{
    plan::{AskedBy, Batch, BatchGroup, LoadDraw, NeedUser},
    ratio::{Overflow, Ratio},
    weigh::exact,
};
use jiff::civil::Date;

/// Writes down a draft load of a batch, counted from 0.
///
/// # Errors
/// [`Overflow`] if an exact amount cannot be written.
pub fn frozen(morning: &Morning, batch: &Batch, draft: usize) -> Result<LoadBody, Overflow> {
    let bakery = &morning.bakery;
    let recipe = &bakery.recipes(batch.service_date).recipes[batch.recipe as usize];
    let formula = bakery.formula_of(recipe);
    let mixer = batch.mixer.map(|at| &bakery.lists().mixers[at as usize]);
    let Frozen { mass, steps, sum_ug, notes, lines } = match batch.blocks {
        Some(blocks) => laminated(morning, batch, blocks)?,
        None => mixed(morning, batch, draft)?,
    };
    let draws = morning.plan.draws_of(bakery, batch, draft)?;
    Ok(LoadBody {
        name: if formula.name.is_empty() {
            bakery.item(batch.item).name.clone()
        } else {
            formula.name.clone()
        },
        formula_valid_from: stated(formula.valid_from),
        mixer: mixer.map(|mixer| mixer.code.to_string()),
        mixer_name: mixer.map(|mixer| mixer.name.clone()),
        mix: batch.mix,
        mixes: mixes(batch, draft),
        mass: fraction(mass),
        residue: fraction(batch.split.residue),
        steps,
        sum_ug,
        notes: notes.iter().map(Sentence::kept).collect(),
        lines,
        draws: draws.iter().map(|draw| draw_body(morning, draw)).collect(),
        pieces: pieces(morning, batch, draft),
    })
}

/// What a page says, mixed or folded.
struct Frozen {
    mass: Ratio,
    steps: Option<i64>,
    sum_ug: i64,
    notes: Vec<Sentence>,
    lines: Vec<LineBody>,
}

fn mixed(morning: &Morning, batch: &Batch, draft: usize) -> Result<Frozen, Overflow> {
    let (group, lines, [counted, apart]) = page(morning, batch, draft)?;
    Ok(Frozen {
        mass: group.group.mass,
        steps: group.group.steps,
        sum_ug: sum_ug(morning, batch, group)?,
        notes: page_notes(group, counted, apart)?,
        lines,
    })
}

/// All blocks that are left, as one load.
fn laminated(morning: &Morning, batch: &Batch, blocks: i64) -> Result<Frozen, Overflow> {
    let user = NeedUser::Formula(batch.item);
    let mut handout = Handout::new(morning, user, batch.service_date);
    let views = blocks_lines(morning, batch, &mut handout)?;
    let mut lines = Vec::with_capacity(views.len());
    for (view, issue) in views.into_iter().zip(&batch.issues) {
        lines.push(LineBody {
            exact: fraction(issue.micro),
            micro: i64::try_from(issue.micro.round_half_up()?).map_err(|_| Overflow)?,
            counted: issue.counted,
            ..line_body(view)
        });
    }
    Ok(Frozen {
        mass: blocks_mass(morning, batch)?,
        steps: Some(blocks),
        sum_ug: blocks_ug(morning, batch)?,
        notes: vec![folded()],
        lines,
    })
}

/// When a draft is in its mixer.
fn mixes(batch: &Batch, draft: usize) -> Option<(String, String)> {
    let number = batch.number(draft);
    let times = batch.load_times.iter().find(|times| times.load == number)?;
    Some((times.start.to_string(), times.end.to_string()))
}

/// When a version began to be valid; none if it always was.
fn stated(valid_from: Date) -> Option<String> {
    (valid_from > Date::MIN).then(|| valid_from.to_string())
}

/// The group of a draft load, and its lines as the page shows them.
fn page<'a>(
    morning: &Morning,
    batch: &'a Batch,
    draft: usize,
) -> Result<(&'a BatchGroup, Vec<LineBody>, [u32; 2]), Overflow> {
    let mut first = 0_usize;
    for group in &batch.groups {
        let loads = usize::try_from(group.group.loads).map_err(|_| Overflow)?;
        if draft < first + loads {
            let mut handout =
                Handout::new(morning, NeedUser::Formula(batch.item), batch.service_date);
            let number = batch.number(draft);
            let (views, _, marks) = load_lines(morning, batch, group, number, &mut handout)?;
            let mut lines = Vec::with_capacity(views.len());
            let weighed = morning.plan.lines_of(&morning.bakery, batch, group);
            for (view, (line, weighed)) in views.into_iter().zip(weighed) {
                let whole = exact(line, group.factor)?;
                lines.push(LineBody {
                    exact: fraction(whole),
                    micro: weighed.micro,
                    counted: line.flags.counted(),
                    previous_batch: line.flags.previous_batch(),
                    ..line_body(view)
                });
            }
            return Ok((group, lines, marks));
        }
        first += loads;
    }
    Err(Overflow)
}

fn line_body(view: WeighLineView) -> LineBody {
    let WeighLineView {
        number,
        item,
        name: _,
        exact: _,
        weigh: _,
        printed,
        scale,
        state,
        tub,
        lots: _,
        short: _,
        undecided: _,
        remarks,
        allergens: _,
        why: _,
    } = view;
    LineBody {
        number,
        item,
        exact: String::new(),
        micro: 0,
        counted: false,
        previous_batch: false,
        printed_amount: printed.amount,
        printed_unit: printed.unit.to_owned(),
        scale,
        state: state.to_owned(),
        tub: tub.to_owned(),
        remarks: remarks.iter().map(Sentence::kept).collect(),
    }
}

/// Sum of a load's weighed lines, in micrograms.
fn sum_ug(morning: &Morning, batch: &Batch, group: &BatchGroup) -> Result<i64, Overflow> {
    let lines = morning.plan.lines_of(&morning.bakery, batch, group);
    let weighed = lines.filter(|(line, _)| !line.flags.counted()).map(|(_, weighed)| weighed.micro);
    weighed.into_iter().try_fold(0_i64, |sum, ug| sum.checked_add(ug)).ok_or(Overflow)
}

fn draw_body(morning: &Morning, draw: &LoadDraw) -> DrawBody {
    let zone = &morning.bakery.site().time_zone;
    let lot = |&(lot, micro): &(u32, i64)| {
        let found = &morning.book.lots[lot as usize];
        LotBody {
            id: found.id.clone(),
            name: found.name.clone(),
            micro,
            best_before: found.date.map(|date| date.to_string()),
            usable_until: found.usable_until.map(|at| instant(zone, at)),
        }
    };
    DrawBody {
        item: morning.bakery.item(draw.item).code.to_string(),
        micro: draw.micro,
        issue: fraction(draw.issue),
        counted: draw.counted,
        lots: draw.lots.iter().map(lot).collect(),
    }
}

/// Whole pieces of each product that a draft load gives.
fn pieces(morning: &Morning, batch: &Batch, draft: usize) -> Vec<(String, i64)> {
    let code = |product: u32| morning.bakery.product(product).code.to_string();
    if let Some(load) = batch.pieces_per_load.get(draft) {
        return load.pieces.iter().map(|&(product, pieces)| (code(product), pieces)).collect();
    }
    // One load gives all pieces that are divided from it.
    let recipes = morning.bakery.recipes(batch.service_date);
    let demand = &morning.plan.demand.pieces;
    // What is folded is no dough of a product's own, and its pieces are cut from it all the same.
    let cut =
        |product: u32| batch.blocks.is_some() || recipes.dough_of(product) == Some(batch.item);
    let divided = batch.asked.iter().filter_map(|ask| match ask.by {
        AskedBy::Product(product) if cut(product) => Some(product),
        _ => None,
    });
    let start = |product: u32| {
        let key = (batch.service_date, product);
        let found = demand.binary_search_by_key(&key, |line| (line.service_date, line.product));
        found.map_or(0, |at| demand[at].start)
    };
    // Blocks that are folded later give what those before them do not.
    let held = |code: &str| -> i64 {
        let loads = batch.held.iter().filter(|_| batch.blocks.is_some());
        let pieces = loads.flat_map(|part| &morning.book.held[part.at as usize].pieces);
        pieces.filter(|(of, _)| of.as_str() == code).map(|(_, pieces)| *pieces).sum()
    };
    let open = |product| {
        let code = code(product);
        let pieces = (start(product) - held(&code)).max(0);
        (code, pieces)
    };
    divided.map(open).collect()
}
