//! The frame of every page, and pieces that several sheets share.

use super::texts;
use crate::wire::{
    allergens::AllergensView, amount::QuantityView, printed::PrintedView,
    weigh_out::LotProposalView,
};
use maud::{DOCTYPE, Markup, html};

/// A whole document.
pub(super) fn document(title: &str, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
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
    pub(super) bakery: &'a str,
    pub(super) title: &'a str,
    pub(super) work_date: &'a str,
    pub(super) plan_revision: i64,
    pub(super) made_at: &'a str,
}

/// The thin line on top of each sheet.
pub(super) fn stamp(stamp: &Stamp<'_>, number: Option<(usize, usize)>) -> Markup {
    html! {
        p.stamp {
            span { (stamp.bakery) " · " b { (stamp.title) } " · " (texts::full_day(stamp.work_date)) }
            span { (texts::revision(stamp.plan_revision)) " · " (texts::printed_at(stamp.made_at)) }
            @if let Some((sheet, sheets)) = number {
                span { (texts::sheet_of(sheet, sheets)) }
            }
        }
    }
}

/// The widths of a table's columns, by the names that the style sheet knows.
pub(super) fn widths(columns: &[&str]) -> Markup {
    html! { colgroup { @for column in columns { col class=(column); } } }
}

/// Remarks, if there are any.
pub(super) fn notes(notes: &[String]) -> Markup {
    html! {
        @if !notes.is_empty() {
            ul.notes { @for note in notes { li.loud[note.starts_with(texts::STOP)] { (note) } } }
        }
    }
}

/// An exact amount in the unit in which people say it; no digit is dropped.
#[must_use]
pub fn said(quantity: &QuantityView) -> String {
    let QuantityView { amount, unit } = quantity;
    let (whole, part) = amount.split_once('.').unwrap_or((amount, ""));
    let larger = match *unit {
        "g" => "kg",
        "mL" => "L",
        "each" => return format!("{amount} pieces"),
        other => return format!("{amount} {other}"),
    };
    let Some(at) = whole.len().checked_sub(3).filter(|_| whole.trim_start_matches('-').len() > 3)
    else {
        return format!("{amount} {unit}");
    };
    let (kilo, rest) = whole.split_at(at);
    let digits = format!("{rest}{part}");
    match digits.trim_end_matches('0') {
        "" => format!("{kilo} {larger}"),
        digits => format!("{kilo}.{digits} {larger}"),
    }
}

/// Packs and loose in words, each part on one line.
pub(super) fn parts(words: &str) -> Markup {
    html! {
        @for (at, part) in words.split(" + ").enumerate() {
            @if at > 0 { " + " }
            span.whole { (part) }
        }
    }
}

/// Digits and unit, never parted.
pub(super) fn amount(printed: &PrintedView) -> Markup {
    html! {
        @for (at, part) in printed.amount.split(" + ").enumerate() {
            @if at > 0 { " + " }
            span.digits { (part) }
        }
        span.unit { " " (printed.unit) }
    }
}

/// Allergens in words; what nobody knows is loud.
pub(super) fn allergens(found: &AllergensView) -> Markup {
    let nothing =
        found.contains.is_empty() && found.may_contain.is_empty() && found.unknown.is_empty();
    html! {
        @if !nothing {
            @let class = if found.unknown.is_empty() { "allergens" } else { "allergens loud" };
            p class=(class) { (found.statement) }
        }
    }
}

/// Proposed lots, each with its date; amounts only if there are several.
pub(super) fn lots(lots: &[LotProposalView]) -> Markup {
    html! {
        @for lot in lots {
            p.lot {
                b { (lot.lot) }
                @if lots.len() > 1 {
                    " " span.part { (lot.printed.amount) " " (lot.printed.unit) }
                }
                @if let Some(until) = &lot.usable_until {
                    br; span.date { "until " (texts::moment(until)) }
                } @else if let Some(date) = &lot.best_before {
                    br; span.date { (texts::last_day(date)) }
                }
            }
        }
    }
}

/// Safety lines and the foot of every sheet.
pub(super) fn foot(safety: &[&str]) -> Markup {
    html! {
        footer {
            p.safety { @for line in safety { span { (line) } " " } }
            p.foot { (texts::foot()) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_is_said_in_kilograms_from_one_on_and_keeps_its_digits() {
        let text = |amount: &str, unit| said(&QuantityView { amount: amount.to_owned(), unit });
        assert_eq!(text("10207.5", "g"), "10.2075 kg");
        assert_eq!(text("25000", "g"), "25 kg");
        assert_eq!(text("999.9", "g"), "999.9 g");
        assert_eq!(text("-1500", "mL"), "-1.5 L");
        assert_eq!(text("6", "each"), "6 pieces");
    }
}
