//! Toppings, fillings bought in, tin oil, paper: a block per product.

use super::{
    ToppingBlockView, Tub, WeighLineView,
    lots::Handout,
    page::{numbered, scale_code, short, state_remark, undecided},
};
use crate::{
    messages::Sentence,
    service::plan::Morning,
    wire::{
        allergens::AllergensView,
        amount::{QuantityView, instant},
        day_old, overrides, printed,
        requirements::state_word,
        why::link,
    },
};
use domain::{
    allergens::item_allergens,
    item::ItemKind,
    plan::{
        NeedUser, Topping,
        day_old::{DayOldDraw, DayOldError, day_old},
        why::WhyOf,
    },
    quantity::Unit,
    ratio::{Overflow, Ratio},
    scale::WeighState,
};
use jiff::civil::Date;

pub(super) fn toppings(
    morning: &Morning,
    work_date: Date,
) -> Result<Vec<ToppingBlockView>, DayOldError> {
    let Morning { bakery, book, plan, .. } = morning;
    let mut earlier = day_old(bakery, book, plan)?;
    earlier.retain(|draw| morning.local_date(draw.at) == work_date);
    let mut today: Vec<&Topping> = morning
        .plan
        .toppings
        .iter()
        .filter(|topping| morning.local_date(topping.at) == work_date)
        .collect();
    // Product by product in order of first use; a product's lines stay as it lists them.
    today.sort_by_key(|topping| (topping.service_date, topping.product));
    let mut blocks = Vec::new();
    for lines in today.chunk_by(|a, b| (a.service_date, a.product) == (b.service_date, b.product)) {
        let Some(first) = lines.iter().min_by_key(|topping| topping.at) else { continue };
        let of = (first.product, first.service_date);
        let (own, others) = earlier.into_iter().partition(|draw| owner(draw) == of);
        earlier = others;
        blocks.push((first.at, block(morning, of, lines, &own)?));
    }
    // What takes pieces of an earlier bake and nothing else.
    earlier.sort_by_key(owner);
    for draws in earlier.chunk_by(|a, b| owner(a) == owner(b)) {
        let Some(first) = draws.first() else { continue };
        blocks.push((first.at, block(morning, owner(first), &[], draws)?));
    }
    blocks.sort_by_key(|(first, _)| *first);
    Ok(blocks.into_iter().map(|(_, block)| block).collect())
}

/// Which product of which service date takes what was baked before.
const fn owner(draw: &DayOldDraw) -> (u32, Date) {
    (draw.taken_by, draw.service_date)
}

fn block(
    morning: &Morning,
    (product, date): (u32, Date),
    toppings: &[&Topping],
    earlier: &[DayOldDraw],
) -> Result<ToppingBlockView, Overflow> {
    let bakery = &morning.bakery;
    let listed = toppings.first().map(|topping| topping.at);
    let at = listed.or_else(|| earlier.first().map(|draw| draw.at)).unwrap_or(morning.now);
    let mut handout = Handout::new(morning, NeedUser::Product(product), date);
    let mut lines = Vec::with_capacity(toppings.len());
    for topping in toppings {
        lines.push(line(morning, topping, &mut handout)?);
    }
    let day_old = earlier
        .iter()
        .zip(lines.len() + 1..)
        .map(|(draw, number)| WeighLineView { number, ..day_old::line(morning, draw) });
    let same =
        |line: &&domain::demand::PieceLine| (line.product, line.service_date) == (product, date);
    Ok(ToppingBlockView {
        product: bakery.product(product).code.to_string(),
        name: bakery.product(product).name.clone(),
        service_date: date.to_string(),
        at: instant(&bakery.site().time_zone, at),
        pieces: morning.plan.demand.pieces.iter().find(same).map_or(0, |line| line.start),
        overrides: overrides::of_code(morning, date, &bakery.product(product).code),
        day_old: day_old.collect(),
        lines: numbered(lines),
    })
}

fn line(
    morning: &Morning,
    topping: &Topping,
    handout: &mut Handout<'_>,
) -> Result<WeighLineView, Overflow> {
    let bakery = &morning.bakery;
    let item = bakery.item(topping.item);
    let recipes = bakery.recipes(topping.service_date);
    let counted = topping.weighed.state == WeighState::Counted;
    let unit = if counted { Unit::Each } else { Unit::Gram };
    let proposal = handout.take(topping.item, Ratio::whole(topping.weighed.micro.into()))?;
    let mut remarks: Vec<Sentence> = state_remark(topping.weighed.state).into_iter().collect();
    if let Some(fruit) = bakery.index().fruit_of(topping.item) {
        let fruit = &bakery.item(fruit).name;
        remarks.push(Sentence::of("weigh-out-fresh-from").with("fruit", fruit));
    }
    if let Some(count) = topping.count {
        remarks.push(Sentence::of("weigh-out-crack").with("count", count.to_string()));
    }
    let packaging = item.kind == ItemKind::Packaging;
    let of = WhyOf::Topping(topping.service_date, topping.product, topping.item);
    Ok(WeighLineView {
        number: 0,
        item: item.code.to_string(),
        name: item.name.clone(),
        exact: QuantityView::new(topping.exact, unit),
        weigh: QuantityView::whole(topping.weighed.micro, unit),
        printed: printed::line(bakery.scales(), topping.weighed),
        scale: scale_code(morning, topping.weighed),
        state: state_word(topping.weighed.state),
        tub: if packaging { "-" } else { Tub::AtUse.word() },
        short: short(morning, topping.item, &proposal),
        undecided: undecided(morning, topping.item, &proposal),
        lots: proposal.lots,
        remarks,
        allergens: AllergensView::new(bakery, &item_allergens(bakery, recipes, topping.item)),
        why: link(bakery, of),
    })
}
