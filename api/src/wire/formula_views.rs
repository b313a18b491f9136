//! A formula in its two views: what goes into the bowl, and what it is made of overall.

use crate::service::plan::Morning;
use domain::bakery::Views;
use serde::Serialize;
use utoipa::ToSchema;

/// A formula in parts as the baker wrote them, rounded half up to six places.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FormulaViewsView {
    /// Which formula.
    #[schema(example = "country")]
    pub formula: String,
    /// All flour, sub-formulas' included: about 100 in a bread.
    #[schema(example = "100")]
    pub flour_parts: String,
    /// Each flour, sub-formulas' included.
    pub flours: Vec<SharePercentView>,
    /// Water that is free to hydrate.
    pub water: String,
    /// Water bound in soakers.
    pub bound_water: String,
    /// Salt, soakers' included.
    pub salt: String,
    /// Flour that comes in sub-formulas.
    pub prefermented: String,
    /// What goes into the bowl, in order of addition.
    pub final_mix: Vec<SharePercentView>,
    /// The same with sub-formulas dissolved.
    pub overall: Vec<SharePercentView>,
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// The date for which the formula version holds.
    pub as_of: String,
}

/// One item and its parts.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SharePercentView {
    /// Which item.
    #[schema(example = "strong-white")]
    pub item: String,
    /// Its parts: percent of flour in a bread.
    #[schema(example = "68")]
    pub percent: String,
}

/// The views of a formula on today's date.
#[must_use]
pub fn formula_views(morning: &Morning, formula: &str, views: &Views) -> FormulaViewsView {
    // The type of exact numbers is the domain's own affair: only its digits are read here.
    macro_rules! decimal {
        ($value:expr) => {{
            let value = $value;
            let twice = value.denom() * 2_u32;
            six_places(((value.numer() * 2_000_000_u32 + value.denom()) / twice).to_string())
        }};
    }
    macro_rules! shares {
        ($list:expr) => {
            $list
                .iter()
                .map(|(item, parts)| SharePercentView {
                    item: morning.bakery.item(*item).code.to_string(),
                    percent: decimal!(parts),
                })
                .collect()
        };
    }
    FormulaViewsView {
        formula: formula.to_string(),
        flour_parts: decimal!(&views.flour_parts),
        flours: shares!(views.flours),
        water: decimal!(&views.water),
        bound_water: decimal!(&views.bound_water),
        salt: decimal!(&views.salt),
        prefermented: decimal!(&views.prefermented),
        final_mix: shares!(views.final_mix),
        overall: shares!(views.overall),
        plan_revision: morning.plan_revision,
        as_of: morning.today().to_string(),
    }
}

/// Whole millionths as a plain decimal.
fn six_places(millionths: String) -> String {
    let padded = format!("{millionths:0>7}");
    let (whole, part) = padded.split_at(padded.len() - 6);
    let part = part.trim_end_matches('0');
    if part.is_empty() { whole.to_owned() } else { format!("{whole}.{part}") }
}

#[cfg(test)]
mod tests {
    use super::six_places;

    #[test]
    fn millionths_become_a_plain_decimal() {
        let shown = ["0", "1", "1500000", "33333333"].map(|text| six_places(text.to_owned()));
        assert_eq!(shown, ["0", "0.000001", "1.5", "33.333333"]);
    }
}
