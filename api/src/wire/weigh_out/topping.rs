//! Toppings, fillings bought in, tin oil, paper: a block per product.

use super::{
    ToppingBlockView, Tub, WeighLineView,
    lots::Handout,
    page::{numbered, scale_code, short, state_remark, undecided},
};
use crate::{
    service::plan::Morning,
    wire::{
        allergens::AllergensView,
        amount::{QuantityView, instant},
        overrides, printed,
        requirements::state_word,
        why::link,
    },
};
use domain::{
    allergens::item_allergens,
    item::ItemKind,
    plan::{NeedUser, Topping, why::WhyOf},
    quantity::Unit,
    ratio::{Overflow, Ratio},
    scale::WeighState,
};
use jiff::civil::Date;

pub(super) fn toppings(
    morning: &Morning,
    work_date: Date,
) -> Result<Vec<ToppingBlockView>, Overflow> {
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
        if let Some(first) = lines.iter().map(|topping| topping.at).min() {
            blocks.push((first, block(morning, lines)?));
        }
    }
    blocks.sort_by_key(|(first, _)| *first);
    Ok(blocks.into_iter().map(|(_, block)| block).collect())
}

fn block(morning: &Morning, toppings: &[&Topping]) -> Result<ToppingBlockView, Overflow> {
    let bakery = &morning.bakery;
    let (product, date, at) = match toppings {
        [first, ..] => (first.product, first.service_date, first.at),
        [] => return Err(Overflow),
    };
    let mut handout = Handout::new(morning, NeedUser::Product(product), date);
    let mut lines = Vec::with_capacity(toppings.len());
    for topping in toppings {
        lines.push(line(morning, topping, &mut handout)?);
    }
    let same =
        |line: &&domain::demand::PieceLine| (line.product, line.service_date) == (product, date);
    Ok(ToppingBlockView {
        product: bakery.product(product).code.to_string(),
        name: bakery.product(product).name.clone(),
        service_date: date.to_string(),
        at: instant(&bakery.site().time_zone, at),
        pieces: morning.plan.demand.pieces.iter().find(same).map_or(0, |line| line.start),
        overrides: overrides::of_code(morning, date, &bakery.product(product).code),
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
    let mut remarks: Vec<String> = state_remark(topping.weighed.state).into_iter().collect();
    if let Some(fruit) = bakery.index().fruit_of(topping.item) {
        remarks.push(format!("take it fresh from {}", bakery.item(fruit).name));
    }
    if let Some(count) = topping.count {
        remarks.push(format!("crack or cut {count}, then weigh"));
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
        allergens: AllergensView::new(&item_allergens(bakery, recipes, topping.item)),
        why: link(bakery, of),
    })
}
