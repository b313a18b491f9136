//! The table of foods that is shipped: a small part of a public-domain release.

use domain::{
    nutrients::{Nutrient, Nutrients},
    ratio::Ratio,
};
use std::{collections::BTreeMap, sync::LazyLock};

/// The table: comments, a heading, and one food in each line.
pub const TABLE: &str = include_str!("nutrients/sr28.tsv");

/// The release that the table is taken from.
pub const SOURCE: &str =
    "sr28: USDA National Nutrient Database for Standard Reference, Release 28, public domain";

/// Most decimals of a value of the release.
const DECIMALS: u32 = 6;

static FOODS: LazyLock<BTreeMap<&str, Nutrients>> = LazyLock::new(|| {
    let columns = columns();
    rows().map(|cells| (cells[0], read(&columns, &cells))).collect()
});

/// What 100 g of a food of the table hold.
#[must_use]
pub fn find(food: &str) -> Option<Nutrients> {
    FOODS.get(food).cloned()
}

/// The names of the columns.
#[must_use]
pub fn columns() -> Vec<&'static str> {
    lines().next().map(|line| line.split('\t').collect()).unwrap_or_default()
}

/// The cells of every food.
pub fn rows() -> impl Iterator<Item = Vec<&'static str>> {
    lines().skip(1).map(|line| line.split('\t').collect())
}

fn lines() -> impl Iterator<Item = &'static str> {
    TABLE.lines().filter(|line| !line.starts_with('#'))
}

fn read(columns: &[&str], cells: &[&str]) -> Nutrients {
    let name = cells.get(1).copied().unwrap_or_default();
    let mut found =
        Nutrients { source: Some(format!("{} {name}", cells[0])), ..Nutrients::default() };
    for (column, cell) in columns.iter().zip(cells) {
        if let Some(nutrient) = Nutrient::parse(column) {
            found.per_100g[nutrient as usize] = Ratio::parse_decimal(cell, DECIMALS).ok();
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cell_of_the_table_is_a_number_or_empty() {
        let columns = columns();
        assert!(columns.len() > 15);
        for cells in rows() {
            assert_eq!(cells.len(), columns.len(), "{}", cells[0]);
            for (column, cell) in columns.iter().zip(&cells).skip(2) {
                let number = cell.is_empty() || Ratio::parse_decimal(cell, DECIMALS).is_ok();
                assert!(number, "{} {column}: {cell}", cells[0]);
            }
        }
    }
}
