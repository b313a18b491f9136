//! Nutrition as it is declared; what is missing is said, never lowered in silence.

use super::{allergen_matrix::notes, allergens::DEFER, amount::instant, named};
use crate::{
    messages::Sentence,
    service::{Refusal, plan::Morning},
};
use domain::{
    bakery::Bakery,
    nutrition::Declared,
    plan::statement::{Declaration, Statement},
    ratio::big_decimal,
    regulation::{NutritionStyle, Regulation},
};
use serde::Serialize;
use utoipa::ToSchema;

/// The nutrition of a product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductNutritionView {
    /// Which product.
    #[schema(example = "croissant")]
    pub product: String,
    /// Counts every change of what the answer is made from.
    pub version: i64,
    /// The date for which formulas and records hold.
    #[schema(example = "2026-06-10")]
    pub as_of: String,
    /// When it was made: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Code of the regulation.
    #[schema(example = "eu")]
    pub regulation: String,
    /// The figures.
    pub nutrition: NutritionView,
    /// What a person should know first.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Who decides.
    pub defer: &'static str,
}

/// Nutrition by one law's factors and roundings.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NutritionView {
    /// `eu` or `us`.
    #[schema(example = "eu")]
    pub style: &'static str,
    /// What a finished piece weighs in grams; null if nobody said it.
    #[schema(example = "70")]
    pub piece_grams: Option<String>,
    /// For 100 g of the finished product; null if nobody said what a piece weighs.
    pub per_100g: Option<Vec<NutritionLineView>>,
    /// Items that touch it in no recorded amount: what they bring is not in the figures.
    #[schema(value_type = Vec<String>, example = json!(["soft-white"]))]
    pub without: Vec<Sentence>,
    /// For one piece.
    pub per_piece: Vec<NutritionLineView>,
    /// For 100 g as it is mixed and filled, before the oven.
    pub per_100g_before_baking: Vec<NutritionLineView>,
    /// Where the values are from, item by item; `sr28-…` is a food of the USDA National Nutrient
    /// Database for Standard Reference, Release 28, public domain.
    pub sources: Vec<NutrientSourceView>,
}

/// One line of a declaration.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NutritionLineView {
    /// What it states.
    #[schema(example = "fat")]
    pub nutrient: &'static str,
    /// Whether it is part of what stands above it.
    pub of_which: bool,
    /// Its unit.
    #[schema(example = "g")]
    pub unit: &'static str,
    /// What is known of it, half up to six places: all of it only if nothing is missing.
    #[schema(example = "28.508200")]
    pub exact: String,
    /// As the law rounds it; null if a part is missing.
    #[schema(example = "29 g")]
    pub printed: Option<String>,
    /// The same in words: "not known, at least 3.20 g" if a part is missing.
    #[schema(value_type = String, example = "29 g")]
    pub words: Sentence,
    /// Items whose value is missing.
    #[schema(example = json!([]))]
    pub missing: Vec<String>,
}

/// Where the values of an item are from.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NutrientSourceView {
    /// Code of the item.
    #[schema(example = "butter")]
    pub item: String,
    /// Its source; null if it has no values.
    pub source: Option<String>,
    /// Values that stand in the place of that source's.
    pub overrides: Vec<String>,
}

/// A product's nutrition today.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn product_nutrition(
    morning: &Morning,
    product: &str,
    asked: Option<&str>,
) -> Result<ProductNutritionView, Refusal> {
    let (regulation, assumed) = morning.regulation(asked)?;
    let found = morning.statement(product, regulation)?;
    Ok(ProductNutritionView {
        product: product.to_owned(),
        version: morning.plan_revision,
        as_of: morning.today().to_string(),
        made_at: instant(&morning.bakery.site().time_zone, morning.now),
        regulation: regulation.code.to_string(),
        nutrition: nutrition_view(&morning.bakery, regulation, &found),
        notes: notes(assumed),
        defer: DEFER,
    })
}

/// The figures of a statement.
#[must_use]
pub fn nutrition_view(
    bakery: &Bakery,
    regulation: &Regulation,
    found: &Statement,
) -> NutritionView {
    let Declaration { per_100g, per_piece, per_100g_before_baking } = &found.nutrition;
    let lines =
        |lines: &Vec<Declared>| lines.iter().map(|one| nutrition_line(bakery, one)).collect();
    let source = |item: u32| {
        let item = bakery.item(item);
        let overrides = item.nutrients.overrides.iter();
        NutrientSourceView {
            item: item.code.to_string(),
            source: item.nutrients.source.clone(),
            overrides: overrides.map(|(what, from)| format!("{}: {from}", what.word())).collect(),
        }
    };
    NutritionView {
        style: match regulation.nutrition {
            NutritionStyle::Eu => "eu",
            NutritionStyle::Us => "us",
        },
        piece_grams: found.contents.finished.as_ref().map(|grams| big_decimal(grams, 1)),
        per_100g: per_100g.as_ref().map(lines),
        without: found.contents.dusted.iter().map(|&item| named::item(bakery, item)).collect(),
        per_piece: lines(per_piece),
        per_100g_before_baking: lines(per_100g_before_baking),
        sources: found.contents.leaves().into_keys().map(source).collect(),
    }
}

/// One line of a declaration.
pub(super) fn nutrition_line(bakery: &Bakery, declared: &Declared) -> NutritionLineView {
    let Declared { word, of_which, unit, sum, printed } = declared;
    let missing: Vec<String> =
        sum.missing.iter().map(|&item| bakery.item(item).code.to_string()).collect();
    let words = printed.as_ref().map_or_else(
        || {
            Sentence::of("statement-figure-missing")
                .with("amount", Sentence::digits(sum.at_least()))
                .with("unit", *unit)
                .with("missing", i64::try_from(missing.len()).unwrap_or(i64::MAX))
        },
        Sentence::amount,
    );
    NutritionLineView {
        nutrient: word,
        of_which: *of_which,
        unit,
        exact: big_decimal(&sum.amount, 6),
        printed: printed.clone(),
        words,
        missing,
    }
}
