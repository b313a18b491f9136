//! Words on sheets about money.

/// Product by product.
pub const PRODUCTS: &str = "Product by product";
/// A column.
pub const PRODUCT: &str = "product";
/// Columns of figures.
pub const PRODUCT_COLUMNS: [&str; 7] =
    ["begun", "good", "ingredients", "packaging", "rejects", "a good piece", "all good pieces"];
/// Who the pieces are for.
pub const FOR_WHOM: &str = "For whom";
/// A column.
pub const CUSTOMER: &str = "customer";
/// A column.
pub const PIECES: &str = "good pieces";
/// A column.
pub const COST: &str = "cost";
/// The sum of what stands above.
pub const TOTAL: &str = "Total";
/// Doughs and the like.
pub const DOUGHS: &str = "Doughs, fillings and washes (in the products already)";
/// A column.
pub const MADE: &str = "made";
/// Columns of figures.
pub const DOUGH_COLUMNS: [&str; 3] = ["users take", "each", "all of it"];
/// What the hands cost.
pub const LABOUR: &str = "Labour: attended steps of the routes (in no sum above)";
/// Columns of figures.
pub const LABOUR_COLUMNS: [&str; 3] = ["minutes", "a good piece", "all good pieces"];
/// No work.
pub const NOTHING_MADE: &str = "Nothing is made for this date.";

/// The title of a cost sheet by its kind.
#[must_use]
pub fn title(kind: &str) -> &'static str {
    match kind {
        "planned" => "Planned cost",
        "actual" => "Actual cost",
        _ => "Standard cost",
    }
}

/// What a kind of cost stands on.
#[must_use]
pub fn stands_on(kind: &str) -> &'static str {
    match kind {
        "planned" => {
            "This plan's weighed amounts, from the lots that it proposes, at what they cost."
        }
        "actual" => "What was really weighed, made and thrown away, at what each lot cost.",
        _ => "Formulas and prices in force on this date, on exact masses; no lot counts.",
    }
}

/// What makes a figure an "at least".
#[must_use]
pub fn without_price(missing: &[String]) -> String {
    format!("price not known: {}", missing.join(", "))
}

/// Title of the ledger in money.
pub const MONEY_FLOW: &str = "Money flow";
/// One side of it.
pub const CAME: &str = "Was there, and came in";
/// The other.
pub const WENT: &str = "What became of it";
/// A column.
pub const GOOD_PIECE: &str = "a good piece";
/// A column.
pub const PUT_IN: &str = "put in";
/// A column.
pub const CAME_OUT: &str = "came out";
/// A column.
pub const AMOUNT: &str = "how much";
/// Before a sum.
pub const IN_WORK: &str = "Still in work, or in pieces that are in no lot:";
/// Before a sum.
pub const LOST: &str = "lost on the way:";

/// Which load.
#[must_use]
pub fn load(formula: &str, number: i64) -> String {
    format!("{formula}, load {number}")
}

/// Title of a chart.
pub const SENT_TO: &str = "Sent to customers";
/// Title of a table.
pub const WHO_GOT: &str = "Who got them, and what became of the others";
/// Title of a table.
pub const OUT_OF_BOWL: &str =
    "Doughs, fillings and washes as they came out (in the products already)";
/// A column.
pub const EACH: &str = "each";

/// Title of what moved.
pub const CHANGES: &str = "What moved, and why";
/// What the figures are.
pub const CHANGES_STAND_ON: &str = "Standard cost of a good piece on both dates. Price, yield, formula and mix are put to \
     their new state one after another, in this order; they sum to the difference. The scale of \
     a drawing does not begin at nothing.";
/// Columns of figures.
pub const CHANGE_COLUMNS: [&str; 6] = ["was", "price", "yield", "formula", "mix", "is"];
/// The old sum.
pub const WAS: &str = "was";
/// The new sum.
pub const NOW: &str = "is";
/// Before items.
pub const OF_PRICES: &str = "Prices:";
/// Before made things.
pub const OF_YIELDS: &str = "Loses otherwise:";
/// Before made things.
pub const OF_FORMULAS: &str = "Made otherwise:";
