//! What a bakery writes down for labels: names, parts, records, nutrients.

use super::{Reader, amount::QuantityBody};
use crate::nutrients;
use domain::{
    item::AllergenRecord,
    labelling::{CompoundKind, Exemption, Finished, ItemLabel, LabelPart, ProductLabel, Shown},
    nutrients::{Nutrient, Nutrients},
    ratio::Ratio,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// Where an item's allergens were read, and what a rule exempts.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AllergenRecordBody {
    /// Which edition of the text it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2")]
    pub version: Option<String>,
    /// Where it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "the pack, spring 2026")]
    pub source: Option<String>,
    /// Local date on which it was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2026-04-02")]
    pub read_on: Option<String>,
    /// How much of an allergen is in it, where the supplier states that: of sulphites in terms
    /// of sulphur dioxide. What is not stated is not known, and never none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub amounts: Vec<AllergenAmountBody>,
    /// Allergens that a rule exempts here; they are not listed as contained.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub exempt: Vec<ExemptionBody>,
}

/// How much of an allergen is in one item.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AllergenAmountBody {
    /// The allergen.
    #[schema(example = "sulphites")]
    pub allergen: String,
    /// Milligrams in a kilogram of the item.
    #[schema(example = "1200")]
    pub mg_per_kg: String,
}

/// An allergen that a rule exempts in one item.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ExemptionBody {
    /// The allergen.
    #[schema(example = "soya")]
    pub allergen: String,
    /// The rule.
    #[schema(example = "fully refined soybean oil, Annex II point 6 (a)")]
    pub rule: String,
    /// Where that it applies is from.
    #[schema(example = "the supplier's specification")]
    pub source: String,
}

/// What labels say of an item.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ItemLabelBody {
    /// Its name on labels.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "wheat flour")]
    pub name: Option<String>,
    /// How it stands in lists; `plain` if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shown: Option<ShownBody>,
    /// What kind of compound it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compound: Option<CompoundKindBody>,
    /// Its own ingredients in the order of its pack.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<LabelPartBody>,
}

/// How an ingredient stands in a list.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ShownBody {
    /// By its name; what is made here is dissolved.
    Plain,
    /// With its own ingredients in brackets.
    Compound,
    /// Not at all: an aid of the process.
    Aid,
}

/// What lets a compound stand without its own list.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CompoundKindBody {
    /// Its composition is fixed by law.
    FixedByLaw,
    /// A mixture of spices or herbs.
    Spices,
}

/// One ingredient of a bought compound.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LabelPartBody {
    /// Its name.
    #[schema(example = "emulsifier: soya lecithin")]
    pub name: String,
    /// The allergens in it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!(["soya"]))]
    pub contains: Vec<String>,
}

/// What 100 g of an item hold.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NutrientsBody {
    /// A food of the table that is shipped, such as `sr28-20083`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "sr28-20083")]
    pub reference: Option<String>,
    /// Whether its sugars were added as such: all of them or none; not known if not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = false)]
    pub sugars_added: Option<bool>,
    /// Values in the place of the table's, each with its source.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub values: Vec<NutrientValueBody>,
}

/// One value per 100 g.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct NutrientValueBody {
    /// Which: `energy` (kcal), `protein`, `fat`, `saturates`, `trans`, `carbohydrate` (fibre
    /// included), `fibre`, `sugars`, `added_sugars`, `alcohol`, `polyols` (g), `cholesterol`,
    /// `sodium`, `calcium`, `iron`, `potassium` (mg) or `vitamin_d` (µg).
    #[schema(example = "sodium")]
    pub nutrient: String,
    /// How much of it; leave it out to say that it is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "2")]
    pub per_100g: Option<String>,
    /// Where it is from.
    #[schema(example = "the mill's analysis")]
    pub source: String,
}

/// What a product's label says.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ProductLabelBody {
    /// The name of the food.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "Sugar bun")]
    pub name: Option<String>,
    /// What a finished piece weighs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<QuantityBody>,
    /// Or what of all that goes in is lost on the way to the finished piece, percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "12")]
    pub bake_loss: Option<String>,
    /// Where that figure is from.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "own weighing, 20 pieces")]
    pub source: Option<String>,
    /// Items whose quantity is stated because the name speaks of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!(["butter"]))]
    pub quantities: Vec<String>,
}

impl AllergenRecordBody {
    /// The record without its words, which stand in fields of the item.
    pub(super) fn read(&self, reader: &mut Reader) -> AllergenRecord {
        let Self { version, source, read_on, amounts, exempt } = self;
        let read = reader.each("amounts", amounts, |reader, body| body.read(reader));
        let mg_per_kg: BTreeMap<String, Ratio> = read.into_iter().collect();
        if mg_per_kg.len() < amounts.len() {
            reader.fault("amounts", "field-mismatch", "an allergen is named twice: say it once");
        }
        AllergenRecord {
            mg_per_kg,
            version: reader.words_option("version", version.as_deref()),
            source: reader.words_option("source", source.as_deref()),
            read_on: read_on.as_ref().map(|text| reader.date("read_on", text)),
            exempt: reader.each("exempt", exempt, |reader, body| body.read(reader)),
            ..AllergenRecord::default()
        }
    }
}

impl AllergenAmountBody {
    fn read(&self, reader: &mut Reader) -> (String, Ratio) {
        let Self { allergen, mg_per_kg } = self;
        let amount = reader.decimal("mg_per_kg", mg_per_kg);
        if amount < Ratio::ZERO || amount > Ratio::whole(1_000_000) {
            reader.fault("mg_per_kg", "out-of-range", "a kilogram holds from 0 to 1000000 mg");
        }
        (reader.words("allergen", allergen), amount)
    }
}

impl ExemptionBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Exemption {
        let Self { allergen, rule, source } = self;
        Exemption {
            allergen: reader.words("allergen", allergen),
            rule: reader.words("rule", rule),
            source: reader.words("source", source),
        }
    }
}

impl ItemLabelBody {
    pub(super) fn read(&self, reader: &mut Reader) -> ItemLabel {
        let Self { name, shown, compound, parts } = self;
        ItemLabel {
            name: reader.words_option("name", name.as_deref()),
            shown: match shown {
                None | Some(ShownBody::Plain) => Shown::Plain,
                Some(ShownBody::Compound) => Shown::Compound,
                Some(ShownBody::Aid) => Shown::Aid,
            },
            kind: match compound {
                None => CompoundKind::Plain,
                Some(CompoundKindBody::FixedByLaw) => CompoundKind::FixedByLaw,
                Some(CompoundKindBody::Spices) => CompoundKind::Spices,
            },
            parts: reader.each("parts", parts, |reader, LabelPartBody { name, contains }| {
                LabelPart {
                    name: reader.words("name", name),
                    contains: contains.iter().cloned().collect(),
                }
            }),
        }
    }
}

impl ProductLabelBody {
    pub(super) fn read(&self, reader: &mut Reader) -> ProductLabel {
        let Self { name, mass, bake_loss, source, quantities } = self;
        let mass = reader.quantity_option("mass", mass.as_ref());
        let loss = reader.decimal_option("bake_loss", bake_loss.as_deref());
        if mass.is_some() && loss.is_some() {
            let detail = "a finished piece has a mass or a bake_loss, not both";
            reader.fault("mass", "field-mismatch", detail);
        }
        ProductLabel {
            name: reader.words_option("name", name.as_deref()),
            finished: mass.map(Finished::Mass).or(loss.map(Finished::Loss)),
            finished_source: reader.words_option("source", source.as_deref()),
            quantities: reader.codes("quantities", quantities),
        }
    }
}

impl NutrientsBody {
    pub(super) fn read(&self, reader: &mut Reader) -> Nutrients {
        let Self { reference, sugars_added, values } = self;
        let mut found = reference.as_ref().map_or_else(Nutrients::default, |reference| {
            nutrients::find(reference).unwrap_or_else(|| {
                let detail = format!(
                    "the table has no food `{}`: state its values, each with a source",
                    reference.chars().take(40).collect::<String>()
                );
                reader.fault("reference", "unknown-code", detail);
                Nutrients::default()
            })
        });
        match sugars_added {
            Some(true) => {
                let sugars = found.of(Nutrient::Sugars);
                set(&mut found, Nutrient::AddedSugars, sugars);
            }
            Some(false) => set(&mut found, Nutrient::AddedSugars, Some(Ratio::ZERO)),
            None => {}
        }
        reader.each("values", values, |reader, body| body.read(&mut found, reader));
        found
    }
}

fn set(nutrients: &mut Nutrients, nutrient: Nutrient, value: Option<Ratio>) {
    nutrients.per_100g[nutrient as usize] = value;
}

impl NutrientValueBody {
    fn read(&self, into: &mut Nutrients, reader: &mut Reader) {
        let Self { nutrient, per_100g, source } = self;
        let value = reader.decimal_option("per_100g", per_100g.as_deref());
        let source = reader.words("source", source);
        if value.is_some_and(|value| value < Ratio::ZERO || value > Ratio::whole(1_000_000)) {
            reader.fault("per_100g", "out-of-range", "a nutrient is from 0 to 1000000 in 100 g");
        }
        let Some(found) = Nutrient::parse(nutrient) else {
            let words: Vec<&str> = Nutrient::ALL.iter().map(|one| one.word()).collect();
            let detail = format!("write one of {}", words.join(", "));
            reader.fault("nutrient", "unknown-code", detail);
            return;
        };
        set(into, found, value);
        // What states its own value speaks for itself from here on.
        into.source.get_or_insert_with(|| source.clone());
        into.overrides.push((found, source));
    }
}
