//! What the hands cost: a line of its own, in no other sum.

use super::{
    amount::MoneyView,
    cost::{CostView, cost_view, total_of},
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::{Morning, refused},
    },
};
use domain::{
    figure::Figure,
    money::whole_minor,
    plan::cost::{Cost, LabourGap, ProductCost, ProductLabour, labour},
};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// The labour of one service date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LabourView {
    /// Product by product; minutes that several have in common are shared by their dough.
    pub products: Vec<LabourLineView>,
    /// Attended minutes of all of them.
    #[schema(example = "412.0")]
    pub minutes: String,
    /// What they cost; the lines sum to it.
    pub total: MoneyView,
    /// Whether all minutes and wages are known; if not, it is at least so much.
    pub known: bool,
    /// The same in words.
    #[schema(value_type = String, example = "412.0 min, 164.80 EUR")]
    pub printed: Sentence,
}

/// The labour of one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LabourLineView {
    /// Its code.
    #[schema(example = "croissant")]
    pub product: String,
    /// What people call it.
    pub name: String,
    /// Attended minutes of all its pieces, half up to a tenth.
    #[schema(example = "61.5")]
    pub minutes: String,
    /// Of a good piece.
    pub per_good_piece: CostView,
    /// Of all of them.
    pub total: MoneyView,
    /// What is not known: times, or the wage of a team.
    #[schema(value_type = Vec<String>, example = json!([]))]
    pub missing: Vec<Sentence>,
    /// The cost of a good piece in words.
    #[schema(value_type = String, example = "0.1100 EUR")]
    pub printed: Sentence,
}

/// The labour of a service date; none as long as the site counts none.
///
/// # Errors
/// [`Refusal`] if a sum is beyond all bounds.
pub(super) fn labour_view(
    morning: &Morning,
    date: Date,
    products: &[&ProductCost],
) -> Result<Option<LabourView>, Refusal> {
    let bakery = &morning.bakery;
    let Some(found) = labour(bakery, &morning.plan, date) else { return Ok(None) };
    let of = |cost: &&&ProductCost| found.contains_key(&cost.product);
    let lines: Vec<(&ProductCost, &ProductLabour)> =
        products.iter().filter(of).map(|cost| (*cost, &found[&cost.product])).collect();
    let sums: Vec<Figure> = lines.iter().map(|(_, one)| one.minor.clone()).collect();
    let sums = whole_minor(&sums).map_err(refused)?;
    let money = |minor_units| MoneyView::new(minor_units, bakery.site().currency);
    let total = money(total_of(&sums)?);
    let minutes: Figure = lines.iter().map(|(_, one)| &one.minutes).sum();
    let minutes = minutes.decimal(1);
    let known = lines.iter().all(|(_, one)| one.missing.is_empty());
    let products = lines.iter().zip(sums).map(|((cost, one), minor)| {
        let product = bakery.product(cost.product);
        let each = Cost::of(one.per_good_piece(cost.good).unwrap_or_default());
        let missing: Vec<Sentence> = one.missing.iter().map(words).collect();
        let printed = format!("{} {}", each.major_decimal(), bakery.site().currency);
        let printed = Sentence::amount(printed);
        LabourLineView {
            product: product.code.to_string(),
            name: product.name.clone(),
            minutes: one.minutes.decimal(1),
            per_good_piece: cost_view(&each),
            total: money(minor),
            printed: at_least(missing.is_empty(), printed),
            missing,
        }
    });
    Ok(Some(LabourView {
        products: products.collect(),
        printed: at_least(
            known,
            Sentence::of("cost-minutes")
                .with("minutes", Sentence::digits(&*minutes))
                .with("money", Sentence::amount(total.said())),
        ),
        minutes,
        total,
        known,
    }))
}

fn at_least(known: bool, sum: Sentence) -> Sentence {
    if known { sum } else { Sentence::of("cost-labour-at-least").with("sum", sum) }
}

fn words(gap: &LabourGap) -> Sentence {
    match gap {
        LabourGap::NoTimes => Sentence::of("cost-no-times"),
        LabourGap::NoWage(team) => Sentence::of("cost-no-wage").with("team", team.to_string()),
    }
}
