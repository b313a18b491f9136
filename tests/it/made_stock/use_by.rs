//! Milk on its last day in a dough that is baked after it.

use super::{FRIDAY, Yard, bakery};
use anyhow::{Context, Result, ensure};
use serde_json::json;

/// Milk use-by Thursday, a dough mixed Thursday 23:40, baked Friday.
fn yard(strict: bool, kind: &str, date: &str) -> Result<Yard> {
    let mut bakery = bakery();
    bakery["site"]["use_by_strict"] = json!(strict);
    let yard = Yard::open("2026-06-10T09:30:00+02:00", &bakery)?;
    yard.order("milk-bun", 10)?;
    yard.lot("milk", "M", "5000", &json!({kind: date}))?;
    yard.lot("white", "W", "50000", &json!({}))?;
    Ok(yard)
}

fn milk_short(yard: &Yard) -> Result<bool> {
    Ok(yard.short("milk")? != "0")
}

fn warned(yard: &Yard) -> Result<bool> {
    let notes = yard.client().requirements(FRIDAY)?["notes"].clone();
    let notes = notes.as_array().context("notes")?;
    Ok(notes.iter().any(|note| note.as_str().is_some_and(|text| text.contains("use-by"))))
}

/// # Source
/// Trade.md 7, case 13: allowed if used before local midnight, with a warning; a site can set
/// strict, which refuses it.
#[test]
fn case_13_milk_on_its_last_day_is_allowed_with_a_warning_or_refused_by_a_strict_site() -> Result<()>
{
    let easy = yard(false, "use_by", "2026-06-11")?;
    ensure!(!milk_short(&easy)? && warned(&easy)?, "allowed, and said");
    let sheet = easy.sheet("2026-06-11", "weigh-out")?;
    ensure!(sheet["notes"].to_string().contains("before midnight"), "{sheet}");
    let strict = yard(true, "use_by", "2026-06-11")?;
    ensure!(milk_short(&strict)? && !warned(&strict)?, "refused: it is short");
    Ok(())
}

#[test]
fn a_day_more_or_a_best_before_is_no_matter_and_a_day_less_is_never_allowed() -> Result<()> {
    for strict in [false, true] {
        let later = yard(strict, "use_by", FRIDAY)?;
        ensure!(!milk_short(&later)? && !warned(&later)?, "it lasts to the bake");
        let best = yard(strict, "best_before", "2026-06-11")?;
        ensure!(!milk_short(&best)? && !warned(&best)?, "a best-before binds no bake");
        let over = yard(strict, "use_by", "2026-06-10")?;
        ensure!(milk_short(&over)?, "past its use-by it is never used");
    }
    Ok(())
}
