//! Phrases of several sheets that carry names or figures; their words are messages.

pub mod drop;
pub mod money;
pub mod prep;
pub mod recall;
pub mod statements;

use crate::{
    messages::{Sentence, Words, told},
    wire::findings::ahead_words,
};

/// A formula with released loads.
#[must_use]
pub fn released_keep(words: Words, formula: &str) -> String {
    words.tell("replaced-released-keep", &[("formula", formula.into())])
}

/// What a change slip stands for.
#[must_use]
pub fn replaces(words: Words, sheet: &str, revision: i64) -> String {
    let name = words.find(&format!("sheet-{sheet}"), &[]);
    let sheet = name.unwrap_or_else(|| sheet.to_owned());
    words.tell(
        "change-slip-replaces",
        &[("sheet", sheet.into()), ("revision", self::revision(words, revision).into())],
    )
}

/// A load that was not on the sheet.
#[must_use]
pub fn new_load(words: Words, revision: i64) -> String {
    words.tell("change-slip-new-load", &[("revision", self::revision(words, revision).into())])
}

/// Which load is fixed or done, by whom and when.
#[must_use]
pub fn state_by(words: Words, state: &str, who: &str, at: &str) -> String {
    let (state, moment) = (words.state(state).to_uppercase(), words.moment(at));
    words.tell(
        "sheet-state-by",
        &[("state", state.into()), ("moment", moment.into()), ("who", who.into())],
    )
}

/// Before a block without an allergen of the block before.
#[must_use]
pub fn clean_down(words: Words, gone: &[String]) -> String {
    let gone = words.allergens(gone);
    words.tell("sheet-clean-down", &[("gone", gone.into())])
}

/// A load under its mixer's minimum.
#[must_use]
pub fn undecided(words: Words, options: &[Sentence]) -> String {
    let options = told(words, options).join(" / ");
    words.tell("sheet-under-minimum", &[("options", options.into())])
}

/// There is too little of some things, or of what the line names, and no cutoff is left.
#[must_use]
pub fn too_little(words: Words, of: &[String]) -> String {
    if of.is_empty() {
        return words.say("sheet-too-little");
    }
    words.tell("sheet-too-little-of", &[("what", of.join(", ").into())])
}

/// Smaller packs in place of the last whole one.
#[must_use]
pub fn split_case(words: Words, name: &str, packs: i64, holds: &str, saves: &str) -> String {
    words.tell(
        "shortages-split-case",
        &[
            ("name", name.into()),
            ("packs", packs.to_string().into()),
            ("holds", words.said(holds).into()),
            ("saves", saves.into()),
        ],
    )
}

/// A load that one person should not lift.
#[must_use]
pub fn heavy(words: Words, amount: &str, unit: &str) -> String {
    words.tell("weigh-out-two-people", &[("mass", words.amount(amount, unit).into())])
}

/// Which load.
#[must_use]
pub fn load_of(words: Words, load: i64, loads: i64) -> String {
    let (load, loads) = (load.to_string(), loads.to_string());
    words.tell("weigh-out-load", &[("load", load.into()), ("loads", loads.into())])
}

/// Whole blocks of laminated dough.
#[must_use]
pub fn blocks(words: Words, count: i64) -> String {
    words.tell("sheet-blocks", &[("count", count.into())])
}

/// The sum of a page.
#[must_use]
pub fn page_sum(words: Words, amount: &str, unit: &str) -> String {
    words.tell("sheet-page-sum", &[("sum", words.amount(amount, unit).into())])
}

/// The sum of all loads.
#[must_use]
pub fn all_loads(words: Words, loads: i64, amount: &str, unit: &str) -> String {
    let (loads, sum) = (loads.to_string(), words.amount(amount, unit));
    words.tell("sheet-all-loads", &[("loads", loads.into()), ("sum", sum.into())])
}

/// Which sheet of how many.
#[must_use]
pub fn sheet_of(words: Words, sheet: usize, sheets: usize) -> String {
    let (sheet, sheets) = (sheet.to_string(), sheets.to_string());
    words.tell("sheet-number", &[("sheet", sheet.into()), ("sheets", sheets.into())])
}

/// Which state of the plan.
#[must_use]
pub fn revision(words: Words, revision: i64) -> String {
    words.tell("revision", &[("revision", revision.to_string().into())])
}

/// What the lines of a table belong to, said again on each paper page.
#[must_use]
pub fn again(words: Words, of: &[&str], work_date: &str, revision_held: i64) -> String {
    let revision = revision(words, revision_held);
    format!("{} · {} · {revision}", of.join(" · "), words.year_day(work_date))
}

/// When it was printed.
#[must_use]
pub fn printed_at(words: Words, instant: &str) -> String {
    words.tell("sheet-printed", &[("moment", words.moment(instant).into())])
}

/// A line that no lot covers.
#[must_use]
pub fn short(words: Words, amount: &str) -> String {
    words.tell("weigh-out-short", &[("amount", amount.into())])
}

/// How a remark of the plan begins that keeps hands off something.
pub const STOP: &str = "STOP";

/// A lot that must not be used.
#[must_use]
pub fn stop_lot(words: Words, name: &str, lot: &str, state: &str) -> String {
    let message = if state == STOP { "fridge-over-age" } else { "fridge-on-hold" };
    words.tell(message, &[("name", name.into()), ("lot", lot.into())])
}

/// A number of pieces.
#[must_use]
pub fn pieces(words: Words, count: i64) -> String {
    words.tell("sheet-pieces-of", &[("count", count.into())])
}

/// What was made ahead of orders, if any was.
#[must_use]
pub fn ahead(words: Words, par: i64, forecast: i64) -> Option<String> {
    ahead_words(par, forecast).map(|pieces| pieces.told(words))
}

/// What a made lot goes into as seed or old dough: `Fri 12 Jun: into levain`.
#[must_use]
pub fn goes_into(words: Words, date: &str, by: &[Sentence]) -> String {
    words.tell(
        "fridge-goes-into",
        &[("day", words.day_of(date).into()), ("by", told(words, by).join(", ").into())],
    )
}

/// How long something thaws.
#[must_use]
pub fn thaw(words: Words, minutes: i64) -> String {
    words.tell("pick-list-thaw", &[("span", hours(minutes).into())])
}

/// How long something stands before it is used.
#[must_use]
pub fn temper(words: Words, minutes: i64) -> String {
    words.tell("pick-list-temper", &[("span", hours(minutes).into())])
}

/// Hours and minutes, by signs that are the same in every language.
#[must_use]
pub fn hours(minutes: i64) -> String {
    format!("{} h {:02} min", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::messages::Language;

    #[test]
    fn one_is_a_piece_and_more_are_pieces() {
        let said = |count| pieces(Words::ENGLISH, count);
        assert_eq!([0, 1, 2].map(said), ["0 pieces", "1 piece", "2 pieces"]);
        // Nought is singular in French: the rules of the Unicode CLDR for cardinal numbers.
        let said = |count| pieces(Words { language: Language::French }, count);
        assert_eq!([0, 1, 2].map(said), ["0 pièce", "1 pièce", "2 pièces"]);
    }
}
