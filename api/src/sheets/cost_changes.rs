//! What moved of costs, on paper: a table, and steps from the old cost to the new.

use super::{
    bar::{self, Fill},
    page::{Stamp, document, foot, notes, stamp},
    texts::money,
};
use crate::messages::Words;
use crate::wire::cost_changes::{CauseView, CostChangeView, CostChangesView};
use maud::{Markup, html};

/// Columns of figures.
const COLUMNS: [&str; 6] = [
    "costs-moved-was",
    "costs-cause-price",
    "costs-cause-yield",
    "costs-cause-formula",
    "costs-cause-mix",
    "costs-moved-is",
];

/// Draws the sheet.
#[must_use]
pub fn draw(words: Words, view: &CostChangesView) -> Markup {
    let page = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("costs-moved"),
        work_date: &view.to,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let moved = view.products.iter().filter(|line| line.causes.iter().any(moves));
    let body = html! {
        main.sheet.cost {
            (stamp(&page, None))
            header {
                h1 { (words.say("costs-moved")) }
                p.load { (words.day_of(&view.from)) " → " (words.day_of(&view.to)) }
            }
            p { (words.say("costs-changes-stand-on")) }
            (table(words, view))
            @for line in moved { (steps(words, view, line)) }
            (foot(words, &[]))
        }
    };
    document(words, &format!("{} {} {}", words.say("costs-moved"), view.from, view.to), &body)
}

fn moves(cause: &CauseView) -> bool {
    !cause.added.trim_matches(['-', '0', '.']).is_empty()
}

/// A change with its sign.
fn signed(added: &str) -> String {
    if added.starts_with('-') || added.trim_matches(['0', '.']).is_empty() {
        return added.replace('-', "−");
    }
    format!("+{added}")
}

fn table(words: Words, view: &CostChangesView) -> Markup {
    html! {
        table.lines.short {
            thead {
                tr {
                    th.what { (words.say("costs-product-sheet")) }
                    @for column in COLUMNS { th.figure { (words.say(column)) } }
                }
            }
            tbody {
                @for line in &view.products {
                    tr {
                        td.what {
                            (line.name)
                            @if !line.missing.is_empty() { p.remark { (money::without_price(words, &line.missing)) } }
                        }
                        td.figure { (line.was) }
                        @for cause in &line.causes { td.figure { (signed(&cause.added)) } }
                        td.figure { b { (line.now) } }
                    }
                }
            }
        }
    }
}

fn steps(words: Words, view: &CostChangesView, line: &CostChangeView) -> Markup {
    html! {
        section.group {
            h2 { (line.name) span.when { " " (line.printed.told(words)) } }
            (notes(words, &line.notes))
            (waterfall(words, view, line))
            @if !line.prices.is_empty() {
                p { (words.say("costs-of-prices")) " " (line.prices.iter().map(|one| format!("{} {}", one.of, signed(&one.added))).collect::<Vec<_>>().join(", ")) }
            }
            @if !line.yields.is_empty() { p { (words.say("costs-of-yields")) " " (line.yields.join(", ")) } }
            @if !line.formulas.is_empty() { p { (words.say("costs-of-formulas")) " " (line.formulas.join(", ")) } }
        }
    }
}

/// Width of the drawing, in its own units.
const WIDTH: i64 = 700;
/// Where bars begin: words stand before.
const LEFT: i64 = 190;
/// Height of one bar.
const ROW: i64 = 26;

/// Ten-thousandths of a printed sum.
fn parsed(text: &str) -> i64 {
    text.replace('.', "").parse().unwrap_or(0)
}

/// Steps from the old cost to the new: full bars for sums, striped for what is added, empty
/// for what is saved; every figure stands beside its bar.
fn waterfall(words: Words, view: &CostChangesView, line: &CostChangeView) -> Markup {
    let mut rows = vec![(words.say("costs-moved-was"), line.was.clone(), 0, parsed(&line.was))];
    let mut sum = parsed(&line.was);
    for cause in &line.causes {
        let next = sum + parsed(&cause.added);
        rows.push((cause.of.clone(), signed(&cause.added), sum, next));
        sum = next;
    }
    rows.push((words.say("costs-moved-is"), line.now.clone(), 0, sum));
    let ends = rows.iter().map(|&(.., end)| end);
    let (low, high) = (ends.clone().min().unwrap_or(0), ends.max().unwrap_or(0));
    // Sums would hide their steps if the scale began at nothing.
    let low = (low - (high - low).max(1)).max(0);
    let place =
        |value: i64| LEFT + (value.max(low) - low) * (WIDTH - LEFT - 110) / (high - low).max(1);
    let words: Vec<_> = rows.iter().map(|(name, figure, ..)| format!("{name} {figure}")).collect();
    let height = ROW * i64::try_from(rows.len()).unwrap_or(0) + 4;
    html! {
        svg.chart role="img" viewBox={ "0 0 " (WIDTH) " " (height) } xmlns="http://www.w3.org/2000/svg" {
            title { (line.name) ", " (view.currency) }
            desc { (words.join("; ")) }
            @for (row, (name, figure, from, to)) in (0_i64..).zip(&rows) {
                @let (x, end) = (place(*from.min(to)), place(*from.max(to)));
                @let top = row * ROW + 4;
                @let fill = if *from == 0 { Fill::Black } else if to > from { Fill::Stripes } else { Fill::White };
                text x="0" y=(top + 14) font-size="15" { (name) }
                (bar::draw(fill, (x, top), ((end - x).max(1), 17)))
                text x=(end + 6) y=(top + 14) font-size="15" font-weight="bold" { (figure) }
            }
        }
    }
}
