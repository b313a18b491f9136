//! Laminated dough on its page: whole blocks, each with its sheet.

use super::{
    Tub, WeighLineView, WeighPageView,
    lots::Handout,
    page::{Of, numbered, short, undecided},
};
use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        allergens::AllergensView,
        amount::QuantityView,
        printed::{self, PrintedView},
        why::link,
    },
};
use domain::{
    allergens::item_allergens,
    plan::{Batch, why::WhyOf},
    quantity::Unit,
    ratio::{Overflow, Ratio},
};

/// What all blocks weigh with their sheets; sheets without a weight each are left out.
pub(crate) fn blocks_mass(morning: &Morning, batch: &Batch) -> Result<Ratio, Overflow> {
    let mut mass = Ratio::ZERO;
    for issue in &batch.issues {
        let grams = morning.bakery.item(issue.item).grams_per_base_unit();
        let grams = if issue.counted { grams.unwrap_or(Ratio::ZERO) } else { Ratio::ONE };
        mass = mass.plus(issue.micro.times(grams)?)?;
    }
    Ok(mass)
}

/// The same in whole micrograms.
pub(crate) fn blocks_ug(morning: &Morning, batch: &Batch) -> Result<i64, Overflow> {
    i64::try_from(blocks_mass(morning, batch)?.round_half_up()?).map_err(|_| Overflow)
}

/// What a hand should know of blocks.
pub(crate) const fn folded() -> Sentence {
    Sentence::of("weigh-out-folded")
}

/// The lines of blocks that are to be folded, each with its number: base dough and sheets.
pub(crate) fn blocks_lines(
    morning: &Morning,
    batch: &Batch,
    handout: &mut Handout<'_>,
) -> Result<Vec<WeighLineView>, Overflow> {
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(batch.service_date);
    let blocks = batch.blocks.unwrap_or(0);
    let mut lines = Vec::new();
    for issue in &batch.issues {
        let made = recipes.of_item(issue.item).is_some();
        let unit = if issue.counted { Unit::Each } else { Unit::Gram };
        let proposal = handout.take(issue.item, issue.micro)?;
        let whole = i64::try_from(issue.micro.round_half_up()?).map_err(|_| Overflow)?;
        let mut remarks = Vec::new();
        let printed = if issue.counted || !made {
            printed::amount(whole, unit)
        } else {
            let evenly = Sentence::of("weigh-out-blocks-evenly");
            remarks.push(evenly.with("blocks", blocks.to_string()));
            PrintedView { amount: blocks.to_string(), unit: "blocks" }
        };
        lines.push(WeighLineView {
            number: 0,
            item: bakery.item(issue.item).code.to_string(),
            name: bakery.item(issue.item).name.clone(),
            exact: QuantityView::new(issue.micro, unit),
            weigh: QuantityView::new(issue.micro, unit),
            printed,
            scale: None,
            state: if issue.counted { "counted" } else { "ok" },
            tub: if made { Tub::Own.word() } else { Tub::Cold.word() },
            short: short(morning, issue.item, &proposal),
            undecided: undecided(morning, issue.item, &proposal),
            lots: proposal.lots,
            remarks,
            allergens: AllergensView::new(bakery, &item_allergens(bakery, recipes, issue.item)),
            why: link(bakery, WhyOf::Batch(batch.service_date, batch.item)),
        });
    }
    Ok(numbered(lines))
}

/// Laminated dough: whole blocks of base dough, each with its sheet.
pub(super) fn blocks_page(
    morning: &Morning,
    batch: &Batch,
    handout: &mut Handout<'_>,
    mass_ug: i64,
) -> Result<WeighPageView, Overflow> {
    let lines = blocks_lines(morning, batch, handout)?;
    let of = Of::new(morning, batch);
    let load = batch.number(0);
    Ok(WeighPageView {
        load,
        id: of.draft_id(load),
        state: "draft",
        state_by: None,
        done: false,
        starts_at: of.starts_at(batch.made_at),
        mixes_at: None,
        mixer: None,
        mixer_name: None,
        mix_mass: QuantityView::mass(blocks_mass(morning, batch)?),
        weighed: QuantityView::whole(mass_ug, Unit::Gram),
        printed: printed::sum(mass_ug),
        units: batch.blocks,
        notes: vec![folded()],
        // Blocks are carried one by one.
        two_people: false,
        lines,
    })
}
