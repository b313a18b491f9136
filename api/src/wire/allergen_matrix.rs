//! All products against the list of a regulation.

use super::{
    allergens::{DEFER, NamedAllergenView, RegulationAllergensView, by_regulation, unknown_items},
    amount::instant,
    csv,
};
use crate::{
    messages::Sentence,
    service::{Refusal, plan::Morning},
};
use domain::allergens::{Swaps, allergens};
use serde::Serialize;
use utoipa::ToSchema;

/// A dated matrix of products and allergens.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AllergenMatrixView {
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
    /// Code of the regulation whose list stands on top.
    #[schema(example = "eu")]
    pub regulation: String,
    /// What people call it.
    #[schema(example = "European Union")]
    pub regulation_name: String,
    /// Where its list is from.
    pub source: String,
    /// The kinds that any product contains or may contain, and every entry without kinds.
    pub columns: Vec<NamedAllergenView>,
    /// One row for each product, in the bakery's order.
    pub rows: Vec<AllergenRowView>,
    /// What a person should know first.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Who decides.
    pub defer: &'static str,
}

/// One product.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AllergenRowView {
    /// Its code.
    #[schema(example = "croissant")]
    pub product: String,
    /// What people call it.
    #[schema(example = "Croissant")]
    pub name: String,
    /// One state for each column: `contains`, `may_contain`, `not_known` or `not_in_records`.
    #[schema(example = json!(["contains", "not_in_records"]))]
    pub cells: Vec<&'static str>,
    /// Words of the records that the list has no entry for.
    #[schema(example = json!([]))]
    pub unlisted: Vec<String>,
    /// Items whose pack nobody has read.
    #[schema(example = json!([]))]
    #[schema(value_type = Vec<String>)]
    pub unknown: Vec<Sentence>,
}

/// The matrix of today.
///
/// # Errors
/// [`Refusal::Unknown`] if there is no such regulation.
pub fn allergen_matrix(
    morning: &Morning,
    asked: Option<&str>,
) -> Result<AllergenMatrixView, Refusal> {
    let (regulation, assumed) = morning.regulation(asked)?;
    let bakery = &morning.bakery;
    let recipes = bakery.recipes(morning.today());
    let found: Vec<_> = (0_u32..)
        .zip(&bakery.lists().products)
        .map(|(at, product)| {
            let found = allergens(bakery, recipes, at, &Swaps::new());
            (product, by_regulation(regulation, &found), found.unknown)
        })
        .collect();
    let mut columns = Vec::new();
    for group in &regulation.groups {
        for kind in &group.kinds {
            let (group_name, kind) = (group.name.clone(), kind.name.clone());
            let column = NamedAllergenView { group: group_name, kind };
            let used = found.iter().any(|(_, named, _)| {
                named.contains.contains(&column) || named.may_contain.contains(&column)
            });
            if used || group.kinds.len() == 1 {
                columns.push(column);
            }
        }
    }
    let rows = found
        .into_iter()
        .map(|(product, named, unknown)| AllergenRowView {
            product: product.code.to_string(),
            name: product.name.clone(),
            cells: columns.iter().map(|column| state(column, &named, unknown.is_empty())).collect(),
            unlisted: named.unlisted,
            unknown: unknown_items(bakery, &unknown),
        })
        .collect();
    Ok(AllergenMatrixView {
        bakery: bakery.site().name.clone(),
        version: morning.plan_revision,
        as_of: morning.today().to_string(),
        made_at: instant(&bakery.site().time_zone, morning.now),
        regulation: regulation.code.to_string(),
        regulation_name: regulation.name.clone(),
        source: regulation.source.clone(),
        columns,
        rows,
        notes: notes(assumed),
        defer: DEFER,
    })
}

/// Said where nobody has set a regulation.
pub(super) fn notes(assumed: bool) -> Vec<Sentence> {
    if assumed { vec![Sentence::of("statement-regulation-assumed")] } else { Vec::new() }
}

fn state(
    column: &NamedAllergenView,
    named: &RegulationAllergensView,
    all_known: bool,
) -> &'static str {
    match (named.contains.contains(column), named.may_contain.contains(column), all_known) {
        (true, ..) => "contains",
        (false, true, _) => "may_contain",
        (false, false, false) => "not_known",
        (false, false, true) => "not_in_records",
    }
}

/// The matrix as comma-separated values.
#[must_use]
pub fn allergen_matrix_csv(view: &AllergenMatrixView) -> String {
    let mut head = vec!["product", "name"];
    head.extend(view.columns.iter().map(|column| column.kind.as_str()));
    let told = ["not on the list", "items not known", "regulation", "version", "as of", "note"];
    head.extend(told);
    let row = |row: &AllergenRowView| {
        let AllergenRowView { product, name, cells, unlisted, unknown } = row;
        let mut row = vec![product.clone(), name.clone()];
        row.extend(cells.iter().map(|cell| cell.replace('_', " ")));
        row.extend([
            unlisted.join("; "),
            Sentence::joined("; ", unknown).to_string(),
            view.regulation.clone(),
            view.version.to_string(),
            view.as_of.clone(),
            view.defer.to_owned(),
        ]);
        row
    };
    csv::table(&head, view.rows.iter().map(row))
}
