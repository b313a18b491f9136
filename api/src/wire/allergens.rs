//! What a product contains, may contain, and what nobody knows of it.

use super::{amount::instant, csv, named};
use crate::{
    messages::Sentence,
    service::{Refusal, plan::Morning},
};
use domain::{
    allergens::{AllergenDifference, Allergens, difference, touching_items},
    bakery::Bakery,
    id::Code,
    item::{AllergenRecord, Item},
    label::Measured,
    labelling::Exemption,
    ratio::{Ratio, big_decimal},
    regulation::Regulation,
};
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;

/// Stands on every statement.
pub const DEFER: &str =
    "Calculated from records. Local law and a competent person decide what is declared.";

/// Allergens in three kinds that are never mixed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AllergensView {
    /// What is in it, by name.
    #[schema(example = json!(["wheat"]))]
    pub contains: Vec<String>,
    /// What may be in it by the records of suppliers and site.
    #[schema(example = json!(["rye"]))]
    pub may_contain: Vec<String>,
    /// Items whose pack nobody has read: never "none".
    #[schema(value_type = Vec<String>)]
    pub unknown: Vec<Sentence>,
    /// The same in words.
    #[schema(value_type = String, example = "contains wheat; may contain rye")]
    pub statement: Sentence,
}

/// A dated answer about one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductAllergensView {
    /// Which product.
    #[schema(example = "fruit-bun")]
    pub product: String,
    /// What people call it.
    #[schema(example = "Fruit bun")]
    pub name: String,
    /// What the bakery is called.
    #[schema(example = "Alder Yard Bakehouse")]
    pub bakery: String,
    /// Counts every change of what the answer is made from.
    pub version: i64,
    /// The date for which formulas and records hold.
    #[schema(example = "2026-06-10")]
    pub as_of: String,
    /// When it was made: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// What is in it, by the words of the records.
    pub contains: Vec<String>,
    /// What may be in it by the records of suppliers and site.
    pub may_contain: Vec<String>,
    /// Items whose pack nobody has read: never "none".
    #[schema(value_type = Vec<String>)]
    pub unknown: Vec<Sentence>,
    /// The same in words, with its product, version and date.
    pub statement: String,
    /// The same by the list of each regulation.
    pub by_regulation: Vec<RegulationAllergensView>,
    /// Allergens that a regulation declares only above a bound, by the formula.
    pub amounts: Vec<AllergenAmountView>,
    /// What changes against the formula, if items are used instead of others.
    pub changes: Option<AllergenChangesView>,
    /// The records that it stands on: every item that touches the product.
    pub records: Vec<ItemRecordView>,
    /// Who decides.
    pub defer: &'static str,
}

/// A product's allergens as a regulation names them.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RegulationAllergensView {
    /// Code of the regulation.
    #[schema(example = "eu")]
    pub regulation: String,
    /// What people call it.
    #[schema(example = "European Union")]
    pub name: String,
    /// How many entries its list has.
    #[schema(example = 14)]
    pub entries: usize,
    /// What is in it.
    pub contains: Vec<NamedAllergenView>,
    /// What may be in it by the records.
    pub may_contain: Vec<NamedAllergenView>,
    /// Words of the records that its list has no entry for; they are never dropped.
    #[schema(example = json!([]))]
    pub unlisted: Vec<String>,
}

/// One allergen as a list names it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct NamedAllergenView {
    /// The heading in the list.
    #[schema(example = "Cereals containing gluten")]
    pub group: String,
    /// The kind, by its own name.
    #[schema(example = "wheat")]
    pub kind: String,
}

/// An allergen that a regulation declares only above a bound.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct AllergenAmountView {
    /// Code of the regulation.
    #[schema(example = "eu")]
    pub regulation: String,
    /// The heading in its list.
    #[schema(example = "Sulphur dioxide and sulphites")]
    pub group: String,
    /// Milligrams in a kilogram of the finished product, by the records; null if that is not
    /// known, which is never none.
    #[schema(example = "175.610")]
    pub mg_per_kg: Option<String>,
    /// Above how much it is declared.
    #[schema(example = "10")]
    pub above_mg_per_kg: String,
    /// Whether it is declared by that; an unknown amount always is.
    pub declared: bool,
    /// Items that have it in an amount that nobody recorded.
    #[schema(example = json!([]))]
    pub unstated: Vec<String>,
    /// The same in words.
    #[schema(value_type = String)]
    pub words: Sentence,
}

impl AllergenAmountView {
    /// The finding as it is sent.
    #[must_use]
    pub fn new(bakery: &Bakery, regulation: &Regulation, found: &Measured) -> Self {
        let Measured { group, above, mg_per_kg, unstated, declared } = found;
        let items = unstated.iter().map(|&item| named::item(bakery, item));
        let items = Sentence::joined(", ", items);
        let unstated: Vec<String> =
            unstated.iter().map(|&item| bakery.item(item).code.to_string()).collect();
        let above = above.to_decimal(6);
        let mg_per_kg = mg_per_kg.as_ref().map(|amount| big_decimal(amount, 3));
        let words = match (&mg_per_kg, declared) {
            (Some(_), true) => Sentence::of("statement-amount-declared"),
            (Some(_), false) => Sentence::of("statement-amount-below"),
            (None, _) if unstated.is_empty() => Sentence::of("statement-amount-no-weight"),
            (None, _) => Sentence::of("statement-amount-not-known").with("items", items),
        };
        let words = words
            .with("group", group)
            .with("amount", Sentence::digits(mg_per_kg.as_deref().unwrap_or_default()))
            .with("above", Sentence::digits(&*above));
        Self {
            regulation: regulation.code.to_string(),
            group: group.clone(),
            mg_per_kg,
            above_mg_per_kg: above,
            declared: *declared,
            unstated,
            words,
        }
    }
}

/// What changes with something used instead.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AllergenChangesView {
    /// What comes in.
    pub added: AllergensView,
    /// What is no longer there.
    pub gone: AllergensView,
}

/// The allergen record of one item.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ItemRecordView {
    /// Code of the item.
    #[schema(example = "raisins")]
    pub item: String,
    /// What people call it.
    #[schema(example = "Raisins")]
    pub name: String,
    /// What its record says is in it.
    pub contains: Vec<String>,
    /// What its record says may be in it.
    pub may_contain: Vec<String>,
    /// Whether anybody has read the pack.
    pub known: bool,
    /// Which edition of the text was read.
    #[schema(example = "1")]
    pub version: Option<String>,
    /// Where it was read.
    #[schema(example = "the pack")]
    pub source: Option<String>,
    /// When it was read.
    #[schema(example = "2026-04-02")]
    pub read_on: Option<String>,
    /// How much of an allergen is in it, where the record states it.
    #[schema(value_type = Vec<String>, example = json!(["sulphites: 1200 mg/kg"]))]
    pub amounts: Vec<Sentence>,
    /// What a rule exempts, each with the rule and where that it applies is from.
    #[schema(value_type = Vec<String>, example = json!([]))]
    pub exempt: Vec<Sentence>,
}

impl AllergensView {
    /// The domain's finding as it is sent.
    #[must_use]
    pub fn new(bakery: &Bakery, found: &Allergens) -> Self {
        let Allergens { contains, may_contain, unknown } = found;
        Self {
            contains: contains.iter().cloned().collect(),
            may_contain: may_contain.iter().cloned().collect(),
            statement: statement(bakery, found),
            unknown: unknown_items(bakery, unknown),
        }
    }
}

/// Items whose allergens nobody has read.
pub(super) fn unknown_items(bakery: &Bakery, unknown: &BTreeSet<Code>) -> Vec<Sentence> {
    unknown.iter().map(|item| named::made(bakery, item.as_str())).collect()
}

/// Allergens in words; unknown is said first and loudest.
#[must_use]
pub fn statement(bakery: &Bakery, found: &Allergens) -> Sentence {
    said(&found.contains, &found.may_contain, &unknown_items(bakery, &found.unknown))
}

fn said(
    contains: &BTreeSet<String>,
    may_contain: &BTreeSet<String>,
    unknown: &[Sentence],
) -> Sentence {
    let of = |message, list| Sentence::of(message).with("list", list);
    let words =
        |set: &BTreeSet<String>| Sentence::allergens(&set.iter().cloned().collect::<Vec<_>>());
    let mut parts = Vec::new();
    if !unknown.is_empty() {
        let items = Sentence::joined(", ", unknown);
        parts.push(of("allergens-not-known", items));
    }
    if !contains.is_empty() {
        parts.push(of("allergens-contains", words(contains)));
    }
    if !may_contain.is_empty() {
        parts.push(of("allergens-may-contain", words(may_contain)));
    }
    if parts.is_empty() {
        return Sentence::of("allergens-none-recorded");
    }
    Sentence::joined("; ", parts)
}

/// A product's allergens on today's date, with some items used instead of others.
///
/// # Errors
/// [`Refusal`] names what is unknown.
pub fn product_allergens(
    morning: &Morning,
    product: &str,
    swap: Option<&str>,
) -> Result<ProductAllergensView, Refusal> {
    let (bakery, asked) = (&morning.bakery, swap.unwrap_or_default());
    let found = morning.allergens(product, asked)?;
    let changes = swap.map(|_| {
        let AllergenDifference { added, gone } =
            difference(&morning.allergens(product, "")?, &found);
        let (added, gone) = (AllergensView::new(bakery, &added), AllergensView::new(bakery, &gone));
        Ok::<_, Refusal>(AllergenChangesView { added, gone })
    });
    let at = morning.product(product)?;
    let recipes = bakery.recipes(morning.today());
    let touching = touching_items(bakery, recipes, at, &morning.swaps(asked)?);
    let AllergensView { contains, may_contain, unknown, statement } =
        AllergensView::new(bakery, &found);
    let as_of = morning.today().to_string();
    let version = morning.plan_revision;
    let statement = format!("{product}, version {version}, {as_of}: {}", statement.wired());
    let regulations = &bakery.lists().regulations;
    let mut amounts = Vec::new();
    for regulation in regulations {
        let label = morning.statement(product, regulation)?.label;
        let views =
            label.amounts.iter().map(|one| AllergenAmountView::new(bakery, regulation, one));
        amounts.extend(views);
    }
    Ok(ProductAllergensView {
        product: product.to_owned(),
        name: bakery.product(at).name.clone(),
        bakery: bakery.site().name.clone(),
        version,
        as_of,
        made_at: instant(&bakery.site().time_zone, morning.now),
        contains,
        may_contain,
        unknown,
        statement,
        by_regulation: regulations.iter().map(|one| by_regulation(one, &found)).collect(),
        amounts,
        changes: changes.transpose()?,
        records: touching
            .into_iter()
            .filter(|&item| recipes.of_item(item).is_none())
            .filter(|&item| bakery.index().fruit_of(item).is_none())
            .map(|item| record(bakery.item(item)))
            .collect(),
        defer: DEFER,
    })
}

/// The allergens of a product as a regulation's list names them.
#[must_use]
pub fn by_regulation(regulation: &Regulation, found: &Allergens) -> RegulationAllergensView {
    let named = |words: &BTreeSet<String>| {
        let mut names = Vec::new();
        for group in &regulation.groups {
            for kind in &group.kinds {
                let is = |word: &String| {
                    regulation.named(word).is_some_and(|named| std::ptr::eq(named.kind, kind))
                };
                if words.iter().any(is) {
                    let (group, kind) = (group.name.clone(), kind.name.clone());
                    names.push(NamedAllergenView { group, kind });
                }
            }
        }
        names
    };
    let contains = named(&found.contains);
    let mut may_contain = named(&found.may_contain);
    may_contain.retain(|name| !contains.contains(name));
    let all: BTreeSet<String> = found.contains.union(&found.may_contain).cloned().collect();
    RegulationAllergensView {
        regulation: regulation.code.to_string(),
        name: regulation.name.clone(),
        entries: regulation.groups.len(),
        contains,
        may_contain,
        unlisted: regulation.unlisted(&all).into_iter().cloned().collect(),
    }
}

/// A product's allergens as comma-separated values.
#[must_use]
pub fn allergens_csv(view: &ProductAllergensView) -> String {
    let head = ["product", "name", "state", "word", "by", "version", "as of", "note"];
    let by = |word: &String| {
        let lists = view.by_regulation.iter().filter(|list| !list.unlisted.contains(word));
        lists.map(|list| list.regulation.as_str()).collect::<Vec<_>>().join(" ")
    };
    let row = |state: &str, word: &String, by: String| {
        let (version, as_of) = (view.version.to_string(), view.as_of.clone());
        let (product, name) = (view.product.clone(), view.name.clone());
        let defer = view.defer.to_owned();
        vec![product, name, state.to_owned(), word.clone(), by, version, as_of, defer]
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    rows.extend(view.contains.iter().map(|word| row("contains", word, by(word))));
    rows.extend(view.may_contain.iter().map(|word| row("may contain", word, by(word))));
    let unknown = view.unknown.iter().map(Sentence::to_string);
    rows.extend(unknown.map(|item| row("not known", &item, String::new())));
    if rows.is_empty() {
        rows.push(row("no allergen in our records", &String::new(), String::new()));
    }
    csv::table(&head, rows)
}

fn record(item: &Item) -> ItemRecordView {
    let AllergenRecord {
        contains,
        may_contain,
        known,
        version,
        source,
        read_on,
        mg_per_kg,
        exempt,
    } = &item.allergens;
    let amount = |(word, amount): (&String, &Ratio)| {
        Sentence::of("statement-record-amount")
            .with("allergen", Sentence::allergens(std::slice::from_ref(word)))
            .with("amount", Sentence::digits(amount.to_decimal(6)))
    };
    let exempted = |Exemption { allergen, rule, source }: &Exemption| {
        Sentence::of("statement-record-exempt")
            .with("allergen", Sentence::allergens(std::slice::from_ref(allergen)))
            .with("rule", rule)
            .with("source", source)
    };
    ItemRecordView {
        item: item.code.to_string(),
        name: item.name.clone(),
        contains: contains.iter().cloned().collect(),
        may_contain: may_contain.iter().cloned().collect(),
        known: *known,
        version: version.clone(),
        source: source.clone(),
        read_on: read_on.map(|date| date.to_string()),
        amounts: mg_per_kg.iter().map(amount).collect(),
        exempt: exempt.iter().map(exempted).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_is_never_none() {
        // Source: trade rules, part 6: the words to print.
        let none = BTreeSet::new();
        let raisins = Sentence::named("raisins", "Raisins");
        assert_eq!(
            said(&none, &none, &[raisins]).to_string(),
            "allergens not known (raisins) - do not sell as free from"
        );
        assert_eq!(said(&none, &none, &[]).to_string(), "no allergen in our records");
    }
}
