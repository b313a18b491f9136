//! The frame of every page, and pieces that several sheets share.

use super::texts;
use crate::messages::{Sentence, Words, told};
use crate::wire::{
    allergens::AllergensView, amount::QuantityView, printed::PrintedView,
    weigh_out::LotProposalView,
};
use maud::{DOCTYPE, Markup, html};

/// A whole document.
pub(super) fn document(words: Words, title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang=(words.language.code()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                link rel="stylesheet" href="/assets/sheet.css";
            }
            body { (body) }
        }
    }
}

/// What every sheet says of itself.
pub(super) struct Stamp<'a> {
    pub(super) words: Words,
    pub(super) bakery: &'a str,
    pub(super) title: String,
    pub(super) work_date: &'a str,
    pub(super) plan_revision: i64,
    pub(super) made_at: &'a str,
}

/// The thin line on top of each sheet.
pub(super) fn stamp(stamp: &Stamp<'_>, number: Option<(usize, usize)>) -> Markup {
    let words = stamp.words;
    html! {
        p.stamp {
            span { (stamp.bakery) " · " b { (stamp.title) } " · " (words.year_day(stamp.work_date)) }
            span { (texts::revision(words, stamp.plan_revision)) " · " (texts::printed_at(words, stamp.made_at)) }
            @if let Some((sheet, sheets)) = number {
                span { (texts::sheet_of(words, sheet, sheets)) }
            }
        }
    }
}

/// The widths of a table's columns, by the names that the style sheet knows.
pub(super) fn widths(columns: &[&str]) -> Markup {
    html! { colgroup { @for column in columns { col class=(column); } } }
}

/// Remarks of the plan, if there are any; a stop is loud in every language.
pub(super) fn notes(words: Words, notes: &[Sentence]) -> Markup {
    html! {
        @if !notes.is_empty() {
            ul.notes { @for note in told(words, notes) { li.loud[note.starts_with(texts::STOP)] { (note) } } }
        }
    }
}

/// An exact amount in the unit in which people say it; no digit is dropped.
#[must_use]
pub fn said(words: Words, quantity: &QuantityView) -> String {
    let QuantityView { amount, unit } = quantity;
    let (whole, part) = amount.split_once('.').unwrap_or((amount, ""));
    let larger = match *unit {
        "g" => "kg",
        "mL" => "L",
        "each" => return words.amount(amount, "pieces"),
        other => return words.amount(amount, other),
    };
    let Some(at) = whole.len().checked_sub(3).filter(|_| whole.trim_start_matches('-').len() > 3)
    else {
        return words.amount(amount, unit);
    };
    let (kilo, rest) = whole.split_at(at);
    let digits = format!("{rest}{part}");
    match digits.trim_end_matches('0') {
        "" => words.amount(kilo, larger),
        digits => words.amount(&format!("{kilo}.{digits}"), larger),
    }
}

/// Packs and loose in words, each part on one line.
pub(super) fn parts(words: Words, fetch: &str) -> Markup {
    html! {
        @for (at, part) in fetch.split(" + ").enumerate() {
            @if at > 0 { " + " }
            span.whole { (words.said(part)) }
        }
    }
}

/// Digits and unit, never parted.
pub(super) fn amount(words: Words, printed: &PrintedView) -> Markup {
    html! {
        @for (at, part) in printed.amount.split(" + ").enumerate() {
            @if at > 0 { " + " }
            span.digits { (words.digits(part)) }
        }
        span.unit { " " (words.unit_of(&printed.amount, printed.unit)) }
    }
}

/// Allergens in words; what nobody knows is loud.
pub(super) fn allergens(words: Words, found: &AllergensView) -> Markup {
    let nothing =
        found.contains.is_empty() && found.may_contain.is_empty() && found.unknown.is_empty();
    html! {
        @if !nothing {
            p.allergens.loud[!found.unknown.is_empty()] { (found.statement.told(words)) }
        }
    }
}

/// Proposed lots, each with its date; amounts only if there are several.
pub(super) fn lots(words: Words, lots: &[LotProposalView]) -> Markup {
    html! {
        @for lot in lots {
            p.lot {
                b { (lot.lot) }
                @if lots.len() > 1 {
                    " " span.part { (words.amount(&lot.printed.amount, lot.printed.unit)) }
                }
                @if let Some(until) = &lot.usable_until {
                    br; span.date { (words.tell("weigh-out-until", &[("moment", words.moment(until).into())])) }
                } @else if let Some(date) = &lot.best_before {
                    br; span.date { (words.pack_day(date)) }
                }
            }
        }
    }
}

/// Safety lines and the foot of every sheet.
pub(super) fn foot(words: Words, safety: &[String]) -> Markup {
    html! {
        footer {
            p.safety { @for line in safety { span { (line) } " " } }
            p.foot { (words.say("calculated")) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_is_said_in_kilograms_from_one_on_and_keeps_its_digits() {
        let text = |amount: &str, unit| {
            said(Words::ENGLISH, &QuantityView { amount: amount.to_owned(), unit })
        };
        assert_eq!(text("10207.5", "g"), "10.2075 kg");
        assert_eq!(text("25000", "g"), "25 kg");
        assert_eq!(text("999.9", "g"), "999.9 g");
        assert_eq!(text("-1500", "mL"), "-1.5 L");
        assert_eq!(text("6", "each"), "6 pieces");
    }
}
