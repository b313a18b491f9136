//! What orders of a service date asked for and do not get, line by line.

use super::Refusal;
use crate::{
    document::parse_time,
    messages::{Kept, Sentence},
    state::State,
    store::orders::{self, CutLineRow},
};
use jiff::civil::{Date, Time};

/// A line that was taken in part, or not at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutLine {
    /// Code of who ordered.
    pub customer: String,
    /// Local time of its drop, if the order says one.
    pub drop: Option<Time>,
    /// Code of the product.
    pub product: String,
    /// Pieces that were asked for and not taken.
    pub missing: i64,
    /// Why, as the sender was answered.
    pub sentence: Option<Sentence>,
}

/// Lines of a service date that were not taken whole.
///
/// # Errors
/// [`Refusal::Store`]
pub fn cut_lines(state: &State, date: Date) -> Result<Vec<CutLine>, Refusal> {
    let rows = state.store.read(|tx| -> Result<_, Refusal> {
        Ok(orders::cut_lines(tx, &state.site, &date.to_string())?)
    })?;
    let line = |row: CutLineRow| {
        // What is no whole number was refused as such: nobody can say how many are missing.
        let asked = row.quantity_asked.parse::<i64>().unwrap_or(row.quantity_taken);
        Some(CutLine {
            customer: row.customer?,
            drop: row.drop_time.as_deref().and_then(parse_time),
            product: row.product,
            missing: asked - row.quantity_taken,
            sentence: row.sentence.map(|text| Kept::read(text).into()),
        })
    };
    Ok(rows.into_iter().filter_map(line).collect())
}
