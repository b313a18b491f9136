//! The draft of a label: ingredients, quantities, allergens, nutrition.

use super::{
    allergen_matrix::notes,
    allergens::{AllergenAmountView, DEFER, RegulationAllergensView, by_regulation, unknown_items},
    amount::instant,
    nutrition::{NutritionView, nutrition_view},
};
use crate::{
    messages::Sentence,
    service::{Refusal, plan::Morning},
};
use domain::{
    bakery::Bakery,
    label::{AddedWater, Entry, Label, Quantified, Segment},
    plan::statement::Statement,
    ratio::big_decimal,
    regulation::Regulation,
};
use serde::Serialize;
use utoipa::ToSchema;

/// Stands on top of every draft.
const DRAFT: &str = "DRAFT for a competent person: not a label until that person has checked it.";

/// The draft of a product's label.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LabelView {
    /// That it is a draft.
    pub draft: &'static str,
    /// What the bakery is called.
    #[schema(example = "Alder Yard Bakehouse")]
    pub bakery: String,
    /// Which product.
    #[schema(example = "sugar-bun")]
    pub product: String,
    /// The name of the food.
    #[schema(example = "Sugar bun")]
    pub name: String,
    /// Counts every change of what the answer is made from.
    pub version: i64,
    /// The date for which formulas and records hold.
    #[schema(example = "2026-06-10")]
    pub as_of: String,
    /// When it was made: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// Code of the regulation whose style it follows.
    #[schema(example = "eu")]
    pub regulation: String,
    /// What people call it.
    #[schema(example = "European Union")]
    pub regulation_name: String,
    /// The list of ingredients; allergens in capitals.
    #[schema(example = "WHEAT flour, MILK, butter (MILK), sugar, EGG, yeast, salt")]
    pub ingredients: String,
    /// The same in pieces, so that allergens can be printed bold as well.
    pub segments: Vec<SegmentView>,
    /// The list as data, heaviest first.
    pub entries: Vec<LabelEntryView>,
    /// The statement beside the list, where the style has one.
    #[schema(example = json!(null))]
    pub contains: Option<String>,
    /// Allergens as the regulation names them.
    pub allergens: RegulationAllergensView,
    /// Allergens that the regulation declares only above a bound; those below it are not set
    /// off in the list.
    pub amounts: Vec<AllergenAmountView>,
    /// Items whose allergens nobody has read.
    #[schema(value_type = Vec<String>, example = json!([]))]
    pub unknown: Vec<Sentence>,
    /// Quantities of what the name speaks of.
    pub quantities: Vec<String>,
    /// What goes in at mixing, in grams for a piece.
    #[schema(example = "88.000")]
    pub ingoing_grams: String,
    /// What a finished piece weighs in grams; null if nobody said it.
    #[schema(example = "75.0")]
    pub finished_grams: Option<String>,
    /// Where that figure is from.
    pub finished_source: Option<String>,
    /// Its nutrition.
    pub nutrition: NutritionView,
    /// What a person must look at before this becomes a label.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Who decides.
    pub defer: &'static str,
}

/// A piece of a list's text.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SegmentView {
    /// The text.
    #[schema(example = "WHEAT")]
    pub text: String,
    /// Whether it names an allergen: then it is in capitals, and printed bold.
    pub allergen: bool,
}

/// One ingredient.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LabelEntryView {
    /// Its name, allergens in capitals.
    #[schema(example = "WHEAT flour")]
    pub name: String,
    /// Grams in a piece at mixing; of added water what is left of it.
    #[schema(example = "40.404040")]
    pub grams: String,
    /// Percent of the finished piece; null if nobody said what that weighs.
    #[schema(example = "53.87")]
    pub percent: Option<String>,
    /// Whether its place in the list is free, because there is little of it.
    pub any_order: bool,
    /// Its own ingredients.
    #[schema(no_recursion)]
    pub parts: Vec<Self>,
    /// Whether its own list is left out because the law lets it.
    pub parts_left_out: bool,
}

/// Drafts a product's label for today.
///
/// # Errors
/// [`Refusal::Unknown`]
pub fn label(morning: &Morning, product: &str, asked: Option<&str>) -> Result<LabelView, Refusal> {
    let (regulation, assumed) = morning.regulation(asked)?;
    let found = morning.statement(product, regulation)?;
    let bakery = &morning.bakery;
    let sold = bakery.product(morning.product(product)?);
    let segments = found.label.segments();
    let mut all = notes(assumed);
    all.extend(remarks(bakery, regulation, &found));
    Ok(LabelView {
        draft: DRAFT,
        bakery: bakery.site().name.clone(),
        product: product.to_owned(),
        name: sold.label.name.clone().unwrap_or_else(|| sold.name.clone()),
        version: morning.plan_revision,
        as_of: morning.today().to_string(),
        made_at: instant(&bakery.site().time_zone, morning.now),
        regulation: regulation.code.to_string(),
        regulation_name: regulation.name.clone(),
        ingredients: text(&segments),
        segments: segments
            .into_iter()
            .map(|Segment { text, allergen }| SegmentView { text, allergen })
            .collect(),
        entries: found.label.entries.iter().map(entry).collect(),
        contains: found.label.contains.as_ref().map(|(heading, names)| {
            if names.is_empty() { String::new() } else { format!("{heading} {}", names.join(", ")) }
        }),
        allergens: by_regulation(regulation, &found.allergens),
        amounts: amounts(bakery, regulation, &found),
        unknown: unknown_items(bakery, &found.allergens.unknown),
        quantities: quantities(bakery, &found.label),
        ingoing_grams: big_decimal(&found.contents.ingoing(), 3),
        finished_grams: found.contents.finished.as_ref().map(|grams| big_decimal(grams, 1)),
        finished_source: sold.label.finished_source.clone(),
        nutrition: nutrition_view(bakery, regulation, &found),
        notes: all,
        defer: DEFER,
    })
}

fn amounts(bakery: &Bakery, regulation: &Regulation, found: &Statement) -> Vec<AllergenAmountView> {
    let all = found.label.amounts.iter();
    all.map(|one| AllergenAmountView::new(bakery, regulation, one)).collect()
}

fn text(segments: &[Segment]) -> String {
    segments.iter().map(|segment| segment.text.as_str()).collect()
}

fn entry(entry: &Entry) -> LabelEntryView {
    let Entry { name, grams, percent, any_order, parts, parts_left_out, unknown: _ } = entry;
    LabelEntryView {
        name: text(name),
        grams: big_decimal(grams, 6),
        percent: percent.as_ref().map(|percent| big_decimal(percent, 2)),
        any_order: *any_order,
        parts: parts.iter().map(self::entry).collect(),
        parts_left_out: *parts_left_out,
    }
}

/// `butter 29.8 %`, or `made with 105.0 g of butter per 100 g` above a hundred; items of one
/// name are one ingredient.
fn quantities(bakery: &Bakery, label: &Label) -> Vec<String> {
    let mut found: Vec<(&String, Quantified)> = Vec::new();
    for one in &label.quantities {
        let item = bakery.item(one.item);
        let name = item.label.name.as_ref().unwrap_or(&item.name);
        let known = found.iter_mut().find(|(known, _)| *known == name);
        match (known, &one.per_100g) {
            (Some((_, Quantified { per_100g: Some(sum), .. })), Some(more)) => *sum += more,
            (Some(_), _) => {}
            (None, _) => found.push((name, one.clone())),
        }
    }
    let words = |(name, one): &(&String, Quantified)| match (&one.per_100g, one.as_mass) {
        (None, _) => format!("{name}: not known, nobody said what a finished piece weighs"),
        (Some(grams), true) => {
            format!("made with {} g of {name} per 100 g", big_decimal(grams, 1))
        }
        (Some(percent), false) => format!("{name} {} %", big_decimal(percent, 1)),
    };
    found.iter().map(words).collect()
}

/// What a person must look at.
fn remarks(bakery: &Bakery, regulation: &Regulation, found: &Statement) -> Vec<Sentence> {
    let mut notes = Vec::new();
    let label = &found.label;
    let of = |message, items: &mut dyn Iterator<Item = u32>| {
        let names = items.map(|item| &bakery.item(item).name);
        Sentence::of(message).with("items", Sentence::joined(", ", names))
    };
    match label.water {
        AddedWater::LeftOut => notes.push(Sentence::of("label-water-left-out")),
        AddedWater::FinishedUnknown => notes.push(Sentence::of("label-finished-unknown")),
        AddedWater::None | AddedWater::Left | AddedWater::AsAdded => {}
    }
    if let Some(finished) = &found.contents.finished
        && *finished > found.contents.used()
    {
        notes.push(Sentence::of("label-heavier-than-in"));
    }
    if !label.unweighed.is_empty() {
        notes.push(of("label-unweighed", &mut label.unweighed.iter().copied()));
    }
    if !label.aids.is_empty() {
        notes.push(of("label-aids", &mut label.aids.iter().copied()));
    }
    if !label.beside.is_empty() {
        let allergens = Sentence::joined(", ", &label.beside);
        notes.push(Sentence::of("label-beside").with("allergens", allergens));
    }
    if label.entries.iter().any(|entry| entry.any_order) && label.little_heading.is_none() {
        notes.push(Sentence::of("label-any-order").with("regulation", &regulation.name));
    }
    if !found.allergens.may_contain.is_empty() {
        notes.push(Sentence::of("label-may-contain"));
    }
    notes.push(Sentence::of("label-counted-only"));
    notes
}
