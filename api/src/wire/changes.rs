//! What differs from a sheet that was printed: was, now, difference.

mod rows;

pub use rows::{of_pick_list, of_weigh_out};

use super::{
    amount::{QuantityView, instant},
    pick_list::pick_list,
    printed,
    weigh_out::weigh_out,
};
use crate::{
    messages::{Kept, Sentence},
    service::{
        Refusal,
        plan::{Morning, refused},
        prints::{PrintAmount, PrintRow, Printed},
    },
};
use domain::quantity::Unit;
use jiff::civil::Date;
use serde::Serialize;
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// What a sheet would say now.
type Rows = fn(&Morning, Date) -> Result<Vec<PrintRow>, Refusal>;

/// Sheets whose prints are kept, and how each is read off a plan.
pub const SHEETS: [(&str, Rows); 2] = [
    (WEIGH_OUT, |morning, date| Ok(of_weigh_out(&weigh_out(morning, date).map_err(refused)?))),
    (PICK_LIST, |morning, date| Ok(of_pick_list(&pick_list(morning, date).map_err(refused)?))),
];

/// The name of the weigh-out among kept prints.
pub const WEIGH_OUT: &str = "weigh-out";
/// The name of the pick list among kept prints.
pub const PICK_LIST: &str = "pick-list";

/// What differs from printed sheets of one revision.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ChangesView {
    /// Counts every change of what a plan is made from.
    pub plan_revision: i64,
    /// When it was computed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub made_at: String,
    /// The local date of the sheets.
    #[schema(example = "2026-06-11")]
    pub work_date: String,
    /// The bakery's name.
    pub bakery: String,
    /// The revision of the sheets that hang on the wall.
    #[schema(example = 42)]
    pub since: i64,
    /// What a person should know, in words.
    #[schema(value_type = Vec<String>)]
    pub notes: Vec<Sentence>,
    /// Sheet by sheet; one that did not change has no rows.
    pub sheets: Vec<SheetChangesView>,
}

/// What differs from one printed sheet.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SheetChangesView {
    /// Which sheet.
    #[schema(example = "weigh-out")]
    pub sheet: String,
    /// When it was printed: RFC 3339 with the bakery's offset.
    #[schema(example = "2026-06-10T09:30:00+02:00")]
    pub printed_at: String,
    /// What stands there now and did not, or no more, or otherwise; nothing else.
    pub rows: Vec<ChangeView>,
}

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ChangeView {
    /// Names the line on every print of the sheet.
    #[schema(example = "load/2026-06-12/bun/1/line/fine-salt")]
    pub key: String,
    /// What it belongs to.
    #[schema(value_type = String, example = "Bun dough, load 1, for Fri 12 Jun")]
    pub group: Sentence,
    /// What people call it.
    #[schema(value_type = String, example = "Fine salt")]
    pub label: Sentence,
    /// `changed`, `added` or `gone`.
    #[schema(example = "changed")]
    pub change: &'static str,
    /// What stands on the print; null if it was added.
    #[schema(value_type = Option<String>, example = "92.7 g")]
    pub was: Option<Sentence>,
    /// What stands there now; null if it is gone.
    #[schema(value_type = Option<String>, example = "100.3 g")]
    pub now: Option<Sentence>,
    /// Now less was, where both are amounts of one unit.
    pub difference: Option<QuantityView>,
    /// The same as it stands on paper, with its sign.
    #[schema(example = "+7.6 g")]
    pub difference_printed: Option<String>,
}

/// What differs between kept prints and what their sheets would say now.
///
/// # Errors
/// [`Refusal`] if a sheet cannot be computed.
pub fn changes(
    morning: &Morning,
    (work_date, since): (Date, i64),
    prints: &[(Printed, Vec<PrintRow>)],
) -> Result<ChangesView, Refusal> {
    let zone = &morning.bakery.site().time_zone;
    let mut sheets = Vec::with_capacity(prints.len());
    for (printed, was) in prints {
        let Some((_, read)) = SHEETS.iter().find(|(name, _)| *name == printed.sheet) else {
            continue;
        };
        sheets.push(SheetChangesView {
            sheet: printed.sheet.clone(),
            printed_at: instant(zone, printed.printed_at),
            rows: differences(was, &read(morning, work_date)?),
        });
    }
    Ok(ChangesView {
        plan_revision: morning.plan_revision,
        made_at: instant(zone, morning.now),
        work_date: work_date.to_string(),
        bakery: morning.bakery.site().name.clone(),
        since,
        notes: Vec::new(),
        sheets,
    })
}

/// What differs between two prints, in the order of the later one; what is gone follows
/// what stood before it.
#[must_use]
pub fn differences(was: &[PrintRow], now: &[PrintRow]) -> Vec<ChangeView> {
    let before: BTreeMap<&str, &PrintRow> = was.iter().map(|row| (row.key.as_str(), row)).collect();
    let after: BTreeMap<&str, usize> =
        now.iter().enumerate().map(|(at, row)| (row.key.as_str(), at)).collect();
    // Where each row stands: that of the last row before it that is still there.
    let mut placed: Vec<(usize, ChangeView)> = Vec::new();
    let mut place = 0;
    for row in was {
        match after.get(row.key.as_str()) {
            Some(&at) => place = at + 1,
            None => placed.push((place, change("gone", Some(row), None))),
        }
    }
    for (at, row) in now.iter().enumerate() {
        match before.get(row.key.as_str()) {
            None => placed.push((at, change("added", None, Some(row)))),
            // A print of before there were messages is a bare text.
            Some(old) if said(&old.value).wired() != said(&row.value).wired() => {
                placed.push((at, change("changed", Some(old), Some(row))));
            }
            Some(_) => {}
        }
    }
    placed.sort_by_key(|(at, _)| *at);
    placed.into_iter().map(|(_, change)| change).collect()
}

fn change(word: &'static str, was: Option<&PrintRow>, now: Option<&PrintRow>) -> ChangeView {
    let named = now.or(was);
    let nothing = || Sentence::from("");
    let amount = |row: Option<&PrintRow>| row.and_then(|row| row.amount.clone());
    let difference = amount(was).zip(amount(now)).and_then(|(was, now)| difference(&was, &now));
    ChangeView {
        key: named.map(|row| row.key.clone()).unwrap_or_default(),
        group: named.map_or_else(nothing, |row| said(&row.group)),
        label: named.map_or_else(nothing, |row| said(&row.label)),
        change: word,
        was: was.map(|row| said(&row.value)),
        now: now.map(|row| said(&row.value)),
        difference: difference.map(|(micro, unit)| QuantityView::whole(micro, unit)),
        difference_printed: difference.map(|(micro, unit)| {
            let shown = match unit {
                Unit::Gram => printed::sum(micro),
                Unit::Millilitre | Unit::Each => printed::amount(micro, unit),
            };
            let sign = if micro > 0 { "+" } else { "" };
            format!("{sign}{} {}", shown.amount, shown.unit)
        }),
    }
}

fn said(kept: &Kept) -> Sentence {
    kept.clone().into()
}

fn difference(was: &PrintAmount, now: &PrintAmount) -> Option<(i64, Unit)> {
    let (unit, _) = Unit::parse(&now.unit).ok().filter(|_| was.unit == now.unit)?;
    Some((now.micro.checked_sub(was.micro)?, unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(key: &str, value: &str, micro: Option<i64>) -> PrintRow {
        PrintRow {
            key: key.to_owned(),
            group: Sentence::from("g").kept(),
            label: Sentence::from(key).kept(),
            value: Sentence::from(value).kept(),
            amount: micro.map(|micro| PrintAmount { micro, unit: "g".to_owned() }),
        }
    }

    #[test]
    fn a_slip_shows_what_differs_and_nothing_else() {
        // Source: trade rules, 2.12: a reprint after release prints only the changes.
        let was = [
            row("a", "5.16 kg", Some(5_160_000_000)),
            row("b", "2 g", None),
            row("c", "1", None),
            row("e", "x", None),
        ];
        let now = [
            row("a", "5.18 kg", Some(5_180_000_000)),
            row("c", "1", None),
            row("d", "3", None),
            row("e", "x", None),
        ];
        let found = differences(&was, &now);
        let words: Vec<_> = found.iter().map(|one| (one.key.as_str(), one.change)).collect();
        assert_eq!(words, [("a", "changed"), ("b", "gone"), ("d", "added")]);
        assert_eq!(found[0].difference_printed.as_deref(), Some("+20 g"));
        assert!(differences(&now, &now).is_empty());
    }
}
