//! What a piece costs by formula and current price.

use super::{
    amount::instant,
    labour::{LabourLineView, labour_view},
};
use crate::{
    messages::Sentence,
    service::{
        Refusal,
        plan::{Morning, refused},
    },
};
use domain::plan::cost::{Cost, CostPart, ProductCost};
use jiff::civil::Date;
use serde::Serialize;
use utoipa::ToSchema;

/// The standard cost of one product for one service date.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductCostView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Always `standard`: current prices on exact masses; never what a lot really cost.
    #[schema(example = "standard")]
    pub kind: &'static str,
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// For which service date.
    #[schema(example = "2026-06-12")]
    pub service_date: String,
    /// Three letters of ISO 4217.
    #[schema(example = "EUR")]
    pub currency: String,
    /// Pieces begun.
    pub start: i64,
    /// Good pieces planned.
    pub good_planned: i64,
    /// Whether every price is known; if not, the figures are at least so much.
    pub known: bool,
    /// Items without a price.
    pub missing: Vec<String>,
    /// Of a good piece.
    pub per_good_piece: CostView,
    /// Of a start piece, by what goes into it.
    pub parts: Vec<CostPartView>,
    /// What the hands cost, in no other figure; null as long as the site counts none.
    pub labour: Option<LabourLineView>,
    /// The cost of a good piece in words.
    #[schema(value_type = String, example = "0.2566 EUR")]
    pub printed: Sentence,
}

/// A cost: exact in minor units, and as it stands on paper.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CostView {
    /// Minor units, half up to six places.
    #[schema(example = "25.657801")]
    pub minor_units_exact: String,
    /// Major units, half up to four places.
    #[schema(example = "0.2566")]
    pub printed: String,
}

/// What one part of a start piece costs.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CostPartView {
    /// The item, formula or product.
    #[schema(example = "laminated")]
    pub of: String,
    /// What it costs.
    pub cost: CostView,
    /// Items in it without a price.
    pub missing: Vec<String>,
}

/// The standard cost of a product for a service date; none if none of it is made then.
///
/// # Errors
/// [`Refusal`] if a sum is beyond all bounds.
pub fn cost(
    morning: &Morning,
    product: u32,
    date: Date,
) -> Result<Option<ProductCostView>, Refusal> {
    let Some(found) = morning.standard_costs().product(date, product) else { return Ok(None) };
    let labour = labour_view(morning, date, &[found])?;
    let labour = labour.and_then(|mut labour| labour.products.pop());
    Ok(Some(ProductCostView { labour, ..view(morning, found) }))
}

fn view(morning: &Morning, found: &ProductCost) -> ProductCostView {
    let bakery = &morning.bakery;
    let ProductCost { product, service_date, per_good_piece, parts, start, good } = found;
    let currency = bakery.site().currency.to_string();
    let per_piece = cost_view(per_good_piece);
    let missing = missing(morning, per_good_piece);
    let printed = format!("{} {currency}", per_piece.printed);
    let printed = at_least(Sentence::amount(printed), missing.len());
    let part = |(of, cost): &(CostPart, Cost)| CostPartView {
        of: match *of {
            CostPart::Item(item) => bakery.item(item).code.to_string(),
            CostPart::Product(product) => bakery.product(product).code.to_string(),
        },
        cost: cost_view(cost),
        missing: self::missing(morning, cost),
    };
    ProductCostView {
        plan_revision: morning.plan_revision,
        made_at: instant(&bakery.site().time_zone, morning.now),
        kind: "standard",
        product: bakery.product(*product).code.to_string(),
        service_date: service_date.to_string(),
        currency,
        start: *start,
        good_planned: *good,
        known: missing.is_empty(),
        missing,
        per_good_piece: per_piece,
        parts: parts.iter().map(part).collect(),
        labour: None,
        printed,
    }
}

/// A sum in words; with a price missing it is at least so much.
pub(super) fn at_least(sum: Sentence, missing: impl TryInto<i64>) -> Sentence {
    match missing.try_into().unwrap_or(i64::MAX) {
        0 => sum,
        missing => Sentence::of("cost-at-least").with("sum", sum).with("missing", missing),
    }
}

/// What lines of whole minor units sum to.
///
/// # Errors
/// [`Refusal`] beyond all bounds.
pub(super) fn total_of(lines: &[i64]) -> Result<i64, Refusal> {
    let total = lines.iter().try_fold(0_i64, |sum, minor| sum.checked_add(*minor));
    total.ok_or_else(|| refused("the sum is beyond all bounds"))
}

pub(super) fn cost_view(cost: &Cost) -> CostView {
    CostView { minor_units_exact: cost.minor_decimal(), printed: cost.major_decimal() }
}

pub(super) fn missing(morning: &Morning, cost: &Cost) -> Vec<String> {
    cost.missing.iter().map(|&item| morning.bakery.item(item).code.to_string()).collect()
}
