//! Words on the page of the formula workbench.

/// Title of the page.
pub const TITLE: &str = "Formula workbench";
/// Above a draft.
pub const DRAFT: &str = "DRAFT: nothing of it is kept";
/// Over a column.
pub const DRAFT_SHORT: &str = "draft";
/// No version yet.
pub const NOT_IN_FORCE: &str = "No version of it is in force on this date.";
/// One view.
pub const FINAL_MIX: &str = "Into the bowl";
/// The other.
pub const OVERALL: &str = "Overall";
/// Versions beside each other.
pub const VERSIONS: &str = "Versions compared";
/// A version without a first date.
pub const ALWAYS: &str = "from the start";
/// The version that counts.
pub const IN_FORCE: &str = "in force";
/// A row.
pub const COST: &str = "ingredients";
/// A row.
pub const HYDRATION: &str = "hydration, water only";
/// A row.
pub const HYDRATION_WET: &str = "with wet ingredients";
/// A row.
pub const BOUND_WATER: &str = "bound in soakers";
/// A row.
pub const SALT: &str = "salt";
/// A row.
pub const PREFERMENTED: &str = "prefermented flour";
/// A row.
pub const YEAST: &str = "yeast";
/// A row.
pub const SUM: &str = "formula sum";
/// A row.
pub const ALLERGENS: &str = "allergens";
/// A row.
pub const LOOK_AT: &str = "look at";
/// At another size.
pub const SCALED: &str = "At this size";
/// Before what stops a larger one.
pub const ENDS_FIRST: &str = "The largest that today's stock makes; first to end:";
/// A column.
pub const ITEM: &str = "ingredient";
/// A column.
pub const WEIGH: &str = "weigh";
/// A column.
pub const EXACT: &str = "exact";
/// The sum.
pub const TOTAL: &str = "Total";

/// How many loads of one size.
#[must_use]
pub fn loads(loads: i64) -> String {
    if loads == 1 { "1 load".to_owned() } else { format!("{loads} loads, each") }
}
/// Title of a table.
pub const NUTRITION: &str = "Nutrition of 100 g as it is made";
/// Title of a drawing.
pub const TREE: &str = "What it is made of, level by level, in parts";
/// Behind what is drawn from stock.
pub const PREVIOUS_BATCH: &str = "(from a batch before)";
/// Behind what is unfolded already.
pub const MADE_ABOVE: &str = "(as above)";
