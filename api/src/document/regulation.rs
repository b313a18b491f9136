//! Regulations about allergens and labels, as data.

use super::{Reader, Record};
use domain::{
    ratio::Ratio,
    regulation::{
        AllergenGroup, AllergenKind, ListStyle, LittleOf, NutritionStyle, Regulation, WaterRule,
    },
};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// The regulations that every bakery knows, each as a file beside this one.
static KNOWN: LazyLock<Vec<RegulationBody>> = LazyLock::new(|| {
    let read = |text| serde_json::from_str(text).ok();
    let texts = [include_str!("regulation/eu.json"), include_str!("regulation/us.json")];
    texts.into_iter().filter_map(read).collect()
});

/// Which allergens are declared, and how a label is written.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RegulationBody {
    /// Its code.
    #[schema(example = "eu")]
    pub code: String,
    /// What people call it.
    #[schema(example = "European Union")]
    pub name: String,
    /// Where its text stands, and how far it was read.
    pub source: String,
    /// Its list of allergens, in its own order and words.
    pub groups: Vec<AllergenGroupBody>,
    /// How its lists of ingredients are written.
    pub list: ListStyleBody,
    /// Whose factors and roundings its nutrition declarations follow.
    pub nutrition: NutritionStyleBody,
}

/// One entry of a list of allergens.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AllergenGroupBody {
    /// Its heading.
    #[schema(example = "Cereals containing gluten")]
    pub name: String,
    /// What labels name by its own name.
    pub kinds: Vec<AllergenKindBody>,
    /// It is declared only above this.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = json!(null))]
    pub above_mg_per_kg: Option<String>,
}

/// One kind of an allergen.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AllergenKindBody {
    /// How labels name it.
    #[schema(example = "wheat")]
    pub name: String,
    /// Other words for it in records and names of ingredients.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!(["spelt"]))]
    pub also: Vec<String>,
}

/// How a list of ingredients is written.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ListStyleBody {
    /// Of which ingredients there is so little that their order is free.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub any_order: Option<LittleOfBody>,
    /// Stands before them, if they are grouped.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub little_heading: Option<String>,
    /// How added water is named.
    pub water: WaterRuleBody,
    /// Below this, compounds fixed by law and spices need no list of their own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub compound: Option<LittleOfBody>,
    /// Whether ingredients that the name speaks of are stated in percent.
    pub quantities: bool,
    /// Before a statement of all allergens beside the list.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contains_heading: Option<String>,
}

/// A percentage of the finished product below which an ingredient is little.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LittleOfBody {
    /// The percentage.
    #[schema(example = "2")]
    pub percent: String,
    /// Whether exactly so much is little as well.
    pub inclusive: bool,
}

/// How added water stands in a list.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(tag = "rule", rename_all = "snake_case", deny_unknown_fields)]
pub enum WaterRuleBody {
    /// The finished mass less all other ingredients.
    Left {
        /// Not named up to this percentage of the finished product.
        omit_up_to_percent: String,
    },
    /// As it went in; not named if none is left.
    AsAdded,
}

/// Whose nutrition rules.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum NutritionStyleBody {
    /// European Union.
    Eu,
    /// United States.
    Us,
}

impl Record for RegulationBody {
    const NOUN: &'static str = "regulations";

    fn code(&self) -> &str {
        &self.code
    }
}

/// The known regulations and the bakery's own; one of the same code stands in its place.
pub(super) fn read_all(own: &[RegulationBody], reader: &mut Reader) -> Vec<Regulation> {
    let own_read = reader.each("regulations", own, |reader, body| body.read(reader));
    let mut known: Vec<Regulation> = Vec::new();
    for body in KNOWN.iter().filter(|body| own.iter().all(|other| other.code != body.code)) {
        known.push(body.read(reader));
    }
    known.extend(own_read);
    known
}

impl RegulationBody {
    /// One that every bakery knows.
    #[must_use]
    pub fn known(code: &str) -> Option<&'static Self> {
        KNOWN.iter().find(|body| body.code == code)
    }

    fn read(&self, reader: &mut Reader) -> Regulation {
        let Self { code, name, source, groups, list, nutrition } = self;
        Regulation {
            code: reader.code("code", code),
            name: reader.words("name", name),
            source: source.clone(),
            groups: reader.each("groups", groups, |reader, group| group.read(reader)),
            list: reader.at("list", |reader| list.read(reader)),
            nutrition: match nutrition {
                NutritionStyleBody::Eu => NutritionStyle::Eu,
                NutritionStyleBody::Us => NutritionStyle::Us,
            },
        }
    }
}

impl AllergenGroupBody {
    fn read(&self, reader: &mut Reader) -> AllergenGroup {
        let Self { name, kinds, above_mg_per_kg } = self;
        AllergenGroup {
            name: reader.words("name", name),
            kinds: reader.each("kinds", kinds, |reader, AllergenKindBody { name, also }| {
                let words = |reader: &mut Reader, text: &String| reader.words("", text);
                AllergenKind {
                    name: reader.words("name", name),
                    also: reader.each("also", also, words),
                }
            }),
            above_mg_per_kg: reader.decimal_option("above_mg_per_kg", above_mg_per_kg.as_deref()),
        }
    }
}

impl ListStyleBody {
    fn read(&self, reader: &mut Reader) -> ListStyle {
        let Self { any_order, little_heading, water, compound, quantities, contains_heading } =
            self;
        let mut little = |field: &str, body: &Option<LittleOfBody>| {
            let read = |body: &LittleOfBody| LittleOf {
                percent: reader.decimal(&format!("{field}/percent"), &body.percent),
                inclusive: body.inclusive,
            };
            body.as_ref().map(read)
        };
        let (any_order, compound) = (little("any_order", any_order), little("compound", compound));
        ListStyle {
            any_order,
            little_heading: reader.words_option("little_heading", little_heading.as_deref()),
            water: match water {
                WaterRuleBody::AsAdded => WaterRule::AsAdded,
                WaterRuleBody::Left { omit_up_to_percent } => WaterRule::Left {
                    omit_up_to_percent: reader
                        .decimal("water/omit_up_to_percent", omit_up_to_percent),
                },
            },
            compound,
            quantities: *quantities,
            contains_heading: reader.words_option("contains_heading", contains_heading.as_deref()),
        }
    }
}

impl From<&Regulation> for RegulationBody {
    fn from(regulation: &Regulation) -> Self {
        let Regulation { code, name, source, groups, list, nutrition } = regulation;
        let ListStyle { any_order, little_heading, water, compound, quantities, contains_heading } =
            list;
        let little = |little: &Option<LittleOf>| {
            let body = |LittleOf { percent, inclusive }: &LittleOf| LittleOfBody {
                percent: percent.to_decimal(6),
                inclusive: *inclusive,
            };
            little.as_ref().map(body)
        };
        Self {
            code: code.to_string(),
            name: name.clone(),
            source: source.clone(),
            groups: groups.iter().map(AllergenGroupBody::from).collect(),
            list: ListStyleBody {
                any_order: little(any_order),
                little_heading: little_heading.clone(),
                water: match water {
                    WaterRule::AsAdded => WaterRuleBody::AsAdded,
                    WaterRule::Left { omit_up_to_percent } => {
                        WaterRuleBody::Left { omit_up_to_percent: omit_up_to_percent.to_decimal(6) }
                    }
                },
                compound: little(compound),
                quantities: *quantities,
                contains_heading: contains_heading.clone(),
            },
            nutrition: match nutrition {
                NutritionStyle::Eu => NutritionStyleBody::Eu,
                NutritionStyle::Us => NutritionStyleBody::Us,
            },
        }
    }
}

impl From<&AllergenGroup> for AllergenGroupBody {
    fn from(group: &AllergenGroup) -> Self {
        let AllergenGroup { name, kinds, above_mg_per_kg } = group;
        let kind = |AllergenKind { name, also }: &AllergenKind| AllergenKindBody {
            name: name.clone(),
            also: also.clone(),
        };
        Self {
            name: name.clone(),
            kinds: kinds.iter().map(kind).collect(),
            above_mg_per_kg: above_mg_per_kg.map(|above: Ratio| above.to_decimal(6)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lists_of_the_eu_and_the_us_have_their_entries() {
        // Source: check-values.md AL-01 and AL-05: 14 entries and 9.
        let mut reader = Reader::default();
        let all = read_all(&[], &mut reader);
        assert_eq!(reader.into_faults(), []);
        let counts: Vec<_> = all.iter().map(|one| (one.code.as_str(), one.groups.len())).collect();
        assert_eq!(counts, [("eu", 14), ("us", 9)]);
        // Source: check-values.md AL-07: no coconut, and pine nuts are no nuts in the EU.
        assert!(all.iter().all(|one| one.named("coconut").is_none()));
        assert!(all[0].named("pine nut").is_none());
        assert_eq!(all[0].named("Almond").map(|found| found.kind.name.as_str()), Some("almonds"));
        assert!(all[1].named("rye").is_none(), "rye is no major allergen of the US list");
    }

    #[test]
    fn sulphites_are_declared_above_ten_milligrams() {
        // Source: check-values.md AL-02: 10.0 mg/kg is not declared, 10.1 is.
        let mut reader = Reader::default();
        let all = read_all(&[], &mut reader);
        let group = all[0].named("sulphites").expect("an entry").group;
        let at = |text: &str| {
            group.declared_at(Some(&Ratio::parse_decimal(text, 6).expect("a decimal").to_big()))
        };
        assert_eq!((at("10.0"), at("10.1")), (false, true));
        assert!(group.declared_at(None), "an amount that nobody knows is declared");
    }

    #[test]
    fn a_regulation_is_written_as_it_was_read() {
        let mut reader = Reader::default();
        for body in KNOWN.iter() {
            let again = RegulationBody::from(&body.read(&mut reader));
            let json = |body: &RegulationBody| serde_json::to_value(body).expect("JSON");
            assert_eq!(json(&again), json(body));
        }
    }
}
