//! The words of statements: allergens, their matrix, drafts of labels.

/// Title of the statement of one product.
pub const ALLERGENS: &str = "Allergen statement";
/// Title of the matrix.
pub const MATRIX: &str = "Allergen matrix";
/// Title of the draft.
pub const LABEL: &str = "Label draft";
/// Above what is in it.
pub const CONTAINS: &str = "Contains";
/// Above what may be in it.
pub const MAY_CONTAIN: &str = "May contain, by records of suppliers and site";
/// Above what nobody knows.
pub const NOT_KNOWN: &str = "ALLERGENS NOT KNOWN - do not sell as free from";
/// Where there is nothing.
pub const NOTHING: &str = "nothing in our records";
/// Above words that a list has no entry for.
pub const UNLISTED: &str = "In our records, not on this list";
/// Above the records.
pub const RECORDS: &str = "Records that this stands on";
/// Above what a substitute changes.
pub const CHANGES: &str = "With what is used instead";
/// What comes in.
pub const BRINGS_IN: &str = "BRINGS IN";
/// What goes.
pub const TAKES_OUT: &str = "no longer in it";
/// A change of nothing.
pub const NO_CHANGE: &str = "changes no allergen in our records";
/// The key of the matrix.
pub const KEY: &str = "C contains · M may contain by records · ? not known, do not sell as free from · \
                       - not in our records, which is no claim that it is free from it";
/// Above the list.
pub const INGREDIENTS: &str = "Ingredients:";
/// Above quantities.
pub const QUANTITIES: &str = "Quantities of what the name speaks of";
/// Above nutrition.
pub const NUTRITION: &str = "Nutrition";
/// Above figures that lack something.
pub const WITHOUT: &str =
    "Without what touches it in no recorded amount (set its amount to count it)";
/// A column.
pub const PER_100G: &str = "per 100 g";
/// A column.
pub const PER_100G_RAW: &str = "per 100 g before baking";
/// A column.
pub const PER_PIECE: &str = "per piece";
/// Above remarks.
pub const LOOK_AT: &str = "To be looked at before this becomes a label";
/// Above sources.
pub const SOURCES: &str = "Where the nutrition values are from";
/// What the names of foods stand for.
pub const SR28: &str = crate::nutrients::SOURCE;
/// An item without values.
pub const NO_SOURCE: &str = "no values on record";

/// A letter for a state of a cell.
#[must_use]
pub fn letter(state: &str) -> &'static str {
    match state {
        "contains" => "C",
        "may_contain" => "M",
        "not_known" => "?",
        _ => "-",
    }
}

/// What a line of nutrition is called.
#[must_use]
pub fn nutrient(word: &str) -> &str {
    match word {
        "energy_kj" => "Energy (kJ)",
        "energy_kcal" => "Energy (kcal)",
        "calories" => "Calories",
        "fat" => "Fat",
        "saturates" => "of which saturates",
        "trans" => "of which trans fat",
        "carbohydrate" => "Carbohydrate",
        "sugars" => "of which sugars",
        "added_sugars" => "of which added sugars",
        "fibre" => "Fibre",
        "protein" => "Protein",
        "salt" => "Salt",
        "cholesterol" => "Cholesterol",
        "sodium" => "Sodium",
        "vitamin_d" => "Vitamin D",
        "calcium" => "Calcium",
        "iron" => "Iron",
        "potassium" => "Potassium",
        other => other,
    }
}

/// Which version of which date.
#[must_use]
pub fn version(version: i64, as_of: &str) -> String {
    format!("version {version}, as of {}", super::full_day(as_of))
}
