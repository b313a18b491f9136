//! The weigh-out on paper: one load on a page.

use super::{
    page::{Stamp, allergens, amount, document, foot, lots, notes, said, stamp, widths},
    texts,
};
use crate::messages::{Sentence, Words};
use crate::wire::weigh_out::{
    ToppingBlockView, WeighBlockView, WeighLineView, WeighOutView, WeighPageView,
};
use maud::{Markup, html};

/// Draws the weigh-out of a work date.
#[must_use]
pub fn draw(words: Words, view: &WeighOutView) -> Markup {
    let title = format!("{} {}", words.say("sheet-weigh-out"), view.work_date);
    let own = Stamp {
        words,
        bakery: &view.bakery,
        title: words.say("sheet-weigh-out"),
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let open = |block: &WeighBlockView| block.pages.iter().filter(|page| !page.done).count();
    let loads: usize = view.blocks.iter().map(open).sum();
    let done = done(words, view);
    let sheets = loads + usize::from(!view.toppings.is_empty());
    let mut sheet = 0;
    let body = html! {
        @if sheets == 0 {
            main.sheet { (stamp(&own, None)) h1 { (words.say("weigh-out-nothing")) } (again_not(words, &done)) (notes(words, &view.notes)) }
        }
        @for block in &view.blocks {
            @for page in block.pages.iter().filter(|page| !page.done) {
                @let number = { sheet += 1; sheet };
                @let remarks = if number == 1 { &view.notes[..] } else { &[] };
                @let done = if number == 1 { &done[..] } else { &[] };
                (load(words, &own, block, page, (number, sheets), (remarks, done)))
            }
        }
        @if !view.toppings.is_empty() {
            @let remarks = if loads == 0 { &view.notes[..] } else { &[] };
            (toppings(words, &own, &view.toppings, sheets, remarks))
        }
    };
    document(words, &title, &body)
}

fn load(
    words: Words,
    own: &Stamp<'_>,
    block: &WeighBlockView,
    page: &WeighPageView,
    number: (usize, usize),
    (remarks, done): (&[Sentence], &[Sentence]),
) -> Markup {
    html! {
        main.sheet {
            (stamp(own, Some(number)))
            (again_not(words, done))
            (head(words, block, page))
            (banners(words, block, page))
            table.lines {
                (columns(words, &texts::again(words,
                    &[&block.name, &which(words, block, page)],
                    own.work_date,
                    own.plan_revision,
                )))
                tbody { @for line in &page.lines { (row(words, line)) } }
            }
            (sums(words, block, page))
            (notes(words, &page.notes))
            (notes(words, &block.overrides))
            (notes(words, remarks))
            (substitution(words))
            (foot(words, &safety(words, block)))
        }
    }
}

/// Loads that are weighed already, in words.
fn done(words: Words, view: &WeighOutView) -> Vec<Sentence> {
    let mut found = Vec::new();
    for block in &view.blocks {
        for page in block.pages.iter().filter(|page| page.done) {
            let by = page.state_by.as_ref();
            let by = by.map(|by| texts::state_by(words, page.state, &by.who, &by.at));
            let (which, by) = (which(words, block, page), by.unwrap_or_default());
            found.push(format!("{}, {which}: {by}", block.name).into());
        }
    }
    found
}

/// What must not be weighed again, before all else.
fn again_not(words: Words, done: &[Sentence]) -> Markup {
    html! {
        @if !done.is_empty() {
            div.done { p { b { (words.say("weigh-out-done-sheet")) } } (notes(words, done)) }
        }
    }
}

fn safety(words: Words, block: &WeighBlockView) -> Vec<String> {
    let mut lines = vec![words.say("caution-label")];
    if block.mixer.is_some() {
        lines.push(words.say("caution-guard"));
    }
    lines.extend([words.say("caution-dust"), words.say("caution-taste")]);
    lines
}

/// Which load of how many; laminated dough is counted in blocks.
fn which(words: Words, block: &WeighBlockView, page: &WeighPageView) -> String {
    match page.units.filter(|_| block.blocks.is_some()) {
        Some(count) => texts::blocks(words, count),
        None => texts::load_of(words, page.load, block.loads),
    }
}

fn head(words: Words, block: &WeighBlockView, page: &WeighPageView) -> Markup {
    html! {
        header {
            h1 { (block.name) }
            p.load {
                (which(words, block, page))
            }
        }
        dl.facts {
            div { dt { (words.say("weigh-out-starts")) } dd { (words.moment(&page.starts_at)) } }
            @if let Some(at) = page.mixes_at.as_ref().filter(|at| **at != page.starts_at) {
                div { dt { (words.say("weigh-out-this-load-into-the-mixer")) } dd { (words.moment(at)) } }
            }
            div {
                dt { (words.say("sheet-mixer")) }
                dd { (page.mixer_name.as_deref().or(page.mixer.as_deref()).unwrap_or("-")) }
            }
            div { dt { (words.say("sheet-for")) } dd { (words.day_of(&block.service_date)) } }
            @if let Some(units) = page.units.filter(|_| block.blocks.is_none()) {
                div { dt { (words.say("weigh-out-whole-steps")) } dd { (units) } }
            }
        }
        (allergens(words, &block.allergens))
    }
}

fn banners(words: Words, block: &WeighBlockView, page: &WeighPageView) -> Markup {
    html! {
        @if let Some(by) = &page.state_by {
            p.banner { (texts::state_by(words, page.state, &by.who, &by.at)) }
        }
        @if is_first(block, page) && !block.clean_down.is_empty() {
            p.banner { (texts::clean_down(words, &block.clean_down)) }
        }
        @if block.feed {
            p.banner { (words.say("sheet-feed")) }
        }
        @for first in block.use_first.iter().filter(|_| is_first(block, page)) {
            p.banner { (first.told(words)) }
        }
        @if block.under_minimum && page.state == "draft" {
            p.banner { b { (words.say("sheet-undecided")) } ": " (texts::undecided(words, &block.options)) }
        }
        @if page.two_people {
            p.banner { (texts::heavy(words, &page.printed.amount, page.printed.unit)) }
        }
    }
}

/// Whether a page is the first of its block that is still to be weighed.
fn is_first(block: &WeighBlockView, page: &WeighPageView) -> bool {
    block.pages.iter().find(|one| !one.done).is_some_and(|one| one.load == page.load)
}

/// Heads of the columns; `of` says again on each paper page what the lines belong to.
fn columns(words: Words, of: &str) -> Markup {
    let names = ["tick", "number", "item", "amount", "scale", "lots", "used", "initials"];
    html! {
        (widths(&names))
        thead {
            tr.again { th colspan="8" { (of) } }
            tr {
                th.tick {} th.number { (words.say("sheet-no")) } th { (words.say("sheet-ingredient")) }
                th.amount { (words.say("sheet-amount")) } th.scale { (words.say("weigh-out-scale-tub")) } th.lots { (words.say("sheet-lot-last-day")) }
                th.used { (words.say("sheet-lot-used")) } th.initials { (words.say("sheet-initials")) }
            }
        }
    }
}

/// Which scale; what is neither weighed nor counted has none.
fn scale(words: Words, line: &WeighLineView) -> String {
    match &line.scale {
        Some(scale) => scale.clone(),
        None if line.state == "counted" => words.say("weigh-out-count"),
        None => "-".to_owned(),
    }
}

fn row(words: Words, line: &WeighLineView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.number { (line.number) }
            td.item {
                p.name { (line.name) }
                (allergens(words, &line.allergens))
                @for remark in &line.remarks { p.remark { (remark.told(words)) } }
            }
            td.amount { a href=(line.why) { (amount(words, &line.printed)) } }
            td.scale {
                p { (scale(words, line)) }
                @if line.tub != "-" { p.tub { (words.listed("tub-", line.tub)) } }
            }
            td.lots {
                (lots(words, &line.lots))
                @if let Some(short) = &line.short {
                    p.loud {
                        @if line.undecided { (words.say("sheet-undecided")) ": " }
                        (texts::short(words, &said(words, short)))
                    }
                }
            }
            td.blank {}
            td.blank {}
        }
    }
}

fn sums(words: Words, block: &WeighBlockView, page: &WeighPageView) -> Markup {
    html! {
        @if block.blocks.is_none() || block.loads > 0 { p.sums {
            b { (texts::page_sum(words, &page.printed.amount, page.printed.unit)) }
            @if block.loads > 1 {
                span {
                    (texts::all_loads(words, block.loads, &block.printed.amount, block.printed.unit))
                }
            }
        } }
    }
}

/// The blanks of the substitution box.
const BLANKS: [&str; 4] =
    ["sheet-blank-for", "sheet-blank-used", "sheet-blank-lot", "sheet-blank-name"];

fn substitution(words: Words) -> Markup {
    html! {
        div.substitution {
            p { (words.say("sheet-substitution")) }
            p.blanks {
                @for blank in BLANKS { span { (words.say(blank)) } }
            }
        }
    }
}

/// Toppings of all products: one sheet, a group of lines for each product.
fn toppings(
    words: Words,
    own: &Stamp<'_>,
    blocks: &[ToppingBlockView],
    sheets: usize,
    remarks: &[Sentence],
) -> Markup {
    html! {
        main.sheet {
            (stamp(own, Some((sheets, sheets))))
            header { h1 { (words.say("weigh-out-toppings-sheet")) } }
            (notes(words, remarks))
            table.lines {
                (columns(words, &texts::again(words, &[&words.say("weigh-out-toppings-sheet")], own.work_date, own.plan_revision)))
                @for block in blocks {
                    tbody.group {
                        tr {
                            th colspan="8" scope="rowgroup" {
                                b { (block.name) } " " (texts::pieces(words, block.pieces)) " · "
                                (words.moment_on(own.work_date, &block.at))
                                " · " (words.say("sheet-for")) " " (words.day_of(&block.service_date))
                                @for by_hand in &block.overrides { p.remark { (by_hand.told(words)) } }
                            }
                        }
                        @for line in block.lines.iter().chain(&block.day_old) { (row(words, line)) }
                    }
                }
            }
            (substitution(words))
            (foot(words, &[words.say("caution-label"), words.say("caution-taste")]))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        command::demo::Demo,
        service::plan::{self, Horizon},
        wire,
    };
    use jiff::civil::Date;

    #[test]
    fn every_load_has_a_page_that_says_what_it_must() {
        let (state, _folder) = Demo::open().expect("the demo bakery loads").into_parts();
        let date: Date = "2026-06-11".parse().expect("a date");
        let morning = plan::load(&state, Horizon::WorkDate(date)).expect("a plan");
        let view = wire::weigh_out::weigh_out(&morning, date).expect("a view");
        let loads: usize = view.blocks.iter().map(|block| block.pages.len()).sum();
        let page = draw(Words::ENGLISH, &view).into_string();
        // One sheet for each load, and one for all toppings.
        assert_eq!(page.matches("<main").count(), loads + 1);
        // Source: trade rules, part 6: what must be printed on a weigh-out.
        for words in [
            "Check the label on the pack: this list comes from our records.",
            "Calculated from records. Not a food-safety plan; local law and your competent person \
             decide.",
            "Do not taste raw dough or flour.",
        ] {
            assert_eq!(page.matches(words).count(), loads + 1, "{words}");
        }
        let mixed = view.blocks.iter().filter(|block| block.mixer.is_some());
        let mixed: usize = mixed.map(|block| block.pages.len()).sum();
        assert_eq!(page.matches("Mixer: guard closed, hands out.").count(), mixed);
        assert!(page.contains("Clean-down before this load"));
        assert!(!page.contains("<script") && !page.contains("style="));
        assert_eq!(page, draw(Words::ENGLISH, &view).into_string());
    }
}
