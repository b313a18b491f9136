//! What a product contains, may contain, and what nobody knows of it.

use crate::service::plan::Morning;
use domain::{allergens::Allergens, id::Code};
use serde::Serialize;
use utoipa::ToSchema;

/// Allergens in three kinds that are never mixed.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct AllergensView {
    /// What is in it, by name.
    #[schema(example = json!(["wheat"]))]
    pub contains: Vec<String>,
    /// What may be in it by the records of suppliers and site.
    #[schema(example = json!(["rye"]))]
    pub may_contain: Vec<String>,
    /// Items whose pack nobody has read: never "none".
    pub unknown: Vec<String>,
    /// The same in words.
    #[schema(example = "contains wheat; may contain rye")]
    pub statement: String,
}

/// A dated answer about one product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ProductAllergensView {
    /// Which product.
    #[schema(example = "fruit-bun")]
    pub product: String,
    /// Counts every change of what the answer is made from.
    pub version: i64,
    /// The date for which formulas and records hold.
    pub as_of: String,
    /// What is in it, by name.
    pub contains: Vec<String>,
    /// What may be in it by the records of suppliers and site.
    pub may_contain: Vec<String>,
    /// Items whose pack nobody has read: never "none".
    pub unknown: Vec<String>,
    /// The same in words, with its product, version and date.
    pub statement: String,
}

impl AllergensView {
    /// The domain's finding as it is sent.
    #[must_use]
    pub fn new(found: &Allergens) -> Self {
        let Allergens { contains, may_contain, unknown } = found;
        Self {
            contains: contains.iter().cloned().collect(),
            may_contain: may_contain.iter().cloned().collect(),
            unknown: unknown.iter().map(Code::to_string).collect(),
            statement: statement(found),
        }
    }
}

/// Allergens in words; unknown is said first and loudest.
#[must_use]
pub fn statement(found: &Allergens) -> String {
    let mut parts = Vec::new();
    if !found.unknown.is_empty() {
        let items: Vec<&str> = found.unknown.iter().map(Code::as_str).collect();
        let items = items.join(", ");
        parts.push(format!("allergens not known ({items}) - do not sell as free from"));
    }
    let list = |words: &std::collections::BTreeSet<String>| {
        words.iter().map(String::as_str).collect::<Vec<_>>().join(", ")
    };
    if !found.contains.is_empty() {
        parts.push(format!("contains {}", list(&found.contains)));
    }
    if !found.may_contain.is_empty() {
        parts.push(format!("may contain {}", list(&found.may_contain)));
    }
    if parts.is_empty() { "no allergen in our records".to_owned() } else { parts.join("; ") }
}

/// A product's allergens on today's date.
#[must_use]
pub fn product_allergens(
    morning: &Morning,
    product: &str,
    found: &Allergens,
) -> ProductAllergensView {
    let AllergensView { contains, may_contain, unknown, statement } = AllergensView::new(found);
    let as_of = morning.today().to_string();
    let version = morning.plan_revision;
    let statement = format!("{product}, version {version}, {as_of}: {statement}");
    ProductAllergensView {
        product: product.to_string(),
        version,
        as_of,
        contains,
        may_contain,
        unknown,
        statement,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_is_never_none() {
        // Source: trade rules, part 6: the words to print.
        let unknown = [Code::parse("raisins").expect("a code")].into();
        let found = Allergens { unknown, ..Allergens::default() };
        assert_eq!(statement(&found), "allergens not known (raisins) - do not sell as free from");
        assert_eq!(statement(&Allergens::default()), "no allergen in our records");
    }
}
