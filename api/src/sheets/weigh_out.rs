//! The weigh-out on paper: one load on a page.

use super::{
    page::{Stamp, allergens, amount, document, foot, lots, notes, said, stamp, widths},
    texts::{self, word},
};
use crate::wire::weigh_out::{
    ToppingBlockView, WeighBlockView, WeighLineView, WeighOutView, WeighPageView,
};
use maud::{Markup, html};

/// Draws the weigh-out of a work date.
#[must_use]
pub fn draw(view: &WeighOutView) -> Markup {
    let title = format!("{} {}", word::WEIGH_OUT, view.work_date);
    let own = Stamp {
        bakery: &view.bakery,
        title: word::WEIGH_OUT,
        work_date: &view.work_date,
        plan_revision: view.plan_revision,
        made_at: &view.made_at,
    };
    let open = |block: &WeighBlockView| block.pages.iter().filter(|page| !page.done).count();
    let loads: usize = view.blocks.iter().map(open).sum();
    let done = done(view);
    let sheets = loads + usize::from(!view.toppings.is_empty());
    let mut sheet = 0;
    let body = html! {
        @if sheets == 0 {
            main.sheet { (stamp(&own, None)) h1 { (word::NOTHING_TO_WEIGH) } (again_not(&done)) (notes(&view.notes)) }
        }
        @for block in &view.blocks {
            @for page in block.pages.iter().filter(|page| !page.done) {
                @let number = { sheet += 1; sheet };
                @let remarks = if number == 1 { &view.notes[..] } else { &[] };
                @let done = if number == 1 { &done[..] } else { &[] };
                (load(&own, block, page, (number, sheets), (remarks, done)))
            }
        }
        @if !view.toppings.is_empty() {
            @let remarks = if loads == 0 { &view.notes[..] } else { &[] };
            (toppings(&own, &view.toppings, sheets, remarks))
        }
    };
    document(&title, &body)
}

fn load(
    own: &Stamp<'_>,
    block: &WeighBlockView,
    page: &WeighPageView,
    number: (usize, usize),
    (remarks, done): (&[String], &[String]),
) -> Markup {
    html! {
        main.sheet {
            (stamp(own, Some(number)))
            (again_not(done))
            (head(block, page))
            (banners(block, page))
            table.lines {
                (columns(&texts::again(
                    &[&block.name, &which(block, page)],
                    own.work_date,
                    own.plan_revision,
                )))
                tbody { @for line in &page.lines { (row(line)) } }
            }
            (sums(block, page))
            (notes(&page.notes))
            (notes(&block.overrides))
            (notes(remarks))
            (substitution())
            (foot(&safety(block)))
        }
    }
}

/// Loads that are weighed already, in words.
fn done(view: &WeighOutView) -> Vec<String> {
    let mut found = Vec::new();
    for block in &view.blocks {
        for page in block.pages.iter().filter(|page| page.done) {
            let by = page.state_by.as_ref();
            let by = by.map(|by| texts::state_by(page.state, &by.who, &by.at));
            found.push(format!(
                "{}, {}: {}",
                block.name,
                which(block, page),
                by.unwrap_or_default()
            ));
        }
    }
    found
}

/// What must not be weighed again, before all else.
fn again_not(done: &[String]) -> Markup {
    html! {
        @if !done.is_empty() {
            div.done { p { b { (word::DONE) } } (notes(done)) }
        }
    }
}

fn safety(block: &WeighBlockView) -> Vec<&'static str> {
    let mut lines = vec![texts::check_the_label()];
    if block.mixer.is_some() {
        lines.push(texts::guard_closed());
    }
    lines.extend([texts::flour_dust(), texts::no_tasting()]);
    lines
}

/// Which load of how many; laminated dough is counted in blocks.
fn which(block: &WeighBlockView, page: &WeighPageView) -> String {
    match page.units.filter(|_| block.blocks.is_some()) {
        Some(count) => texts::blocks(count),
        None => texts::load_of(page.load, block.loads),
    }
}

fn head(block: &WeighBlockView, page: &WeighPageView) -> Markup {
    html! {
        header {
            h1 { (block.name) }
            p.load {
                (which(block, page))
            }
        }
        dl.facts {
            div { dt { "starts" } dd { (texts::moment(&page.starts_at)) } }
            @if let Some(at) = page.mixes_at.as_ref().filter(|at| **at != page.starts_at) {
                div { dt { "this load into the mixer" } dd { (texts::moment(at)) } }
            }
            div {
                dt { "mixer" }
                dd { (page.mixer_name.as_deref().or(page.mixer.as_deref()).unwrap_or("-")) }
            }
            div { dt { "for" } dd { (texts::day(&block.service_date)) } }
            @if let Some(units) = page.units.filter(|_| block.blocks.is_none()) {
                div { dt { "whole steps" } dd { (units) } }
            }
        }
        (allergens(&block.allergens))
    }
}

fn banners(block: &WeighBlockView, page: &WeighPageView) -> Markup {
    html! {
        @if let Some(by) = &page.state_by {
            p.banner { (texts::state_by(page.state, &by.who, &by.at)) }
        }
        @if is_first(block, page) && !block.clean_down.is_empty() {
            p.banner { (texts::clean_down(&block.clean_down)) }
        }
        @if block.feed {
            p.banner { (texts::feed()) }
        }
        @for first in block.use_first.iter().filter(|_| is_first(block, page)) {
            p.banner { (first) }
        }
        @if block.under_minimum && page.state == "draft" {
            p.banner { b { (word::UNDECIDED) } ": " (texts::undecided(&block.options)) }
        }
        @if page.two_people {
            p.banner { (texts::heavy(&page.printed.amount, page.printed.unit)) }
        }
    }
}

/// Whether a page is the first of its block that is still to be weighed.
fn is_first(block: &WeighBlockView, page: &WeighPageView) -> bool {
    block.pages.iter().find(|one| !one.done).is_some_and(|one| one.load == page.load)
}

/// Heads of the columns; `of` says again on each paper page what the lines belong to.
fn columns(of: &str) -> Markup {
    let names = ["tick", "number", "item", "amount", "scale", "lots", "used", "initials"];
    html! {
        (widths(&names))
        thead {
            tr.again { th colspan="8" { (of) } }
            tr {
                th.tick {} th.number { "no." } th { (word::INGREDIENT) }
                th.amount { (word::AMOUNT) } th.scale { (word::SCALE_TUB) } th.lots { (word::LOT) }
                th.used { (word::LOT_USED) } th.initials { (word::INITIALS) }
            }
        }
    }
}

/// Which scale; what is neither weighed nor counted has none.
fn scale(line: &WeighLineView) -> &str {
    match &line.scale {
        Some(scale) => scale,
        None if line.state == "counted" => word::COUNT,
        None => "-",
    }
}

fn row(line: &WeighLineView) -> Markup {
    html! {
        tr {
            td.tick { span.box {} }
            td.number { (line.number) }
            td.item {
                p.name { (line.name) }
                (allergens(&line.allergens))
                @for remark in &line.remarks { p.remark { (remark) } }
            }
            td.amount { a href=(line.why) { (amount(&line.printed)) } }
            td.scale {
                p { (scale(line)) }
                @if line.tub != "-" { p.tub { (line.tub) } }
            }
            td.lots {
                (lots(&line.lots))
                @if let Some(short) = &line.short {
                    p.loud {
                        @if line.undecided { (word::UNDECIDED) ": " }
                        (texts::short(&said(short)))
                    }
                }
            }
            td.blank {}
            td.blank {}
        }
    }
}

fn sums(block: &WeighBlockView, page: &WeighPageView) -> Markup {
    html! {
        @if block.blocks.is_none() || block.loads > 0 { p.sums {
            b { (texts::page_sum(&page.printed.amount, page.printed.unit)) }
            @if block.loads > 1 {
                span {
                    (texts::all_loads(block.loads, &block.printed.amount, block.printed.unit))
                }
            }
        } }
    }
}

fn substitution() -> Markup {
    html! {
        div.substitution {
            p { (texts::substitution()) }
            p.blanks {
                @for blank in texts::substitution_blanks() { span { (blank) } }
            }
        }
    }
}

/// Toppings of all products: one sheet, a group of lines for each product.
fn toppings(
    own: &Stamp<'_>,
    blocks: &[ToppingBlockView],
    sheets: usize,
    remarks: &[String],
) -> Markup {
    html! {
        main.sheet {
            (stamp(own, Some((sheets, sheets))))
            header { h1 { (word::TOPPINGS) } }
            (notes(remarks))
            table.lines {
                (columns(&texts::again(&[word::TOPPINGS], own.work_date, own.plan_revision)))
                @for block in blocks {
                    tbody.group {
                        tr {
                            th colspan="8" scope="rowgroup" {
                                b { (block.name) } " " (block.pieces) " pieces · "
                                (texts::moment_on(own.work_date, &block.at))
                                " · for " (texts::day(&block.service_date))
                                @for by_hand in &block.overrides { p.remark { (by_hand) } }
                            }
                        }
                        @for line in block.lines.iter().chain(&block.day_old) { (row(line)) }
                    }
                }
            }
            (substitution())
            (foot(&[texts::check_the_label(), texts::no_tasting()]))
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
        let page = draw(&view).into_string();
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
        assert_eq!(page, draw(&view).into_string());
    }
}
