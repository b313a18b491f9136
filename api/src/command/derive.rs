//! Derives the shipped table of foods from the files of the whole release.

use super::{CommandError, say};
use crate::nutrients;
use clap::Args;
use std::{collections::BTreeMap, fs, path::PathBuf};

/// Where the release lies.
#[derive(Debug, Args)]
pub(super) struct DeriveArgs {
    /// Folder with `FOOD_DES.txt` and `NUT_DATA.txt` of Release 28
    #[arg(long, value_name = "DIR")]
    release: PathBuf,
}

/// Numbers of the release by the columns of the table.
///
/// # Source
/// The release's own `NUTR_DEF.txt`.
const NUMBERS: [(&str, &str); 17] = [
    ("energy", "208"),
    ("protein", "203"),
    ("fat", "204"),
    ("saturates", "606"),
    ("trans", "605"),
    ("carbohydrate", "205"),
    ("fibre", "291"),
    ("sugars", "269"),
    ("alcohol", "221"),
    ("cholesterol", "601"),
    ("sodium", "307"),
    ("vitamin_d", "328"),
    ("calcium", "301"),
    ("iron", "303"),
    ("potassium", "306"),
    ("water", "255"),
    ("ash", "207"),
];

/// Columns of `FOOD_DES.txt`: name, and Atwater factors of protein, fat, carbohydrate.
const FOOD_COLUMNS: [(&str, usize); 4] =
    [("name", 2), ("atwater_protein", 11), ("atwater_fat", 12), ("atwater_carbohydrate", 13)];

/// Prints the table anew, for the foods that it names.
pub(super) fn derive(args: DeriveArgs) -> Result<(), CommandError> {
    let DeriveArgs { release } = args;
    let read = |name: &str| {
        let path = release.join(name);
        // The release is written in Latin-1: each byte is a character.
        let bytes = fs::read(&path).map_err(|source| CommandError::Read { path, source })?;
        Ok::<String, CommandError>(bytes.into_iter().map(char::from).collect())
    };
    let foods = cells(&read("FOOD_DES.txt")?);
    let mut values: BTreeMap<(String, String), String> = BTreeMap::new();
    for row in cells(&read("NUT_DATA.txt")?) {
        if let [food, number, value, ..] = row.as_slice() {
            values.insert((food.clone(), number.clone()), value.clone());
        }
    }
    let columns = nutrients::columns();
    let comments = nutrients::TABLE.lines().filter(|line| line.starts_with('#'));
    let mut lines: Vec<String> = comments.map(str::to_owned).collect();
    lines.push(columns.join("\t"));
    for row in nutrients::rows() {
        let code = row[0].trim_start_matches("sr28-");
        let food = foods.iter().find(|cells| cells.first().is_some_and(|first| first == code));
        let food = food.ok_or_else(|| CommandError::Usage(format!("no food {code} there")))?;
        let cell = |column: &&str| {
            let number = NUMBERS.iter().find(|(name, _)| name == column);
            let at = FOOD_COLUMNS.iter().find(|(name, _)| name == column);
            match (number, at) {
                (Some((_, number)), _) => {
                    values.get(&(code.to_owned(), (*number).to_owned())).cloned()
                }
                (None, Some((_, at))) => food.get(*at).cloned(),
                (None, None) => Some(row[0].to_owned()),
            }
        };
        let cells: Vec<String> =
            columns.iter().map(|column| cell(column).unwrap_or_default()).collect();
        lines.push(cells.join("\t"));
    }
    say(&lines.join("\n"))
}

/// Cells between carets; texts stand between tildes.
fn cells(text: &str) -> Vec<Vec<String>> {
    let cell = |cell: &str| cell.trim_end().trim_matches('~').to_owned();
    text.lines().map(|line| line.split('^').map(cell).collect()).collect()
}
