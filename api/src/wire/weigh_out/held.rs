//! Pages of released loads: as they were released, with lots that are still there.

use super::{
    LotProposalView, StateByView, Tub, WeighLineView, WeighPageView,
    lots::{Handout, Proposal},
    page::{ONE_PERSON_UG, short, undecided},
};
use crate::{
    messages::Sentence,
    service::{
        loads::{DrawBody, LineBody, Load},
        plan::Morning,
    },
    wire::{
        allergens::AllergensView,
        amount::{QuantityView, instant},
        printed::{self, PrintedView},
        why::link,
    },
};
use domain::{
    allergens::{Allergens, item_allergens},
    bakery::Bakery,
    id::Code,
    load::{HeldLoad, LoadState},
    plan::{Batch, HeldPart, NeedUser, why::WhyOf},
    quantity::Unit,
    ratio::{Overflow, Ratio},
};
use jiff::civil::Date;

/// Pages of a batch's released loads that start on a local date, and what they weigh together.
pub(super) fn pages(
    morning: &Morning,
    batch: &Batch,
    work_date: Date,
) -> Result<(Vec<WeighPageView>, i64), Overflow> {
    let (mut pages, mut sum_ug) = (Vec::new(), 0_i64);
    for part in &batch.held {
        let held = &morning.book.held[part.at as usize];
        let Some(load) = morning.load_of(part.at) else { continue };
        if morning.local_date(held.starts_at) == work_date {
            pages.push(page(morning, batch, part, (held, load))?);
            sum_ug = sum_ug.checked_add(load.body.sum_ug).ok_or(Overflow)?;
        }
    }
    Ok((pages, sum_ug))
}

fn page(
    morning: &Morning,
    batch: &Batch,
    part: &HeldPart,
    (held, load): (&HeldLoad, &Load),
) -> Result<WeighPageView, Overflow> {
    let zone = &morning.bakery.site().time_zone;
    let user = NeedUser::Formula(batch.item);
    let mut handout = Handout::of_load(morning, user, batch.service_date, Some(part.number));
    let mut lines = Vec::with_capacity(load.body.lines.len());
    for body in &load.body.lines {
        let proposal = match morning.bakery.index().item(&body.item) {
            // What is not weighed yet may have to take another lot than was proposed.
            // Fruit is cut for all loads together: there the proposal stays.
            Some(item) if held.state.is_to_weigh() && fruit_of(morning, item).is_none() => {
                handout.take(item, Ratio::whole(body.micro.into()))?
            }
            _ => Proposal { lots: as_proposed(&morning.bakery, load, body), unmet_micro: 0 },
        };
        lines.push(line(morning, batch, part.number, (body, proposal)));
    }
    lines.sort_by_key(|line| line.number);
    let sum_ug = load.body.sum_ug;
    Ok(WeighPageView {
        load: part.number,
        id: load.id.clone(),
        state: load.state.word(),
        state_by: Some(StateByView { who: load.who.clone(), at: instant(zone, load.happened_at) }),
        done: load.state > LoadState::Released,
        starts_at: instant(zone, load.starts_at),
        mixes_at: held.mixes.map(|(start, _)| instant(zone, start)),
        mixer: load.body.mixer.clone(),
        mixer_name: load.body.mixer_name.clone(),
        mix_mass: QuantityView::mass(part.mass),
        weighed: QuantityView::whole(sum_ug, Unit::Gram),
        printed: printed::sum(sum_ug),
        units: load.body.steps,
        notes: load.body.notes.iter().cloned().map(Sentence::from).collect(),
        // Blocks are carried one by one.
        two_people: batch.blocks.is_none() && sum_ug > ONE_PERSON_UG,
        lines,
    })
}

fn line(
    morning: &Morning,
    batch: &Batch,
    number: i64,
    (body, proposal): (&LineBody, Proposal),
) -> WeighLineView {
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(batch.service_date);
    let unit = if body.counted { Unit::Each } else { Unit::Gram };
    let item = bakery.index().item(&body.item);
    let exact = body.exact_ratio().unwrap_or(Ratio::whole(body.micro.into()));
    WeighLineView {
        number: body.number,
        item: body.item.clone(),
        name: item.map_or_else(|| body.item.clone(), |item| bakery.item(item).name.clone()),
        exact: QuantityView::new(exact, unit),
        weigh: QuantityView::whole(body.micro, unit),
        printed: PrintedView {
            amount: body.printed_amount.clone(),
            unit: printed::unit(&body.printed_unit),
        },
        scale: body.scale.clone(),
        state: word(&body.state),
        tub: Tub::of_word(&body.tub).map_or("-", Tub::word),
        short: item.and_then(|item| short(morning, item, &proposal)),
        undecided: item.is_some_and(|item| undecided(morning, item, &proposal)),
        lots: proposal.lots,
        remarks: body.remarks.iter().cloned().map(Sentence::from).collect(),
        // What is known of an item's allergens is said as it is known now.
        allergens: AllergensView::new(
            bakery,
            &match item {
                Some(item) => item_allergens(bakery, recipes, item),
                None => nobody_knows(&body.item),
            },
        ),
        why: match (batch.blocks, item) {
            // Blocks are not weighed: their chain is that of the whole batch.
            (Some(_), _) => link(bakery, WhyOf::Batch(batch.service_date, batch.item)),
            (None, Some(item)) => {
                link(bakery, WhyOf::Line(batch.service_date, batch.item, number, item))
            }
            (None, None) => String::new(),
        },
    }
}

/// The word of a weighing's outcome that was kept.
fn word(text: &str) -> &'static str {
    ["ok", "premix", "refused", "counted"].into_iter().find(|word| *word == text).unwrap_or("ok")
}

fn fruit_of(morning: &Morning, item: u32) -> Option<u32> {
    morning.bakery.index().fruit_of(item)
}

/// What is no longer in the records is not known, which is not none.
fn nobody_knows(item: &str) -> Allergens {
    Allergens { unknown: Code::parse(item).into_iter().collect(), ..Allergens::default() }
}

/// Lots that were proposed for a line when its load was released.
fn as_proposed(bakery: &Bakery, load: &Load, line: &LineBody) -> Vec<LotProposalView> {
    let item = bakery.index().item(&line.item);
    let fruit = item.and_then(|item| bakery.index().fruit_of(item));
    let fruit = fruit.map(|fruit| bakery.item(fruit).code.as_str());
    let own = |draw: &&DrawBody| {
        let same = draw.item == line.item && draw.counted == line.counted;
        same || fruit == Some(draw.item.as_str())
    };
    let lots = load.body.draws.iter().filter(own).flat_map(|draw| {
        let item = bakery.index().item(&draw.item);
        let unit = item.map_or(Unit::Gram, |item| bakery.item(item).base_unit);
        draw.lots.iter().map(move |lot| (lot, unit))
    });
    lots.map(|(lot, unit)| LotProposalView {
        lot: lot.name.clone(),
        amount: QuantityView::whole(lot.micro, unit),
        printed: printed::amount(lot.micro, unit),
        best_before: lot.best_before.clone(),
        usable_until: lot.usable_until.clone(),
    })
    .collect()
}
